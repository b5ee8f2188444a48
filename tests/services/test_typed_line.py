"""What a person types: said at once where it is too long or cannot be kept."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from benchassist.core.entry import Machine, Noted, Skipped
from benchassist.core.procedure import Complaint
from benchassist.errors import InputError
from benchassist.services.front.interview import interview_of
from benchassist.services.record.machine_form import read_machine
from benchassist.services.typed_line import LONGEST_LINE, LONGEST_WORDS, line_of, refuse_misfit
from tests.hostile import HOSTILE, UNKEPT
from tests.storage.case import Scribe, header

COMPLAINTS = (Complaint(key="quits_hot", name="Quits hot", procedure="quits_hot"),)
TOO_MUCH = ("x" * 1_000_000, *UNKEPT)


def on_a_card(text: str) -> object:
    """Typed as a customer's name."""
    return read_machine(
        Machine(id="1", tag="K7", engine_class="unknown"),
        {"tag": "K7", "customer": text},
        classes=(),
        is_taken=lambda _tag: False,
    )


def in_the_interview(text: str) -> object:
    """Typed as what the customer said."""
    return interview_of(COMPLAINTS, {"complaint": "quits_hot", "words": text})


def as_a_note(text: str) -> object:
    """Typed as a note."""
    refuse_misfit(Noted(stamp=Scribe(header()).stamp(), text=text))
    return None


def as_a_reason(text: str) -> object:
    """Typed as a reason."""
    refuse_misfit(Skipped(stamp=Scribe(header()).stamp(), check_key="cap", reason=text))
    return None


@pytest.mark.parametrize("text", TOO_MUCH, ids=lambda text: ascii(text[:12]))
@pytest.mark.parametrize("way", [on_a_card, in_the_interview, as_a_note, as_a_reason])
def test_it_is_refused_in_one_line(way: Callable[[str], object], text: str) -> None:
    """One short line that can be shown and does not repeat it."""
    with pytest.raises(InputError) as error:
        way(text)
    said = str(error.value)
    assert len(said) < 120
    assert said.isprintable()


@pytest.mark.parametrize("name", [n for n, t in HOSTILE.items() if len(t) <= LONGEST_LINE])
def test_odd_is_not_wrong(name: str) -> None:
    """Whatever else it holds is taken as text."""
    text = HOSTILE[name]
    assert line_of(text, "Customer") == text.strip()
    as_a_note(text)
    assert getattr(on_a_card(text), "customer", "") == text.strip()


def test_what_came_from_elsewhere_and_is_not_touched_stays() -> None:
    """An imported name of a megabyte does not keep the phone number from being changed."""
    there = Machine(
        id="1", tag="K7", customer=HOSTILE["megabyte"], unit="a\x1bb", engine_class="unknown"
    )
    fields = {"tag": "K7", "customer": there.customer, "unit": there.unit, "phone": "555"}
    kept = read_machine(there, fields, classes=(), is_taken=lambda _tag: False)
    assert kept == replace(there, phone="555")


def test_a_tag_is_short_and_seen() -> None:
    """It is printed and typed again: no sign in it that nobody sees."""
    for tag in ("K7\u202e", "K\x007", "x" * 17, "K 7", "x" * 100_000):
        with pytest.raises(InputError) as error:
            read_machine(
                Machine(id="1", tag=""),
                {"tag": tag, "unit": "Tiller"},
                classes=(),
                is_taken=lambda _tag: False,
            )
        assert str(error.value).isprintable()


def test_words_of_an_ordinary_length_are_taken() -> None:
    """Up to the limit, not over it."""
    as_a_note("x" * LONGEST_WORDS)
    with pytest.raises(InputError, match="2001 signs are too many"):
        as_a_note("x" * (LONGEST_WORDS + 1))
