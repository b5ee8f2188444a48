from dataclasses import replace
from datetime import UTC, datetime
from math import inf, nan
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.core.entry import Entry, Noted, Stamp, Taken
from benchassist.core.visit import VisitHeader
from benchassist.errors import ShopFileError, StoreError
from benchassist.storage.codec import (
    ENTRY_KINDS,
    Plain,
    decode,
    decode_entry,
    encode,
    encode_entry,
    from_text,
    to_text,
)
from tests.storage import strategy
from tests.storage.case import Scribe, header

SLOW = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def there_and_back(entry: Entry) -> Entry:
    """Return an entry written to text and read again."""
    return decode_entry(from_text(to_text(encode_entry(entry))))


def written(entry: Entry) -> Plain:
    """Return an entry as read from its text, before it becomes an entry."""
    data = from_text(to_text(encode_entry(entry)))
    assert isinstance(data, dict)
    return data


def noted(text: str = "hot") -> Noted:
    """Return a note."""
    return Noted(
        stamp=Stamp(id="a", visit_id="v", seq=1, at=datetime(2025, 3, 1, tzinfo=UTC)), text=text
    )


def test_every_entry_has_a_name_on_disk() -> None:
    """No kind of entry can be written without a name of its own."""
    assert set(ENTRY_KINDS.values()) == set(get_args(Entry))


@pytest.mark.parametrize("kind", ENTRY_KINDS.values(), ids=ENTRY_KINDS.keys())
@given(data=st.data())
@SLOW
def test_an_entry_comes_back_as_it_was(kind: type[Any], data: st.DataObject) -> None:
    """An entry of any kind, with any values, is the same after text."""
    entry = data.draw(strategy.of(kind))
    assert there_and_back(entry) == entry


@given(visit=strategy.headers())
@SLOW
def test_a_header_comes_back_as_it_was(visit: VisitHeader) -> None:
    """A header with its frozen procedure is the same after text."""
    assert decode(VisitHeader, from_text(to_text(encode(visit)))) == visit


@given(value=strategy.floats)
def test_a_number_keeps_its_last_bit(value: float) -> None:
    """A raw value comes back with every bit, its zero's sign too."""
    taken = Scribe(header()).taken()
    back = there_and_back(replace(taken, reading=replace(taken.reading, value=value)))
    assert isinstance(back, Taken)
    assert back.reading.value is not None
    assert back.reading.value.hex() == value.hex()


@pytest.mark.parametrize("value", [inf, -inf, nan])
def test_a_number_that_is_none_is_refused(value: float) -> None:
    """Neither infinity nor 'not a number' is ever written."""
    taken = Scribe(header()).taken()
    with pytest.raises(StoreError, match="take the reading again"):
        encode_entry(replace(taken, reading=replace(taken.reading, value=value)))


@pytest.mark.parametrize("text", ["a\x00b", "\ud800"])
def test_text_that_no_database_keeps_is_refused(text: str) -> None:
    """NUL and half of a surrogate pair are refused before they reach a database."""
    with pytest.raises(StoreError, match="type it again"):
        encode_entry(noted(text))


def test_a_time_without_a_zone_is_refused() -> None:
    """A naive time is not guessed to be UTC, neither writing nor reading."""
    note = noted()
    with pytest.raises(StoreError, match="UTC"):
        encode_entry(replace(note, stamp=replace(note.stamp, at=datetime(2025, 3, 1))))  # noqa: DTZ001
    data = written(note)
    data["stamp"]["at"] = "2025-03-01T00:00:00"
    with pytest.raises(ShopFileError, match="with its zone"):
        decode_entry(data)


def test_what_an_older_program_wrote_reads_with_defaults() -> None:
    """A name with a default may be missing; it takes the default."""
    taken = replace(Scribe(header()).taken(), by_key=False, leads_proved=False)
    data = written(taken)
    del data["by_key"], data["leads_proved"], data["reading"]["mode"]
    assert decode_entry(data) == taken


def spoil(data: Plain, path: str, value: object) -> None:
    """Set what stands under a dotted path."""
    *way, last = path.split(".")
    for name in way:
        data = data[name]
    data[last] = value


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        ("colour", "red", "Taken.colour' is unknown here: update this program"),
        ("reading.colour", "red", "Taken.reading.colour' is unknown"),
        ("reading.value", "3.86", "Taken.reading.value' cannot be read: it should hold a number"),
        ("reading.value", True, "Taken.reading.value' cannot be read"),
        ("reading.flags", "auto", "Taken.reading.flags' cannot be read: it should hold a list"),
        ("reading.flags", ["loud"], r"Taken.reading.flags\[0\]' cannot be read: .* one of auto"),
        ("reading.overload", True, "sound values"),
        ("stamp.seq", 1.5, "Taken.stamp.seq' cannot be read: it should hold a whole number"),
        ("stamp", None, "Taken.stamp' cannot be read: it should hold an object"),
        ("check_key", 7, "Taken.check_key' cannot be read: it should hold text"),
        ("by_key", 1, "Taken.by_key' cannot be read: it should hold true or false"),
        ("stamp.at", "noon", "Taken.stamp.at' cannot be read: it should hold a time"),
        ("kind", "guessed", "one of taken, looked"),
        ("kind", ["taken"], "one of taken, looked"),
    ],
)
def test_a_record_that_cannot_be_read_names_the_place(path: str, value: object, says: str) -> None:
    """A damaged or newer record is refused with one line that names where and what."""
    data = written(Scribe(header()).taken())
    spoil(data, path, value)
    with pytest.raises(ShopFileError, match=says) as refused:
        decode_entry(data)
    assert "\n" not in str(refused.value)


def test_a_missing_name_is_said() -> None:
    """What has no default must be there."""
    data = written(noted())
    del data["text"]
    with pytest.raises(ShopFileError, match="'Noted' cannot be read: it should hold a 'text'"):
        decode_entry(data)


@pytest.mark.parametrize("data", [None, [], "taken", 1])
def test_what_is_no_object_is_no_entry(data: object) -> None:
    """JSON that is not an object is refused."""
    with pytest.raises(ShopFileError, match="entry"):
        decode_entry(data)


def test_what_is_not_json_is_said() -> None:
    """A torn record is refused with one line."""
    with pytest.raises(ShopFileError, match="JSON"):
        from_text('{"kind":')


def test_a_wrong_pair_is_refused() -> None:
    """An interview's answer is a pair of texts and nothing else."""
    data = encode(header())
    data["interview"]["answers"] = [["minutes"]]
    with pytest.raises(
        ShopFileError, match=r"answers\[0\]' cannot be read: it should hold a list of 2"
    ):
        decode(VisitHeader, data)
