"""Every text of a visit is known: as people's words, or as one of ours that tells nobody."""

from dataclasses import fields, replace
from typing import get_type_hints

import pytest
from hypothesis import given

from benchassist.core.entry import Interview, Machine, Noted, PhotoAdded, RunMarked, Stamp
from benchassist.core.personal import (
    WORDS_OF,
    blotted_entry,
    blotted_header,
    blotted_words,
    is_same_entry,
    is_same_header,
    nameless,
    names_nobody,
    traces_of,
    wordless,
    words_in,
)
from benchassist.core.procedure import Answer, Question
from benchassist.core.quantity import Quantity
from benchassist.core.run import MarkKind
from benchassist.core.trace import ERASED
from benchassist.core.visit import VisitHeader
from benchassist.storage.codec import ENTRY_KINDS
from tests.core import entries as made
from tests.storage import strategy

OURS = {
    "accuracy_note",
    "channel",
    "check_key",
    "answer_key",
    "currency",
    "digest",
    "entry_id",
    "evidence",
    "grade",
    "link_note",
    "lot",
    "media",
    "meter",
    "method",
    "number",
    "option_group",
    "option_key",
    "outcome",
    "part",
    "run_id",
    "supersedes",
    "thermometer",
}
"""Codes, ids, names of meters and parts' numbers."""

WORDS = (str, str | None, tuple[str, ...])
HEADER = {"id", "slip_number", "shop", "bench", "done_by", "apart_of"}
"""What a header says of the shop itself."""


@pytest.mark.parametrize("kind", ENTRY_KINDS.values(), ids=lambda kind: kind.__name__)
def test_every_text_of_an_entry_is_sorted(kind: type) -> None:
    """A new field is to be told apart before it is written: people's words, or one of ours."""
    hints = get_type_hints(kind)
    texts = {field.name for field in fields(kind) if hints[field.name] in WORDS}
    assert texts == set(WORDS_OF.get(kind, ())) | (texts & OURS)
    assert not set(WORDS_OF.get(kind, ())) & OURS


def test_every_text_of_a_header_is_sorted() -> None:
    """Customer, phone, unit and the interview; everything else is the shop's own."""
    hints = get_type_hints(VisitHeader)
    assert {f.name for f in fields(VisitHeader) if hints[f.name] in WORDS} == HEADER
    assert {f.name for f in fields(Interview)} == {"complaint", "words", "answers"}
    machine = {f.name for f in fields(Machine)}
    assert machine - {"customer", "phone", "unit"} == {
        "id",
        "tag",
        "engine",
        "serial",
        "engine_class",
    }


def header(**fields_: str) -> VisitHeader:
    """Return a visit in which a customer is named wherever people type."""
    usual = made.header()
    machine = replace(
        usual.machine, customer="Ada Wick", phone="0555 0142", unit="Ada's pump", engine="Wick 4"
    )
    procedure = replace(
        usual.procedure,
        questions=(
            Question(key="last", text="What was touched?"),
            Question(key="how", text="How?", answers=(Answer(key="ada", text="Ada"),)),
            Question(key="minutes", text="How long?", quantity=Quantity.DURATION),
        ),
    )
    interview = Interview(
        complaint="ada",
        words="Ada Wick says so",
        answers=(("last", "plug by Wick"), ("how", "ada"), ("minutes", "5550142")),
    )
    return replace(usual, machine=machine, procedure=procedure, interview=interview, **fields_)


def test_a_header_is_blotted_where_people_type() -> None:
    """Keys of answers, figures, engine and tag stay."""
    visit = header()
    blotted = blotted_header(visit, traces_of([visit.machine]))
    assert names_nobody(blotted)
    assert not names_nobody(visit)
    assert blotted.machine == replace(visit.machine, customer="", phone="", unit=f"{ERASED} pump")
    assert blotted.interview.words == f"{ERASED} says so"
    assert dict(blotted.interview.answers) == {
        "last": f"plug by {ERASED}",
        "how": "ada",
        "minutes": "5550142",
    }
    assert blotted.interview.complaint == "ada"
    spoken = blotted_words(visit, traces_of([visit.machine]), whole=True)
    assert spoken.machine == visit.machine
    assert dict(spoken.interview.answers)["last"] == "plug by Wick"


def test_what_differs_by_an_erasure_is_the_same_visit() -> None:
    """And nothing else is."""
    visit = header()
    traces = traces_of([visit.machine])
    erased, spoken = blotted_header(visit, traces), blotted_words(visit, traces, whole=True)
    assert nameless(visit) == nameless(erased) == nameless(spoken)
    for here, told in ((visit, erased), (erased, visit)):
        assert is_same_header(here, told, erased=True)
        assert not is_same_header(here, told, erased=False)
    assert is_same_header(spoken, visit, erased=False)
    assert is_same_header(visit, spoken, erased=False)
    other = replace(visit, interview=replace(visit.interview, words="something else"))
    assert not is_same_header(visit, other, erased=False)
    for change in ({"done_by": "S."}, {"k": 3.0}):
        assert not is_same_header(erased, replace(visit, **change), erased=True)


def stamp() -> Stamp:
    """Return a stamp."""
    return Stamp(id="e1", visit_id="v1", seq=1, at=made.header().opened_at)


def test_what_differs_by_an_erasure_is_the_same_entry() -> None:
    """Words that were blotted are not held against it; a caption that was cleared with a photo."""
    note = Noted(stamp=stamp(), text="Ada Wick wants it")
    blotted = blotted_entry(note, traces_of([header().machine]))
    assert blotted == replace(note, text=f"{ERASED} wants it")
    for erased in (False, True):
        assert is_same_entry(blotted, note, erased=erased)
        assert is_same_entry(note, blotted, erased=erased)
    other = replace(note, text="something else")
    assert not is_same_entry(note, other, erased=False)
    assert is_same_entry(note, other, erased=True)
    photo = PhotoAdded(
        stamp=stamp(), digest="ab" * 32, media="image/png", width=1, height=1, caption="coil"
    )
    cleared = replace(photo, caption="")
    assert is_same_entry(cleared, photo, erased=True)
    assert not is_same_entry(cleared, photo, erased=False)
    assert not is_same_entry(cleared, replace(photo, width=2), erased=True)
    assert not is_same_entry(note, photo, erased=True)


def test_a_mark_of_a_run_has_words_only_where_it_is_of_a_moment() -> None:
    """A leg, an answer, a place are codes."""
    for kind in MarkKind:
        mark = RunMarked(
            stamp=stamp(), check_key="hot", run_id="r", t_s=1.0, kind=kind, text="Ada Wick"
        )
        blotted = blotted_entry(mark, traces_of([header().machine]))
        assert (blotted != mark) is (kind is MarkKind.MOMENT)


@given(entry=strategy.entries())
def test_blotting_touches_words_alone(entry: object) -> None:
    """Whatever an entry holds: without its words it is the same before and after."""
    machine = Machine(id="m", tag="T", customer="abc def", phone="0000000")
    blotted = blotted_entry(entry, traces_of([machine]))  # type: ignore[arg-type]
    assert wordless(blotted) == wordless(entry)  # type: ignore[arg-type]
    assert words_in(blotted) == words_in(entry)  # type: ignore[arg-type]
    assert is_same_entry(entry, blotted, erased=False)  # type: ignore[arg-type]
