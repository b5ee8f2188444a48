"""The shipped profiles: clean, every band with its source, figures of common practice only."""

from collections.abc import Iterator

import pytest

from benchassist.core.band import Band, BandSource
from benchassist.core.procedure import Check, CheckKind
from benchassist.specbook.binding import REFERENCE
from benchassist.specbook.check import check
from tests.specbook.shelf import BENCH, CLASSES, COMPLAINTS, EACH, procedure

PSI = 6894.757
"""Pascal, from memory, to the last digit that matters here."""

# Common practice of the trade, without a published source. A figure of one maker's manual for one
# model is no band of a class and must not appear here. Base units; None: open.
COMMON_PRACTICE: dict[str, set[tuple[float | None, float | None]]] = {
    "plug_gap": {(0.0007, 0.0008)},
    "plug_resistor": {(3000.0, 7500.0), (None, 10.0)},
    "stop_insulation": {(10e6, None)},
    "stop_switch": {(None, 0.5)},
    "cap": {(None, 10.0)},
    "coil_primary": {(0.6, 1.3), (0.3, 1.5)},
    "coil_secondary": {(5500.0, 13000.0), (2500.0, 5000.0), (1500.0, 12000.0)},
    "path": {(9250.0, 19250.0), (13000.0, 25500.0), (5500.0, 13010.0)},
    "air_gap": {(0.00025, 0.0004)},
    "condenser": {(0.15e-6, 0.30e-6)},
    "points_gap": {(0.00038, 0.00051)},
    "exciter": {(100.0, 1000.0)},
    "trigger": {(50.0, 500.0)},
    "coil_supply": {(9.5, None)},
    "idle_low": {(1400.0, 2000.0), (1800.0, 2200.0), (1700.0, 2400.0), (2600.0, 3200.0)},
    "idle_high": {(3400.0, 3600.0), (3400.0, 3750.0), (2800.0, 3300.0)},
    "compression": {(90.0 * PSI, 140.0 * PSI), (90.0 * PSI, None)},
    "lash_intake": {(0.00008, 0.00015)},
    "lash_exhaust": {(0.00013, 0.0002)},
}
BANDED = {
    "A": {"plug_gap", "coil_primary", "coil_secondary", "path", "air_gap"},
    "B": {"plug_gap", "coil_secondary", "air_gap"},
    "C": {"coil_primary", "air_gap", "condenser", "points_gap"},
    "D": {"coil_secondary", "air_gap"},
    "E": {"exciter", "trigger"},
    "F": {"coil_supply"},
    "unknown": set[str](),
}
OF_ANY_CLASS = {"plug_resistor", "stop_insulation", "stop_switch", "cap", "idle_low", "idle_high"}
SKETCHES = {
    *("cap", "coil_primary", "coil_secondary", "path", "plug", "stop_wire", "stop_switch"),
    *("oil_switch", "air_gap", "plug_gap", "spark_tester", "tachometer", "leads", "look"),
}


def bands(check: Check) -> Iterator[Band]:
    """Every band a check can be judged against."""
    if check.band is not None:
        yield check.band
    yield from (option.band for option in check.options if option.band is not None)


def test_the_shipped_profiles_have_no_fault() -> None:
    """What is checked before it ships stays clean."""
    assert check() == ()


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_every_band_is_common_practice_or_a_marking(key: str, engine: str) -> None:
    """Each figure stands in the table above, says so, and says where to probe."""
    for one in procedure(key, engine).checks:
        for band in bands(one):
            if band.source is BandSource.MARKING:
                assert (one.key, bool(band.source_note)) == ("cap", True)
                continue
            assert band.source is BandSource.COMMON_PRACTICE
            limits = tuple(
                None if limit is None else pytest.approx(limit) for limit in (band.low, band.high)
            )
            assert any(limits == known for known in COMMON_PRACTICE[one.key]), one.key
            assert band.probe_points or one.pulses_per_rev or one.key.startswith("idle")
            assert band.reference_celsius == REFERENCE


@pytest.mark.parametrize("engine", CLASSES)
def test_only_what_practice_gives_has_a_band(engine: str) -> None:
    """A class has the bands it is known for and no other; the rest is recorded."""
    found = {one.key for one in procedure(BENCH, engine).checks if any(bands(one))}
    assert found - OF_ANY_CLASS == BANDED[engine]


@pytest.mark.parametrize("engine", CLASSES)
def test_the_rest_of_the_book_adds_few_bands(engine: str) -> None:
    """Compression for any class with its release asked, lash where practice gives it: class A."""
    checks = [one for key in COMPLAINTS for one in procedure(key, engine).checks]
    found = {one.key for one in checks if any(bands(one))} - OF_ANY_CLASS - BANDED[engine]
    lash = {"lash_intake", "lash_exhaust"} if engine == "A" else set[str]()
    assert found == {"compression"} | lash


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_only_windings_follow_the_copper_law(key: str, engine: str) -> None:
    """Coils do; caps, plugs, wires and the whole path do not."""
    windings = {"coil_primary", "coil_secondary", "exciter", "trigger"}
    for one in procedure(key, engine).checks:
        assert all(band.copper is (one.key in windings) for band in bands(one)), one.key


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_every_check_tells_what_to_do(key: str, engine: str) -> None:
    """Title, place, reason, minutes and a drawing that exists; lines that fit the bench."""
    for one in procedure(key, engine).checks:
        assert one.sketch in SKETCHES
        assert one.why
        assert one.minutes > 0.0
        assert 0 < len(one.title) <= 36
        assert 0 < len(one.short) <= 10
        assert 0 < len(one.touch) <= 64
        assert len(one.setting) <= 56
        assert bool(one.setting) or one.kind is CheckKind.LOOK
        if one.kind is CheckKind.MEASURE and not one.key.startswith("idle"):
            assert one.typical is not None


@pytest.mark.parametrize(("key", "engine"), EACH)
def test_insulation_expects_an_overload(key: str, engine: str) -> None:
    """Only where a sound part shows 'Above range', and there no upper limit stands in the way."""
    for one in procedure(key, engine).checks:
        assert one.expects_overload is (one.key == "stop_insulation")
        if one.expects_overload:
            assert one.band is not None
            assert one.band.high is None


@pytest.mark.parametrize("engine", CLASSES)
def test_checks_that_share_an_answer_offer_the_same_options(engine: str) -> None:
    """One answer for cap and path, one for speeds and runs: same keys, texts and question."""
    groups: dict[str, list[tuple[str, list[tuple[str, str]]]]] = {}
    for key, of_class in EACH:
        for one in procedure(key, of_class).checks if of_class == engine else ():
            if one.options:
                offered = [(option.key, option.text) for option in one.options]
                groups.setdefault(one.option_group, []).append((one.option_question, offered))
    assert {"cap_marking", "application", "release"} <= set(groups)
    for asked in groups.values():
        assert all(question == asked[0] for question in asked)
