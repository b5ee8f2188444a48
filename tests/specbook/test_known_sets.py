"""Known readings of every engine class, judged by core against the shipped bands."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band, Judgement, Verdict, judge, judge_overload
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.procedure import Check
from benchassist.core.reading import Reading
from benchassist.specbook.book import Book
from benchassist.units import read_quantity
from tests.specbook.shelf import check_of

SETS: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "known_sets.toml").read_text(encoding="utf-8")
)["set"]
METER = Accuracy(percent=0.8, counts=3.0)


@pytest.fixture(scope="module")
def book() -> Book:
    """The shipped profiles."""
    return Book()


CASES = [
    pytest.param(
        known["engine"], row, id=f"{known['engine']}-{known['kind']}-{row['check']}-{row['value']}"
    )
    for known in SETS
    for row in known["readings"]
]


def band_of(check: Check, option: str | None) -> Band | None:
    """The band that the check has for that marking or type."""
    if option is None:
        assert not check.options, "a check with options needs one of them"
        return check.band
    return next(o.band for o in check.options if o.key == option)


def judged(row: dict[str, Any], check: Check, band: Band) -> Judgement:
    """What core says of a reading of a cold part."""
    quantity = band.quantity
    full_scale = read_quantity(row["range"], quantity=quantity).value if "range" in row else None
    if row["value"] == "OL":
        return judge_overload(full_scale, band, leads_proved=True)
    reading = Reading(
        t_s=0.0,
        channel="A",
        quantity=quantity,
        value=read_quantity(row["value"], quantity=quantity).value,
        resolution=read_quantity(row["step"], quantity=quantity).value,
        full_scale=full_scale,
    )
    conditions = Conditions(
        accuracy=check.accuracy or METER,
        part_temperature=PartTemperature(celsius=20.0) if band.copper else None,
        copper_reference=band.reference_celsius if band.copper else None,
    )
    return judge(estimate(reading, conditions), band)


@pytest.mark.parametrize(("engine", "row"), CASES)
def test_a_known_reading_gets_its_verdict(engine: str, row: dict[str, Any]) -> None:
    """Sound parts are in band, faults out of it on the right side, unbanded ones recorded."""
    check = check_of(row["check"], engine)
    band = band_of(check, row.get("option"))
    wanted = row.get("verdict", "in_band")
    if band is None:
        assert wanted == Verdict.RECORDED
        return
    judgement = judged(row, check, band)
    assert judgement.verdict == wanted
    assert judgement.side == row.get("side")


@pytest.mark.parametrize("kind", ["sound", "faulty"])
def test_every_class_has_a_set_of_each_kind(kind: str, book: Book) -> None:
    """No engine class ships without a sound and a faulty set, and each set decides something."""
    told = {known["engine"]: known["readings"] for known in SETS if known["kind"] == kind}
    assert set(told) == {engine.key for engine in book.engine_classes()}
    wanted = "out_of_band" if kind == "faulty" else "in_band"
    for engine, readings in told.items():
        assert any(row.get("verdict", "in_band") == wanted for row in readings), engine
        if kind == "sound":
            assert all(row.get("verdict") in {None, "recorded"} for row in readings), engine
