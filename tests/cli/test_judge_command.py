"""`judge`: one reading, one band, one verdict."""

import json

import pytest

from benchassist.cli import main
from tests.cli.program import Program

CAP = "3.75 kohm..6.25 kohm"
KEYS = {
    "verdict",
    "side",
    "value",
    "unit",
    "expanded_uncertainty",
    "probability_in_band",
    "contributions",
    "reason",
    "advice",
}


@pytest.mark.parametrize(
    ("given", "verdict", "side"),
    [
        (("4.98 kohm", "--band", CAP, "--range", "20 kohm"), "in_band", None),
        (("4,98 kΩ", "--band", CAP), "in_band", None),
        (("8.61k", "--band", CAP, "--accuracy", "0.8%+3"), "out_of_band", "high"),
        (("2.10 kohm", "--band", CAP), "out_of_band", "low"),
        (("3.80 kohm", "--band", CAP, "--accuracy", "0.8%+3"), "too_close", None),
        (("0.00 kohm", "--band", "0.6 ohm..1.3 ohm", "--range", "20 kohm"), "cannot_tell", None),
        (("OL", "--band", CAP, "--range", "20 kohm"), "out_of_band", "high"),
        (("OL", "--band", "10 Mohm..", "--range", "40 Mohm"), "in_band", None),
        (("OL", "--band", CAP), "cannot_tell", None),
        (("0.75 mm", "--band", "0.7 mm..0.8 mm", "--accuracy", "1%"), "in_band", None),
        (("1750 rpm", "--band", "1400 rpm..2000 rpm"), "in_band", None),
    ],
)
def test_it_judges(program: Program, given: tuple[str, ...], verdict: str, side: str) -> None:
    """One JSON object with every key of the contract; exit 0 whatever the verdict."""
    done = program("judge", *given, "--json")
    assert (done.code, done.err) == (0, "")
    found = done.json
    assert set(found) == KEYS
    assert (found["verdict"], found["side"]) == (verdict, side)
    overload = given[0] == "OL"
    assert (found["value"] is None) is overload
    assert (found["expanded_uncertainty"] is None) is overload
    assert found["reason"]
    assert bool(found["advice"]) is (verdict in {"too_close", "cannot_tell"})


def test_values_are_in_base_units_after_correction(program: Program) -> None:
    """Lead zero off, copper brought to 20 °C; each contribution has its share of the doubt."""
    corrected = ("--lead-zero", "0.3 ohm", "--part-temp", "45", "--copper")
    found = program("judge", "9.41 kohm", "--band", "5.5 kohm..13 kohm", *corrected, "--json").json
    # R (1 + α (20 − 20)) / (1 + α (45 − 20)), α = 0.00393 (IEC 60028:1925, from memory)
    assert found["value"] == pytest.approx((9410.0 - 0.3) / (1 + 0.00393 * 25), rel=1e-9)
    assert found["unit"] == "ohm"
    squares = sum(c["standard_uncertainty"] ** 2 for c in found["contributions"])
    assert found["expanded_uncertainty"] == pytest.approx(2.0 * squares**0.5, rel=1e-9)
    assert {"accuracy", "count", "temperature"} <= {c["name"] for c in found["contributions"]}


def test_a_temperature_without_copper_is_recorded_only(program: Program) -> None:
    """A cap does not follow the copper law."""
    plain = program("judge", "4.98 kohm", "--band", CAP, "--json").json
    warm = program("judge", "4.98 kohm", "--band", CAP, "--part-temp", "45", "--json").json
    assert warm["value"] == plain["value"] == 4980.0


def test_without_json_it_says_why(program: Program) -> None:
    """The verdict, a sentence and what would settle it, for a person."""
    done = program("judge", "3.80 kohm", "--band", CAP)
    assert done.code == 0
    verdict, reason, _advice = done.out.splitlines()
    assert verdict == "Too close to call"
    assert "3.75 kΩ" in reason


WRONG = [
    (("3.86 kohm",), ("--band",)),
    (("3.86 kohm", "--band"), ("--band",)),
    (("--band", CAP), ("reading",)),
    (("4.7 V", "--band", CAP), ("4.7 V", "ohms")),
    (("3.86 kohm", "--band", "3.75 V..6.25 kohm"), ("V", "ohms")),
    (("30 kohm", "--band", CAP, "--range", "20 kohm"), ("30 kohm", "20 kohm")),
    (("4.98 kohm", "--band", CAP, "--range", "20 V"), ("20 V",)),
    (("4.98 kohm", "--band", CAP, "--range", "0 ohm"), ("0 ohm",)),
    (("4.98 kohm", "--band", "6 kohm..3 kohm"), ("6 kohm..3 kohm",)),
    (("4.98 kohm", "--band", ".."), ("limit",)),
    (("4.98 kohm", "--band", "about five"), ("about five",)),
    (("4.98 kohm", "--band", CAP, "--k", "0"), ("k", "0")),
    (("4.98 kohm", "--band", CAP, "--k", "-2"), ("-2",)),
    (("4.98 kohm", "--band", CAP, "--k", "nan"), ("nan",)),
    (("4.98 kohm", "--band", CAP, "--k", "inf"), ("inf",)),
    (("4.98 kohm", "--band", CAP, "--k", "two"), ("--k",)),
    (("4.98 kohm", "--band", CAP, "--part-temp", "4000"), ("4000", "300")),
    (("4.98 kohm", "--band", CAP, "--part-temp", "-300"), ("-300",)),
    (("4.98 kohm", "--band", CAP, "--part-temp", "nan", "--copper"), ("nan",)),
    (("4.98 kohm", "--band", CAP, "--accuracy", "good"), ("good", "0.8%")),
    (("4.98 kohm", "--band", CAP, "--accuracy", "-1%"), ("-1%",)),
    (("4.98 kohm", "--band", CAP, "--lead-zero", "some"), ("some",)),
    (("4.98 kohm", "--band", CAP, "--lead-zero", "0.3 V"), ("0.3 V",)),
    (("nan", "--band", CAP), ("nan",)),
    (("inf", "--band", CAP), ("inf",)),
    (("1e400", "--band", CAP), ("1e400",)),
    (("1.2.3", "--band", CAP), ("1.2.3",)),
    (("10,160", "--band", CAP), ("10.160", "10160")),
    (("", "--band", CAP), ("typed",)),
    (("4.98 kohm", "--band", CAP, "--bend", CAP), ("--bend",)),
    (("4.98 kohm", "spare", "--band", CAP), ("spare",)),
]


@pytest.mark.parametrize(("given", "words"), WRONG[::6])
def test_wrong_input_is_one_line_from_the_program(
    program: Program, given: tuple[str, ...], words: tuple[str, ...]
) -> None:
    """Exit 2 and one plain line on standard error that names the input, from a real process."""
    program("judge", "--json", *given).refused(*words)


@pytest.mark.parametrize(("given", "words"), WRONG)
def test_wrong_input_is_one_line(
    capsys: pytest.CaptureFixture[str], given: tuple[str, ...], words: tuple[str, ...]
) -> None:
    """The same for every kind of wrong input, in this process."""
    assert main(["judge", "--json", *given]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    (line,) = said.err.splitlines()
    assert all(word in line for word in words), line


def test_the_json_has_no_number_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    """Absent is null: no NaN and no Infinity, which are not JSON."""
    for reading in ("OL", "0.00 k", "4.98k"):
        assert main(["judge", reading, "--band", "1 kohm..", "--json"]) == 0
        out = capsys.readouterr().out
        json.loads(out, parse_constant=pytest.fail)


def test_a_reading_may_begin_with_a_minus(program: Program) -> None:
    """Leads zeroed a little too much show -0.1 ohm; that is a reading and no option."""
    done = program("judge", "-0.1 ohm", "--band", "..1 ohm", "--json")
    assert done.code == 0, done.err
    assert json.loads(done.out)["verdict"] == "in_band"


def test_without_json_the_verdict_comes_first(program: Program) -> None:
    """In the words of the screen, then why."""
    done = program("judge", "9 kohm", "--band", "..5 kohm", "--accuracy", "0.8%+3")
    assert done.out.splitlines()[0] == "Out of band, high"
