"""A long list is printed item by item, and reads as if it had been printed at once."""

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchassist.cli.output import print_json, print_json_list

VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(items=st.lists(VALUES, max_size=5))
def test_it_is_the_same_to_the_last_byte(
    capsys: pytest.CaptureFixture[str], items: list[object]
) -> None:
    """Whatever is in it: nothing, quotes, what would steer a terminal."""
    print_json({"visits": items})
    at_once = capsys.readouterr().out
    print_json_list("visits", iter(items))
    assert capsys.readouterr().out == at_once


def test_nothing_is_printed_before_the_first_item(capsys: pytest.CaptureFixture[str]) -> None:
    """A shop that cannot be opened leaves standard output empty."""
    shop: dict[str, object] = {}

    def items() -> Iterator[object]:
        yield shop["first"]

    with pytest.raises(KeyError):
        print_json_list("visits", items())
    assert capsys.readouterr().out == ""
