"""A slip for the terminal: everything the page says, as plain lines in its order."""

from hypothesis import given, settings

from benchassist.core.slip import Ink
from benchassist.services.slips.slips import slip_of
from benchassist.services.slips.text import text_of_slip
from benchassist.units import UnitChoice
from tests.services.story import Story, measured, stories

SHOP = UnitChoice()


def told(story: Story) -> list[str]:
    """The lines."""
    return text_of_slip(slip_of(story.visit, SHOP)).split("\n")


def test_a_visit_reads_from_head_to_conditions() -> None:
    """Title, machine, what was said, found, done, proved, not proved, care, conditions."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.take("cap", 11_400.0)
    story.note("marked 5k", "cap")
    story.did("new cap fitted", "cap")
    story.take("cap", 4900.0)
    rows = told(story)
    assert rows[0].startswith("Job slip 0412")
    assert rows[1] == "Nether Moor Dairy"
    order = ["Found", "Did", "Proved", "Not proved"]
    assert [row for row in rows if row in order] == order
    found = next(row for row in rows if row.startswith(" 1"))
    assert found.split() == ["1", "Cap", "4.90", "kΩ", "±0.08", "In", "band"]
    assert any("new cap fitted" in row and "11.40 kΩ to 4.90 kΩ" in row for row in rows)
    assert "      marked 5k" in rows
    assert rows[-1] == "Doubt is ±U with k = 2."


def test_a_struck_line_is_marked() -> None:
    """A dash beside its number."""
    story = Story(measured("cap", low=3750.0, high=6250.0))
    story.strike(story.take("cap", 11_400.0))
    assert [row[:3] for row in told(story) if "Cap" in row] == [" 1-", " 1 "]


def test_an_empty_visit_has_no_part_about_work() -> None:
    """Nothing done, nothing said about it."""
    assert "Did" not in told(Story())


@given(stories())
@settings(max_examples=60)
def test_nothing_of_the_slip_is_left_out(story: Story) -> None:
    """Every line, note, pair, sentence and condition of the page stands in the text."""
    slip = slip_of(story.visit, SHOP)
    text = text_of_slip(slip)
    said = [slip.title, slip.draft_text, slip.customer, slip.said, slip.in_short, slip.care]
    said += [*slip.proved, *slip.not_proved, *slip.conditions]
    for line in slip.lines:
        said += [line.name, line.value, line.doubt, line.words, line.verdict_text, *line.notes]
    for pair in slip.pairs:
        said += [pair.name, pair.before, pair.after, pair.verdict_text]
    assert all(words in text for words in said)
    marked = [row for row in text.split("\n") if row[:2].strip().isdigit() and row[2:3] == "-"]
    assert len(marked) == sum(line.ink is Ink.STRUCK for line in slip.lines)
