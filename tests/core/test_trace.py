"""Names and numbers are found as people write them, and nothing else is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.trace import ERASED, Traces, _folded, digits_of, fold

ADA = Traces(["Ada Müller"], ["0555 0142"])


@pytest.mark.parametrize(
    "text",
    [
        "Ada",
        "ADA MÜLLER",
        "ada mueller",
        "Muller",
        "Mu\N{COMBINING DIAERESIS}ller",
        "Müllers",
        "Müller's",
        "Müller’s",
        "_müller_",
        "5550142",
        "0555-0142",
        "0555/0142",
        "(0555) 0142",
        "0 5 5 5 0 1 4 2",
        "+490555 0142",
        "15550142",
    ],
)
def test_a_name_or_number_is_blotted(text: str) -> None:
    """Whatever its case, its accents and how it is spaced; the words around it stay."""
    said = f"told by {text}, coil is 3.86 k"
    assert ADA.holds(said)
    blotted = ADA.blot(said)
    assert not ADA.holds(blotted)
    assert blotted.startswith("told by ")
    assert blotted.endswith(", coil is 3.86 k")
    assert ERASED in blotted


@pytest.mark.parametrize(
    "text",
    [
        "adapter on the tab",
        "the mill's coil",
        "Canada",
        "3.86 k, 9400 ohm at 20 °C",
        "142",
        "55501420",
        "5550143",
        "",
    ],
)
def test_what_only_looks_like_it_stays(text: str) -> None:
    """Parts of other words, readings, other numbers."""
    assert not ADA.holds(text)
    assert ADA.blot(text) == text


def test_common_words_of_a_name_stay() -> None:
    """'and', 'the', 'von': by themselves they tell nobody; with the name they go."""
    traces = Traces(["Smith and Sons"], [])
    assert traces.blot("hot and cold, told by Smith") == f"hot and cold, told by {ERASED}"
    assert traces.blot("bill Smith & Sons and ask") == f"bill {ERASED} & Sons and ask"
    assert traces.blot("for Smith and Sons.") == f"for {ERASED}."


@pytest.mark.parametrize(
    ("name", "text", "blotted"),
    [
        ("Li Wu", "ask Li Wu, wu is a sound", f"ask {ERASED}, wu is a sound"),
        ("O'Brien", "O’Brien's mower, o brien", f"{ERASED} mower, {ERASED}"),
        ("王伟", "王伟的割草机", f"{ERASED}的割草机"),
        ("Çelik", "CELIK called", f"{ERASED} called"),
        ("Størk", "stork and stoerk", f"{ERASED} and {ERASED}"),
        ("Pennick & Daughter", "pennick   &  daughter", ERASED),
        ("J. R.", "J. R. said r", "J. R. said r"),
        ("", "nobody", "nobody"),
    ],
)
def test_names_of_every_make(name: str, text: str, blotted: str) -> None:
    """Short ones as a whole, marks within, scripts without blanks."""
    assert Traces([name], []).blot(text) == blotted


def test_whole_names_only_where_asked() -> None:
    """In other people's visits a part of a name is no trace."""
    assert ADA.blot("ada mueller and Ada", whole=True) == f"{ERASED} and Ada"
    assert ADA.blot("call 0555 0142", whole=True) == f"call {ERASED}"
    assert not ADA.holds("Müller", whole=True)


def test_several_numbers_in_one_field() -> None:
    """And an address that is no number."""
    traces = Traces([], ["0555 0142, 0555 0199 / 0555 0177; ada@example.com"])
    for number in ("05550142", "0555-0199", "555 0177", "Ada@Example.com"):
        assert traces.blot(f"call {number} now") == f"call {ERASED} now"


def test_a_long_number_is_known_without_its_codes() -> None:
    """Its last seven digits are it."""
    traces = Traces([], ["+1 (503) 555-0142"])
    for number in ("503 555 0142", "1-503-555-0142", "555 0142", "+1 5035550142"):
        assert traces.blot(f"call {number}.") == f"call {ERASED}."
    assert traces.blot("1503 rpm, 555 ohm") == "1503 rpm, 555 ohm"


@given(
    name=st.text(min_size=1, max_size=20),
    before=st.text(max_size=20),
    after=st.text(max_size=20),
)
def test_what_is_blotted_holds_nothing(name: str, before: str, after: str) -> None:
    """Of whatever letters: what was blotted is not found again, what was not is as it was."""
    traces = Traces([name], [name])
    said = f"{before} {name} {after}"
    blotted = traces.blot(said)
    assert traces.holds(said) is (blotted != said)
    assert not traces.holds(blotted.replace(ERASED, " · "))


@given(text=st.text(max_size=30))
def test_folding_keeps_the_place_of_every_letter(text: str) -> None:
    """As a whole and letter by letter it is the same."""
    folded, places = _folded(text)
    assert fold(text) == folded
    assert len(places) == len(folded)
    assert list(places) == sorted(places)


@given(
    name=st.text(st.characters(categories=["L", "P", "Zs"]), max_size=12),
    phone=st.text("0123456789 /-", max_size=12),
    text=st.text("0123456789 /-abcÄ.", max_size=40),
)
def test_what_is_looked_for_first_misses_nothing(name: str, phone: str, text: str) -> None:
    """A text that is blotted is one that holds a trace, with the name and number in it or not."""
    traces = Traces([name], [phone])
    for said in (text, f"{text} {name} {text}", f"a {phone}.", f"{text}{' '.join(phone)}"):
        for whole in (False, True):
            assert traces.holds(said, whole=whole) is (traces.blot(said, whole=whole) != said)


def test_folding() -> None:
    """Case and accents are none."""
    assert fold("ÄÖß Ł") == "aoss l"
    assert digits_of("(05) 55-0") == "05550"
