"""Every line of the fault list of meter links, and the tests that hold it."""

import importlib
from itertools import chain

import pytest

FAULTS: dict[int, dict[str, tuple[str, ...]]] = {
    1: {
        "port absent": ("test_port::test_an_absent_port_says_so",),
        "permission": (
            "test_port::test_every_failure_to_open_has_one_line",
            "test_usbtmc::test_every_failure_to_open_has_one_line",
        ),
        "busy": ("test_port::test_a_busy_port_says_so",),
        "tried again": ("test_link::test_a_port_that_does_not_open_says_why_and_is_tried_again",),
    },
    2: {
        "unplugged while idle": (
            "test_link_wire::test_unplugged_while_idle_and_plugged_in_again",
            "test_link::test_an_unplugged_lead_comes_back",
        ),
        "mid-frame": ("test_link_wire::test_unplugged_in_the_middle_of_a_frame",),
        "mid-write": (
            "test_link_wire::test_unplugged_while_asked",
            "test_scpi_session::test_lost_while_writing_is_lost",
        ),
        "during open": ("test_link_wire::test_unplugged_between_looking_and_opening",),
    },
    3: {
        "back on the same name": ("test_replug::test_a_few_times",),
        "on another name": ("test_link::test_the_same_lead_on_another_name_is_followed",),
        "another meter": (
            "test_scpi_session::test_another_meter_after_a_reconnect_is_told",
            "test_link::test_another_lead_in_its_place_is_not_opened",
        ),
        "two identical bridges": (
            "test_cable_fault::test_two_leads_that_look_the_same_are_not_chosen_between",
            "test_port::test_a_lead_is_known_by_its_number_and_not_by_name",
        ),
    },
    4: {
        "wrong baud or parity": (
            "test_uart::test_a_wrong_line_reads_nothing",
            "test_uart::test_a_flipped_bit_on_a_line_with_parity_reads_as_zero",
            "test_uart::test_a_stop_bit_that_fails_never_makes_a_number",
        ),
        "wrong profile, garbage": ("test_link_wire::test_the_wrong_family_is_named_garbage",),
        "chance-valid frame": ("test_link::test_a_chance_block_in_garbage_is_never_a_reading",),
    },
    5: {
        "dropped byte": ("test_fault::test_a_lost_byte_loses_the_block",),
        "duplicated byte": ("test_cable_fault::test_a_doubled_byte_never_makes_another_number",),
        "inserted byte": ("fuzz.test_fuzz::test_damaged_blocks_read_alike_however_they_are_cut",),
        "bit flip in digit, function, range": (
            "test_fault::test_some_flips_must_be_read_wrongly_and_most_are_not",
            "test_fault::test_parity_sees_every_single_fault",
            "test_fault::test_a_bad_cable_takes_nothing_wrong",
        ),
        "bad segment code": ("test_hand_held::test_segment_14_refuses_what_no_display_shows",),
    },
    6: {
        "start mid-frame": (
            "test_decoder::test_a_start_in_the_middle_of_a_block_loses_that_block_only",
        ),
        "one byte at a time": ("test_decoder::test_byte_by_byte",),
        "a hundred frames in one read": ("test_cable_fault::test_a_hundred_blocks_in_one_read",),
    },
    7: {"line ends among flags": ("test_hand_held::test_ascii_14_line_ends_among_flags",)},
    8: {
        "doubled blocks": (
            "test_hand_held::test_nibble_11_twins_are_one_reading",
            "test_decoder::test_the_second_of_two_blocks_is_dropped",
            "test_decoder::test_never_two_running_are_dropped",
        )
    },
    9: {
        "stall": ("test_link::test_silence_stalls_and_a_new_start_is_found_again",),
        "auto-power-off": ("test_link::test_a_meter_off_after_a_stall_is_waited_for",),
        "low battery": (
            "test_hand_held::test_nibble_11_flags",
            "test_hand_held::test_ascii_14_flags",
            "test_hand_held::test_segment_14_flags",
            "test_nibble_14::test_a_flag_travels_with_the_value",
        ),
    },
    10: {
        "OL": (
            "test_decoder::test_a_block_shows_what_the_display_showed",
            "test_hand_held::test_poll_14_over_range",
        ),
        "9.9E37, 9.91E37, OVLOAD": ("test_scpi::test_over_range_is_never_a_value",),
        "empty line, nan, inf, comma decimal": (
            "test_scpi::test_what_is_no_number",
            "test_text_line::test_a_line_that_says_more_or_less_is_refused",
            "test_scpi_session::test_nan_is_no_value",
        ),
    },
    11: {
        "range or function changed": (
            "test_scpi_session::test_a_function_turned_meanwhile_gives_no_number",
            "test_link::test_a_function_that_is_not_read_is_told",
        ),
        "autorange hunting": ("test_cable_fault::test_hunting_between_two_ranges_is_never_steady",),
        "RANG? mismatch": (
            "test_scpi_session::test_a_range_that_changes_meanwhile_takes_the_resolution_with_it",
        ),
    },
    12: {
        "HOLD, REL, MIN, MAX": (
            "test_hand_held::test_ascii_14_flags",
            "test_hand_held::test_segment_14_flags",
            "test_nibble_14::test_a_flag_travels_with_the_value",
            "test_text_line::test_flags_are_words_anywhere_behind_the_function",
            "core.test_steady::test_a_flag_bars",
        )
    },
    13: {
        "late reply": (
            "test_scpi_session::test_a_late_answer_is_never_the_next_ones",
            "test_link::test_a_late_answer_to_a_poll_is_not_the_next_one",
            "test_independent_instrument::test_its_slow_answer_does_not_slip",
            "test_usbtmc::test_an_answer_that_stays_away_does_not_slip",
        )
    },
    14: {
        "error queue full, -350": (
            "test_scpi_session::test_an_error_queue_without_end_is_left_after_fifty",
        )
    },
    15: {
        "no terminator": (
            "test_decoder::test_a_block_without_end_is_bounded",
            "test_decoder::test_a_block_begun_is_dropped_when_the_rest_stays_away",
        ),
        "CR, CR LF, NUL, 0xFF": (
            "test_scpi_session::test_any_line_end_and_stray_bytes_will_do",
            "test_text_line::test_any_line_end_will_do",
        ),
    },
    16: {"torn # block": ("test_cable_fault::test_a_torn_block_is_no_number",)},
    17: {
        "refused": ("test_port::test_a_refused_connection_says_so",),
        "FIN, RST": ("test_link_wire::test_a_peer_that_ends_the_connection_is_lost",),
        "black hole": ("test_link_wire::test_quitting_while_a_connection_is_being_made",),
        "half-open": ("test_link_wire::test_silence_on_an_open_socket_is_a_stall",),
    },
    18: {"no modem lines": ("test_cable_fault::test_a_port_without_modem_lines_will_do",)},
    19: {"second program": ("test_cable_fault::test_a_second_program_on_the_port_is_named",)},
    20: {
        "suspend and resume": ("test_cable_fault::test_a_leap_in_time_joins_nothing",),
        "clock step": (
            "test_cable_fault::test_a_clock_that_is_set_back_is_not_looked_at",
            "core.test_steady::test_a_clock_that_goes_back_starts_again",
        ),
    },
    21: {
        "flood": (
            "test_link_wire::test_a_flood_is_bounded",
            "test_inbox::test_what_does_not_fit_is_one_gap_and_the_last_state",
        )
    },
    22: {
        "quit during a read": (
            "test_link_wire::test_nothing_is_left_behind",
            "test_scpi_session::test_closing_while_an_answer_is_awaited",
            "test_usbtmc::test_quitting_while_an_answer_is_awaited",
        ),
        "quit during open": ("test_link_wire::test_quitting_while_a_connection_is_being_made",),
    },
    23: {
        "USBTMC time-out and clear": (
            "test_usbtmc::test_a_time_out_clears_and_the_late_answer_is_gone",
            "test_usbtmc::test_a_break_clears",
        ),
        "ENODEV": (
            "test_usbtmc::test_a_device_that_is_gone_is_lost",
            "test_usbtmc::test_unplugged_and_plugged_in_again",
        ),
    },
    24: {
        "local key pressed": (
            "test_cable_fault::test_a_key_pressed_on_the_meter_is_no_junk",
            "test_scpi_session::test_a_function_turned_meanwhile_gives_no_number",
        )
    },
    25: {
        "diode, beeper or wrong unit as ohms": (
            "test_cable_fault::test_diode_beeper_and_volts_are_refused_as_ohms",
            "core.test_steady::test_the_wrong_function_is_barred",
        )
    },
}
NAMED = [
    (number, fault, test)
    for number, parts in FAULTS.items()
    for fault, tests in parts.items()
    for test in tests
]


def test_the_list_is_whole() -> None:
    """Lines 1 to 25, each with at least one fault and each fault with at least one test."""
    assert list(FAULTS) == list(range(1, 26))
    assert all(parts for parts in FAULTS.values())
    assert all(tests for tests in chain.from_iterable(p.values() for p in FAULTS.values()))


@pytest.mark.parametrize(("number", "fault", "test"), NAMED)
def test_a_fault_has_its_test(number: int, fault: str, test: str) -> None:
    """The test named is there, says what it holds, and runs without being asked for."""
    module, _, name = test.partition("::")
    folder = "tests" if module.startswith("core.") else "tests.meters"
    found = getattr(importlib.import_module(f"{folder}.{module}"), name, None)
    assert callable(found), f"line {number}, {fault}: no {test}"
    assert found.__doc__, f"{test} does not say what it holds"
    marks = {mark.name for mark in getattr(found, "pytestmark", [])}
    assert not marks & {"long", "skip", "skipif", "xfail"}, f"{test} runs only when asked for"
