"""The number block: each state is reached, with the right digits and the right words."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.reading import Flag, LinkState, Mode
from benchassist.services.bench.view import Number, NumberState
from tests.services.fakes import PLAIN, overload
from tests.services.rig import CARD, GAP, PRIMARY, BenchRig


@pytest.fixture
def rig() -> BenchRig:
    """A linked meter at the coil secondary, probes lifted."""
    made = BenchRig()
    made.past_the_start()
    made.lift()
    return made


def told(number: Number) -> tuple[NumberState, str, str, str]:
    """State, what stands large, and the two words under it."""
    large = number.words or f"{number.digits} {number.unit}".strip()
    return number.state, large, number.jaw_word, number.jaw_hint


def test_no_meter() -> None:
    """Nothing is linked: no digits, and the way to type."""
    rig = BenchRig(meter=False)
    rig.past_the_start()
    assert told(rig.number) == (NumberState.NO_METER, "", "No meter", "M: type it in")


def test_waiting_for_the_first_reading() -> None:
    """Linked, nothing read yet."""
    rig = BenchRig()
    rig.past_the_start()
    assert told(rig.number) == (
        NumberState.WAITING,
        "",
        "Waiting for the meter",
        "M: type it in",
    )


@pytest.mark.parametrize(
    ("state", "word"),
    [
        (LinkState.LOST, "Meter lost"),
        (LinkState.WAITING, "Meter lost"),
        (LinkState.GARBAGE, "Not understood"),
        (LinkState.RESYNC, "Waiting for the meter"),
    ],
)
def test_waiting_says_why(rig: BenchRig, state: LinkState, word: str) -> None:
    """Lost or not understood: no old digits stand."""
    rig.touch(9100.0, seconds=0.5)
    rig.state(state)
    assert told(rig.number) == (NumberState.WAITING, "", word, "M: type it in")


def test_moving(rig: BenchRig) -> None:
    """Digits that run are shown, the jaws open."""
    rig.touch(9100.0, seconds=0.25)
    assert told(rig.number) == (
        NumberState.MOVING,
        "9.100 kΩ",
        "Moving",
        "touch the part, hold still",
    )
    assert rig.number.jaws == 0.0


def test_steadying_closes_the_jaws(rig: BenchRig) -> None:
    """Further at every reading, until it takes by itself."""
    seen = []
    for _ in range(3):
        rig.touch(9100.0, seconds=0.25)
        seen.append(rig.number.jaws)
    assert told(rig.number) == (
        NumberState.STEADYING,
        "9.100 kΩ",
        "Steadying. Hold still",
        "takes it by itself",
    )
    assert seen == sorted(seen)
    assert 0.0 < seen[-1] < 1.0


def test_a_meter_that_was_never_matched_takes_by_key_only(rig: BenchRig) -> None:
    """The words promise nothing that will not happen."""
    rig.meter.matched_at = None
    rig.touch(9100.0, seconds=0.75)
    assert rig.number.jaw_hint == "Space takes it"
    rig.touch(9100.0)
    assert told(rig.number) == (
        NumberState.STEADYING,
        "9.100 kΩ",
        "Steady",
        "Space takes it: display not matched",
    )
    assert rig.taken() == []


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ({"flags": frozenset({Flag.HOLD})}, "HOLD is on"),
        ({"flags": frozenset({Flag.REL})}, "REL is on"),
        ({"flags": frozenset({Flag.MIN})}, "MIN/MAX is on"),
        ({"flags": frozenset({Flag.LOW_BATTERY})}, "battery is low"),
        ({"mode": Mode.DIODE}, "diode test"),
        ({"mode": Mode.CONTINUITY}, "beeper"),
    ],
)
def test_held_by_what_bars_it(rig: BenchRig, change: dict[str, object], hint: str) -> None:
    """Digits stand, not taken, and the line says what to do on the meter."""
    rig.feed(replace(PLAIN, value=9100.0, **change))  # type: ignore[arg-type]
    number = rig.number
    assert (number.state, number.digits, number.jaw_word) == (
        NumberState.HELD,
        "9.100",
        "Not taken",
    )
    assert hint in number.jaw_hint


def test_held_where_the_meter_cannot_tell() -> None:
    """Steady and met, and still not taken: too coarse for this band."""
    rig = BenchRig(PRIMARY, card=CARD)
    rig.past_the_start()
    rig.feed(replace(PLAIN, value=0.0, resolution=10.0, full_scale=20e3), seconds=0.75)
    assert rig.number.state is NumberState.STEADYING
    rig.feed(replace(PLAIN, value=0.0, resolution=10.0, full_scale=20e3))
    assert told(rig.number) == (
        NumberState.HELD,
        "0.00 kΩ",
        "Steady",
        "not taken: too coarse",
    )
    assert rig.number.jaws == 1.0
    assert rig.taken() == []


def test_writing_until_it_is_on_disk(rig: BenchRig) -> None:
    """Pencil: the word is not 'Taken' before the store has said so."""
    rig.store.at_once = False
    rig.touch(9100.0)
    assert told(rig.number) == (NumberState.WRITING, "9.100 kΩ", "Writing it down", "")
    rig.store.commit()
    rig.bench.tick()
    assert rig.number.jaw_word == "Taken"


def test_taken_until_the_probes_are_lifted(rig: BenchRig) -> None:
    """Then the next step comes; looked back at, it can be redone."""
    rig.touch(9100.0)
    assert told(rig.number) == (NumberState.TAKEN, "9.100 kΩ", "Taken", "lift the probes")
    assert rig.number.jaws == 1.0
    rig.lift()
    rig.bench.act("goto", "coil_secondary")
    rig.bench.tick()
    assert told(rig.number) == (NumberState.TAKEN, "9.100 kΩ", "Taken", "Backspace: redo")


def test_lift_after_a_redo(rig: BenchRig) -> None:
    """The same touch is not taken again: the word says so."""
    rig.touch(9100.0)
    rig.bench.act("redo")
    rig.touch(9100.0, seconds=0.5)
    assert told(rig.number)[0] is NumberState.MOVING
    assert (rig.number.jaw_word, rig.number.jaw_hint) == (
        "Lift the probes",
        "then touch the next part",
    )


def test_stale(rig: BenchRig) -> None:
    """No news for two seconds: the old number with its age, and no key takes it."""
    rig.touch(9100.0, seconds=0.5)
    rig.clock.pass_by(6.0)
    rig.bench.tick()
    assert told(rig.number) == (NumberState.STALE, "9.100 kΩ", "Old: 6 s ago", "check the link")


def test_overload_asks_for_proof_then_for_a_key(rig: BenchRig) -> None:
    """Words, never digits; how far it goes where the range is known."""
    rig.clock.pass_by(120.0)
    rig.t += 120.0
    rig.feed(overload(0.0, full_scale=20e3))
    assert told(rig.number) == (
        NumberState.OVERLOAD,
        "Above range",
        "Touch the probes first",
        "over 20 kΩ",
    )
    assert rig.number.digits == ""
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    assert rig.number.jaw_word == "Leads proved"
    rig.feed(overload(0.0, full_scale=20e3), seconds=0.5)
    assert rig.number.jaw_word == "On the part? Space takes it"


def test_an_overload_taken_is_words_too(rig: BenchRig) -> None:
    """Ink, and still no number."""
    rig.touch(0.2, resolution=0.1, seconds=1.0)
    rig.feed(overload(0.0, full_scale=20e3))
    rig.store.at_once = False
    rig.bench.act("take")
    assert told(rig.number) == (NumberState.WRITING, "Above range", "Writing it down", "")


def test_typing_and_typed(rig: BenchRig) -> None:
    """A line begun, then one that can be taken; what is typed is not what the meter shows."""
    rig.touch(5000.0, seconds=0.5)
    rig.bench.act("type")
    assert told(rig.number) == (NumberState.TYPING, "", "By hand", "Enter to take")
    rig.bench.act("preview", "9.10")
    assert told(rig.number) == (
        NumberState.TYPED,
        "9.10 kΩ",
        "Enter to take",
        "by hand: jaws don’t apply",
    )


def test_a_gauge_is_measured_then_typed() -> None:
    """Whatever the linked meter shows."""
    rig = BenchRig(GAP)
    rig.past_the_start()
    rig.lift()
    assert told(rig.number) == (
        NumberState.NO_METER,
        "",
        "Measure, then type it",
        "M: type it in",
    )


def test_a_look_has_no_number(rig: BenchRig) -> None:
    """Only the answers."""
    rig.bench.act("goto", "stop_wire_back")
    assert told(rig.number) == (NumberState.NO_METER, "", "", "")


def test_zeroing_wants_the_probes_together() -> None:
    """Above range while they are apart; ohms where nothing comes."""
    rig = BenchRig()
    rig.say("")
    assert rig.number.jaw_hint == "ohms"
    rig.lift()
    assert told(rig.number)[:3] == (
        NumberState.OVERLOAD,
        "Above range",
        "Touch the probes together",
    )
    rig.touch(0.2, resolution=0.1, seconds=0.75)
    assert rig.number.state is NumberState.STEADYING


def test_every_state_is_reached_here() -> None:
    """The tests above name each state that the block can be in."""
    text = Path(__file__).read_text("utf-8")
    assert all(f"NumberState.{state.name}" in text for state in NumberState)
