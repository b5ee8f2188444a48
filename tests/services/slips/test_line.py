"""One line of the slip: the same figures, words and order on screen and in print."""

import pytest

from benchassist.core.band import Side, Verdict
from benchassist.core.slip import Ink, Line
from benchassist.services.slips.line import lines_of, standing_line, taken_line, value_text
from benchassist.units import LengthUnit, UnitChoice
from tests.services.rig import GAP, PRIMARY
from tests.services.story import Story, looked, measured

SHOP = UnitChoice()


def lines(story: Story, pencil: frozenset[str] = frozenset()) -> list[Line]:
    """The lines as they stand."""
    return lines_of(story.visit, SHOP, pencil)


@pytest.fixture
def cap() -> Story:
    """A cap of 5 kΩ."""
    return Story(measured("cap", low=3750.0, high=6250.0))


def test_a_step_to_do_has_its_name_alone(cap: Story) -> None:
    """Notes stand already."""
    cap.note("marked 5k", "cap")
    assert lines(cap) == [Line(number=1, name="Cap", notes=("marked 5k",))]


def test_a_taken_reading_has_value_doubt_ruler_and_verdict(cap: Story) -> None:
    """The value as the meter displayed it, the doubt to the same place."""
    cap.take("cap", 4380.0)
    line = lines(cap)[0]
    assert (line.value, line.doubt) == ("4.38 kΩ", "±0.08")
    assert (line.ink, line.verdict, line.verdict_text) == (Ink.INK, Verdict.IN_BAND, "In band")
    assert line.ruler is not None
    assert (line.ruler.low, line.ruler.value, line.ruler.high) == (3750.0, 4380.0, 6250.0)
    assert not line.typed


@pytest.mark.parametrize(
    ("value", "verdict", "side", "word"),
    [
        (4900.0, Verdict.IN_BAND, None, "In band"),
        (9000.0, Verdict.OUT_OF_BAND, Side.HIGH, "Out of band, high"),
        (2000.0, Verdict.OUT_OF_BAND, Side.LOW, "Out of band, low"),
        (6240.0, Verdict.TOO_CLOSE, None, "Too close to call"),
    ],
)
def test_every_verdict_has_its_word(
    cap: Story, value: float, verdict: Verdict, side: Side | None, word: str
) -> None:
    """The four verdicts by their names."""
    cap.take("cap", value)
    line = lines(cap)[0]
    assert (line.verdict, line.side, line.verdict_text) == (verdict, side, word)


def test_pencil_turns_to_ink(cap: Story) -> None:
    """What is not on disk yet stands in pencil."""
    taken = cap.take("cap", 4380.0)
    assert lines(cap, frozenset({taken.stamp.id}))[0].ink is Ink.PENCIL
    assert lines(cap)[0].ink is Ink.INK


def test_what_is_still_live_says_so_far(cap: Story) -> None:
    """A verdict that may still change."""
    taken = cap.take("cap", 4380.0)
    check = cap.visit.procedure.check("cap")
    line = taken_line(1, check, taken, SHOP, ink=Ink.PENCIL, so_far=True)
    assert line.verdict_text == "In band so far"


def test_redone_readings_stay_struck_before_what_stands(cap: Story) -> None:
    """Struck by hand or replaced, oldest first, each with its own figures."""
    cap.strike(cap.take("cap", 4000.0))
    cap.take("cap", 4100.0)
    cap.take("cap", 4200.0, redo=True)
    assert [(line.number, line.ink, line.value) for line in lines(cap)] == [
        (1, Ink.STRUCK, "4.00 kΩ"),
        (1, Ink.STRUCK, "4.10 kΩ"),
        (1, Ink.INK, "4.20 kΩ"),
    ]


def test_a_struck_reading_alone_leaves_the_step_to_do(cap: Story) -> None:
    """It shows both."""
    cap.strike(cap.take("cap", 4000.0))
    assert [line.ink for line in lines(cap)] == [Ink.STRUCK, Ink.TO_DO]


def test_typed_readings_are_marked(cap: Story) -> None:
    """Dotted on paper."""
    cap.take("cap", 4900.0, typed=True)
    assert lines(cap)[0].typed


def test_a_look_is_its_answer_without_a_ruler() -> None:
    """By eye, in words."""
    story = Story(looked("lead_end"))
    story.look("lead_end", "suspect")
    line = lines(story)[0]
    assert (line.words, line.value, line.ruler) == ("green and loose", "", None)
    assert (line.verdict, line.verdict_text) == (Verdict.BY_EYE, "Checked by eye")


def test_an_open_is_a_word_and_an_unproved_overload_another() -> None:
    """'Open' only where the verdict stands on it; never a number."""
    story = Story(measured("coil", low=5500.0, high=13e3), measured("wire", low=10e6))
    story.take("coil", None)
    story.take("wire", None, full_scale=20e6)
    assert [(line.value, line.verdict) for line in lines(story)] == [
        ("Open", Verdict.OUT_OF_BAND),
        ("Open", Verdict.IN_BAND),
    ]
    story.take("coil", None, proved=False, redo=True)
    assert lines(story)[1].value == "Above range"


def test_without_a_band_there_is_no_ruler() -> None:
    """Recorded, with its doubt."""
    story = Story(measured("sensor"))
    story.take("sensor", 4900.0)
    line = lines(story)[0]
    assert (line.ruler, line.value, line.doubt) == (None, "4.90 kΩ", "±0.08")
    assert line.verdict_text == "Recorded"


def test_a_volt_drop_is_in_ohms_and_says_how() -> None:
    """Not the millivolts the meter showed."""
    story = Story(PRIMARY)
    taken = story.drop("coil_primary", 0.0912, 0.0984)
    line = lines(story)[0]
    assert line.value == "0.927 Ω"
    assert value_text(taken, SHOP) == (line.value, line.doubt)
    assert line.doubt.startswith("±0.0")
    assert line.notes == ("by volt drop",)
    assert line.typed


def test_both_ways_round_are_noted() -> None:
    """The two values in the order they were read."""
    story = Story(measured("oil", low=1000.0, polarities=2))
    story.take("oil", 5000.0)
    assert lines(story)[0].notes == ()
    story.take("oil", 6000.0)
    assert lines(story)[0].notes == ("both ways round: 5.00 kΩ and 6.00 kΩ",)


def test_a_skipped_step_says_so_until_it_is_taken(cap: Story) -> None:
    """An answer counts, even after it was once skipped."""
    check = cap.visit.procedure.check("cap")
    cap.skip("cap")
    line = standing_line(1, check, cap.visit, SHOP, frozenset())
    assert (line.ink, line.words) == (Ink.SKIPPED, "skipped")
    cap.take("cap", 4900.0)
    assert standing_line(1, check, cap.visit, SHOP, frozenset()).ink is Ink.INK


def test_lengths_are_in_the_shops_unit() -> None:
    """Millimetres or thousandths, the verdict the same."""
    story = Story(GAP)
    story.take("plug_gap", 0.76e-3, count=1e-5, full_scale=None)
    metric, inch = (
        lines_of(story.visit, units)[0]
        for units in (SHOP, UnitChoice(length=LengthUnit.THOUSANDTH))
    )
    assert metric.value == "0.76 mm"
    assert inch.value.startswith("0.0299")
    assert inch.verdict is metric.verdict


def test_lines_keep_number_and_order_of_the_steps() -> None:
    """As the procedure has them, whatever was done first."""
    story = Story(*(measured(f"cap_{i}", low=3750.0, high=6250.0) for i in range(1, 21)))
    for i in (20, 3, 11):
        story.take(f"cap_{i}", 4900.0)
    shown = lines(story)
    assert [line.number for line in shown] == list(range(1, 21))
    assert [line.number for line in shown if line.ink is Ink.INK] == [3, 11, 20]
