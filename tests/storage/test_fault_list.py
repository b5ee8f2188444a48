"""Every fault that the record has to survive, and the tests that hold it."""

import importlib
from itertools import chain

import pytest

FAULTS: dict[str, dict[str, tuple[str, ...]]] = {
    "killed in the middle": {
        "taking": (
            "storage.test_process::test_nothing_shown_as_taken_is_lost_to_a_kill",
            "end_to_end.test_kill::test_nothing_shown_as_taken_is_lost_to_a_kill",
        ),
        "run logging": (
            "storage.test_run_kill::test_a_kill_costs_a_quarter_second",
            "end_to_end.test_run_kill::test_a_run_that_was_killed_is_finished_from_disk",
        ),
        "compaction": (
            "storage.test_compaction_kill::test_a_kill_in_mid_gathering_leaves_every_sample",
        ),
        "migration": (
            "storage.test_migration_kill::test_a_kill_in_mid_migration_leaves_the_old_state_or_the_new",
            "storage.test_migration::test_a_migration_that_fails_leaves_the_shop_as_it_was",
            "assembly.test_migration_backup::test_where_no_backup_can_be_made_nothing_is_changed",
            "storage.test_migration_told::test_ended_anywhere_it_is_the_old_shop_or_the_new_and_goes_on",
            "storage.test_migration_told::test_a_disk_that_is_full_leaves_the_shop_as_it_was",
            "storage.test_migration_told::test_a_file_that_another_program_has_locked_is_as_it_was",
            "storage.test_migration_told::test_a_server_that_is_lost_in_the_middle_has_the_old_shop",
            "assembly.test_opening::test_closed_in_the_middle_the_next_start_goes_on",
        ),
        "a program left open while another bench migrates": (
            "storage.test_head::test_nothing_is_written_into_a_shop_that_moved_on",
            "storage.test_head::test_what_cannot_be_read_any_more_is_no_damage",
            "storage.test_head::test_a_bench_of_a_server_keeps_what_it_takes_until_it_is_updated",
            "end_to_end.test_newer_shop::test_what_is_not_on_disk_is_not_taken_and_a_line_says_why",
        ),
        "backup": ("storage.test_backup::test_a_kill_in_mid_backup_costs_that_backup_only",),
        "restore": (
            "storage.test_restore::test_a_kill_in_mid_restore_leaves_the_one_or_the_other",
        ),
        "import": ("storage.test_intake::test_a_kill_in_mid_import_leaves_whole_visits",),
        "moving a shop": ("storage.test_move::test_a_kill_in_mid_move_leaves_no_half_shop",),
        "journal and delivery": (
            "storage.test_journal_kill::test_thirty_kills_while_the_server_comes_and_goes",
            "storage.test_journal_kill::test_thirty_deliveries_that_are_killed",
        ),
    },
    "disk full": {
        "a reading": (
            "storage.test_writer::test_a_full_disk_refuses_and_loses_nothing",
            "storage.test_full_disk::test_what_is_taken_waits_for_room",
        ),
        "a run": ("storage.test_run_trouble::test_a_full_disk_loses_nothing",),
        "backup, restore, export, settings, photo": (
            "storage.test_full_disk::test_what_has_no_room_is_one_line_and_leaves_nothing",
            "storage.test_backup::test_a_full_disk_is_told",
        ),
        "no room for a copy, before it is begun": (
            "storage.test_room::test_without_room_no_backup_is_begun",
            "storage.test_room::test_the_last_good_one_always_stays",
            "storage.test_room::test_a_restore_has_room_first",
            "storage.test_server_backup::test_without_room_neither_is_begun",
            "assembly.test_photo_backup::test_without_room_for_them_nothing_is_begun",
        ),
    },
    "read-only": {
        "folder": (
            "storage.test_shop_file::test_a_read_only_folder_is_refused",
            "end_to_end.test_window_trouble::test_a_read_only_folder",
            "services.record.test_photos::test_a_folder_that_cannot_be_written_is_told",
        ),
        "file": (
            "storage.test_shop_file::test_a_read_only_file_is_refused",
            "storage.test_shop_file::test_a_write_protected_file_can_be_read",
            "storage.test_run_trouble::test_a_shop_that_became_read_only_says_so",
            "cli.test_visits_command::test_a_read_only_shop_is_read",
        ),
    },
    "locked by a second program": {
        "at opening": ("storage.test_shop_file::test_a_locked_file_is_refused",),
        "for a moment": ("storage.test_writer::test_a_write_waits_out_a_lock",),
        "for long": (
            "storage.test_writer::test_a_lasting_lock_refuses_in_one_line_and_the_writer_goes_on",
            "storage.test_run_trouble::test_a_lock_that_lasts_is_a_gap_and_not_silence",
            "end_to_end.test_window_trouble::test_a_locked_shop_file",
        ),
        "two programs at work": (
            "storage.test_process::test_two_programs_write_to_one_shop",
            "storage.test_shop_file::test_reading_beside_the_program_at_work",
            "storage.test_restore::test_a_shop_that_is_open_is_not_replaced",
        ),
    },
    "clock set back": {
        "entries and visits": (
            "storage.test_clock_back::test_a_visit_goes_on_in_order",
            "storage.test_clock_back::test_a_visit_opened_after_it_is_another_visit",
        ),
        "leases": (
            "storage.test_lease::test_a_clock_that_was_set_back_makes_no_lease_eternal",
            "storage.test_lease::test_a_visit_that_was_put_down_is_free_whatever_the_clock_says",
        ),
        "backups": (
            "storage.test_rotation::test_the_next_is_due_after_a_day",
            "storage.test_rotation::test_backups_of_a_clock_that_ran_ahead_push_out_none",
        ),
        "samples": ("storage.test_inlet::test_time_never_goes_back",),
        "meter": ("meters.test_cable_fault::test_a_clock_that_is_set_back_is_not_looked_at",),
    },
    "PostgreSQL": {
        "stopped": (
            "storage.test_writer::test_a_server_that_stays_away_refuses_until_it_is_back",
            "storage.test_journal::test_what_is_taken_while_the_server_is_lost_is_delivered_once_and_in_order",
        ),
        "restarted": (
            "storage.test_writer::test_a_lost_server_connection_is_made_again",
            "storage.test_journal::test_a_restart_of_the_server_costs_nothing",
            "storage.test_run_trouble::test_a_server_that_is_gone_for_a_while",
        ),
        "silent": ("storage.test_journal::test_a_server_that_falls_silent_is_not_waited_for",),
        "lost while it is backed up": (
            "storage.test_server_backup::test_a_lost_server_leaves_nothing_half_made",
            "assembly.test_server_keeper::test_a_server_lost_in_the_middle_is_told_once",
            "assembly.test_server_keeper::test_closing_ends_it_in_the_middle",
        ),
        "slow": ("storage.test_journal::test_a_slow_server_is_not_lost",),
        "out of connections": (
            "storage.test_journal::test_a_server_without_a_free_connection_is_lost_for_a_while",
        ),
        "an answer lost": (
            "storage.test_writer::test_a_commit_whose_answer_was_lost_is_repeated_once",
            "storage.test_journal::test_an_answer_that_was_lost_keeps_a_reading_once",
        ),
    },
    "damage": {
        "of the shop file": (
            "storage.test_salvage::test_of_a_damaged_file_what_can_be_read_is_saved",
            "assembly.test_keeping::test_a_damaged_shop_is_only_read_from_then_on",
        ),
        "of samples": (
            "storage.test_run_trouble::test_damaged_samples_are_one_line",
            "storage.test_hostile_file::test_samples_that_unpack_to_gigabytes_are_damaged",
        ),
        "a newer file": (
            "storage.test_shop_file::test_a_newer_file_is_refused",
            "end_to_end.test_window_trouble::test_a_shop_file_that_is_none",
        ),
    },
    "hostile text": {
        "typed": (
            "services.test_typed_line::test_it_is_refused_in_one_line",
            "services.test_typed_line::test_odd_is_not_wrong",
            "services.test_typed_path::test_a_name_that_is_too_long_is_one_short_line",
            "ui.test_line_field::test_what_is_pasted_comes_out_on_one_line",
            "core.test_plain_text::test_what_was_typed_is_whole",
        ),
        "on screen": (
            "end_to_end.test_hostile_text::test_every_page_shows_it_and_stays_in_order",
            "end_to_end.test_hostile_pages::test_every_page_is_walked",
            "end_to_end.test_hostile_pages::test_a_page_stays_in_order",
            "house.test_text_doors::test_text_is_drawn_by_its_doors_alone",
            "house.test_text_doors::test_nothing_reads_mark_up",
            "ui.test_hint::test_what_is_told_of_a_line_is_plain",
            "paint.test_hostile_lettering::test_it_stays_in_its_place",
            "paint.test_hostile_lettering::test_it_breaks_into_lines_that_fit",
            "core.test_plain_text::test_nothing_steers_what_shows_it",
        ),
        "on the slip": ("end_to_end.test_hostile_text::test_a_slip_is_one_page_of_plain_text",),
        "export and import": (
            "end_to_end.test_hostile_text::test_it_goes_out_and_comes_in_without_loss",
            "storage.test_intake::test_hostile_text_stays_text",
            "storage.test_intake::test_a_name_of_a_megabyte_comes_over",
        ),
        "in a spreadsheet": (
            "end_to_end.test_hostile_text::test_a_sheet_runs_nothing_and_reads_back",
            "cli.test_keep_commands::test_no_text_becomes_a_formula",
        ),
        "searched for": (
            "end_to_end.test_hostile_text::test_it_is_found_and_the_search_stays_whole",
            "storage.test_search::test_a_hostile_text_is_only_words",
        ),
        "backed up and restored": (
            "end_to_end.test_hostile_text::test_a_backup_holds_it_and_gives_it_back",
        ),
        "on a terminal": (
            "cli.test_hostile_words::test_visits_are_listed_and_shown_on_lines_of_their_own",
            "cli.test_hostile_words::test_json_is_whole_and_steers_nothing",
            "cli.test_hostile_words::test_a_refusal_names_a_file_without_obeying_it",
            "cli.test_records_commands::test_hostile_words_stay_on_their_line",
        ),
    },
    "path tricks and bombs": {
        "what is no file": (
            "storage.test_hostile_file::test_what_is_no_file_is_refused",
            "storage.test_hostile_file::test_a_profile_that_is_no_file_is_left_out",
            "storage.test_intake::test_what_is_no_file_is_refused",
        ),
        "names that lead elsewhere": (
            "storage.test_hostile_file::test_a_name_that_leads_elsewhere_stays_a_name",
        ),
        "another kind of file": (
            "storage.test_hostile_file::test_another_kind_of_file_is_no_export",
            "storage.test_intake::test_a_file_that_is_no_export_is_refused",
            "storage.test_intake::test_a_file_that_is_too_large_is_not_parsed",
        ),
        "documents that do not fit": (
            "storage.test_intake::test_a_visit_that_does_not_fit_is_refused",
            "storage.test_intake::test_any_spoilt_document_is_taken_or_refused",
        ),
        "profiles": ("storage.test_hostile_file::test_a_profile_that_is_a_bomb_is_left_out",),
        "samples": (
            "storage.test_hostile_file::test_samples_that_unpack_to_gigabytes_are_damaged",
        ),
        "pictures": (
            "core.test_photo_file::test_a_picture_that_unpacks_to_gigabytes_is_refused_by_its_head",
            "storage.test_photo_exchange::test_a_photo_that_is_not_what_it_says_is_refused",
            "storage.test_photo_exchange::test_a_list_of_photos_that_is_none_is_refused",
        ),
    },
}
NAMED = [
    (fault, part, test)
    for fault, parts in FAULTS.items()
    for part, tests in parts.items()
    for test in tests
]


def test_every_fault_has_parts_and_every_part_a_test() -> None:
    """None of the list is left empty."""
    assert all(FAULTS.values())
    assert all(tests for tests in chain.from_iterable(p.values() for p in FAULTS.values()))


@pytest.mark.parametrize(("fault", "part", "test"), NAMED)
def test_a_fault_has_its_test(fault: str, part: str, test: str) -> None:
    """The test named is there, says what it holds, and runs without being asked for."""
    module, _, name = test.partition("::")
    found = getattr(importlib.import_module(f"tests.{module}"), name, None)
    assert callable(found), f"{fault}, {part}: no {test}"
    assert found.__doc__, f"{test} does not say what it holds"
    marks = {mark.name for mark in getattr(found, "pytestmark", [])}
    assert not marks & {"long", "skip", "skipif", "xfail"}, f"{test} runs only when asked for"
