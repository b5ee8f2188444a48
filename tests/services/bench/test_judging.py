"""The judge command: its JSON is a contract."""

import json
from math import sqrt
from typing import Any

import pytest

from benchassist.errors import InputError
from benchassist.services.bench.judging import judge_text

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


def parts(result: dict[str, Any]) -> dict[str, float]:
    """The contributions by name."""
    return {c["name"]: c["standard_uncertainty"] for c in result["contributions"]}


def test_a_cap_in_its_band() -> None:
    """Every key, base units, and no advice where it is decided."""
    result = judge_text("4.38 kohm", CAP, accuracy="0.8%+3", range_="20 kohm")
    assert set(result) == KEYS
    assert (result["verdict"], result["side"], result["unit"]) == ("in_band", None, "ohm")
    assert result["value"] == 4380.0
    u = sqrt(((0.008 * 4380.0 + 30.0) / sqrt(3.0)) ** 2 + 100.0 / 12.0)
    assert result["expanded_uncertainty"] == pytest.approx(2.0 * u)
    assert parts(result) == pytest.approx(
        {"accuracy": (0.008 * 4380.0 + 30.0) / sqrt(3.0), "count": 10.0 / sqrt(12.0)}
    )
    assert result["probability_in_band"] == pytest.approx(1.0)
    assert result["reason"]
    assert result["advice"] is None


@pytest.mark.parametrize(
    ("reading", "options"),
    [
        ("0.00 kohm", {"accuracy": "0.8%+3", "range_": "20 kohm"}),
        ("3.76 k", {}),
        ("OL", {}),
        ("OL", {"range_": "20 kohm"}),
        ("-5.00 kohm", {}),
        ("4.9 kohm", {"accuracy": "0.01% + 0.004% of range"}),
    ],
)
def test_every_answer_is_plain_json(reading: str, options: dict[str, str]) -> None:
    """Numbers are numbers, absent is null, nothing is NaN; advice exactly where undecided."""
    result = judge_text(reading, CAP, **options)
    assert json.loads(json.dumps(result, allow_nan=False)) == result
    undecided = result["verdict"] in {"too_close", "cannot_tell"}
    assert bool(result["advice"]) is undecided


def test_the_one_ohm_winding_on_the_coarse_range() -> None:
    """The meter cannot tell, and the reason says why in the trade's words."""
    result = judge_text("0.00 kohm", "0.6 ohm..1.3 ohm", accuracy="0.8%+3", range_="20 kohm")
    assert (result["verdict"], result["side"], result["value"]) == ("cannot_tell", None, 0.0)
    assert result["reason"] == "This range steps in 10 Ω. The whole band is only 0.7 Ω wide."
    assert "0.01 Ω" in result["advice"]


def test_without_a_statement_the_worst_case_is_taken() -> None:
    """2 % and 5 counts, where no accuracy is given."""
    result = judge_text("5.00 kohm", CAP)
    assert parts(result)["accuracy"] == pytest.approx((100.0 + 50.0) / sqrt(3.0))


def test_lead_zero_of_the_same_and_of_another_range() -> None:
    """With the same last digit it doubts one count, else its own accuracy."""
    same = judge_text("0.9 ohm", "..2 ohm", lead_zero="0.3 ohm", accuracy="0.8%+3")
    assert same["value"] == pytest.approx(0.6)
    assert parts(same)["lead_zero"] == pytest.approx(0.1 / sqrt(12.0))
    other = judge_text("0.90 ohm", "..2 ohm", lead_zero="0.3 ohm", accuracy="0.8%+3")
    assert parts(other)["lead_zero"] == pytest.approx((0.0024 + 0.3) / sqrt(3.0))


def test_temperature_corrects_copper_only() -> None:
    """Recorded only, without --copper; with it a hot winding is brought to 20 °C."""
    plain = judge_text("9.20 kohm", "5.5 kohm..8 kohm", part_temp=100.0)
    assert plain["value"] == 9200.0
    assert "temperature" not in parts(plain)
    copper = judge_text("9.20 kohm", "5.5 kohm..8 kohm", part_temp=100.0, copper=True)
    assert copper["value"] == pytest.approx(9200.0 / 1.3144)
    assert copper["verdict"] == "in_band"
    assert parts(copper)["temperature"] == pytest.approx(9200.0 / 1.3144**2 * 0.00393 * 2.0)


@pytest.mark.parametrize(
    ("band", "range_", "verdict", "side"),
    [
        (CAP, "20 kohm", "out_of_band", "high"),
        (CAP, "2 kohm", "cannot_tell", None),
        (CAP, None, "cannot_tell", None),
        ("10 Mohm..", "20 Mohm", "in_band", None),
        ("10 Mohm..", "2 Mohm", "cannot_tell", None),
    ],
)
def test_above_range(band: str, range_: str | None, verdict: str, side: str | None) -> None:
    """OL is a reading, never a number, and the touch of the probes is taken as seen."""
    result = judge_text("OL", band, range_=range_)
    assert (result["verdict"], result["side"]) == (verdict, side)
    assert result["value"] is None
    assert result["expanded_uncertainty"] is None
    assert result["probability_in_band"] is None
    assert result["contributions"] == []


@pytest.mark.parametrize(
    ("reading", "band", "unit"),
    [
        ("60.0 Hz", "58.5..61.5 Hz", "hertz"),
        ("0.92 mm", "0.7..0.8 mm", "metre"),
        (".92", "0.7..0.8 mm", "metre"),
        ("3600 rpm", "3450..3750 rpm", "rpm"),
        ("47.5 mV", "..1 V", "volt"),
        ("0.22 µF", "0.15 µF..0.30 µF", "farad"),
    ],
)
def test_other_quantities(reading: str, band: str, unit: str) -> None:
    """The band's unit says what is judged."""
    assert judge_text(reading, band)["unit"] == unit


def test_k_is_a_choice() -> None:
    """A wider factor makes a wider doubt."""
    narrow = judge_text("4.38 kohm", CAP)["expanded_uncertainty"]
    wide = judge_text("4.38 kohm", CAP, k=3.0)["expanded_uncertainty"]
    assert wide == pytest.approx(1.5 * narrow)


@pytest.mark.parametrize(
    ("reading", "band", "options", "said"),
    [
        ("25.0 kohm", CAP, {"range_": "20 kohm"}, "above the range"),
        ("4.38", CAP, {}, "has no unit"),
        ("4.7 V", CAP, {}, "volts, not ohms"),
        ("nan", CAP, {}, "does not start"),
        ("10,160", CAP, {}, "could be"),
        ("", CAP, {}, "nothing was typed"),
        ("4.38 k", "5 kohm", {}, "is no band"),
        ("4.38 k", "6 kohm..5 kohm", {}, "lower limit"),
        ("4.38 k", "0 ohm..", {}, "limits nothing"),
        ("4.38 k", CAP, {"accuracy": "-1%"}, "no accuracy statement"),
        ("4.38 k", CAP, {"accuracy": "good"}, "no accuracy statement"),
        ("4.38 k", CAP, {"range_": "0 ohm"}, "above zero"),
        ("4.38 k", CAP, {"range_": "20 V"}, "volts, not ohms"),
        ("4.38 k", CAP, {"k": 0.0}, "coverage factor"),
        ("4.38 k", CAP, {"k": -2.0}, "coverage factor"),
        ("4.38 k", CAP, {"k": float("nan")}, "coverage factor"),
        ("4.38 k", CAP, {"k": float("inf")}, "coverage factor"),
        ("4.38 k", CAP, {"part_temp": -41.0}, "not possible"),
        ("4.38 k", CAP, {"part_temp": 301.0}, "not possible"),
        ("4.38 k", CAP, {"part_temp": float("nan")}, "not possible"),
        ("4.38 k", CAP, {"copper": True}, "--part-temp"),
        ("60.0 Hz", "..61 Hz", {"copper": True, "part_temp": 20.0}, "ohms only"),
        ("60.0 Hz", "..61 Hz", {"lead_zero": "0.3 ohm"}, "ohms only"),
        ("4.38 k", CAP, {"lead_zero": "OL"}, "hold the probes together"),
    ],
)
def test_wrong_input_is_one_line(
    reading: str, band: str, options: dict[str, Any], said: str
) -> None:
    """It names the input and what would be right."""
    with pytest.raises(InputError, match=said) as refused:
        judge_text(reading, band, **options)
    assert "\n" not in str(refused.value)
