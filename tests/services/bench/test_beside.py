"""Last season beside now: what was in band in an earlier visit, on the bench."""

from dataclasses import replace

from benchassist.core.band import Band, BandSource
from benchassist.core.entry import Did
from benchassist.core.procedure import Check
from benchassist.core.visit import Visit
from benchassist.errors import StoreError
from benchassist.services.bench.beside import Beside
from benchassist.services.record.machine_file_view import LastGood
from benchassist.units import UnitChoice
from tests.services.fakes import FakeStore
from tests.services.rig import BenchRig
from tests.services.season import CAP, COIL, Season, kept
from tests.services.story import OHMS, measured

UNITS = UnitChoice()
PATIENCE_S = 20.0


def beside(now: Season, *earlier: Season, store: FakeStore | None = None) -> Beside:
    """Beside a visit, once it was looked for."""
    found = Beside(now.visit, store=store or kept(*earlier, now), units=UNITS)
    found.close()
    return found


def line(now: Season, *earlier: Season, check: Check = COIL) -> str:
    """What is said before there is a reading."""
    return beside(now, *earlier).line(check, None)


def test_the_newest_value_in_band_of_an_earlier_visit_is_found() -> None:
    """Not last year's, which was out of band; nothing where nothing was in band."""
    good, odd, now = Season(2023), Season(2024), Season(2025)
    good.take("coil", 6500.0)
    odd.take("coil", 9000.0)
    found = beside(now, good.close(), odd.close())
    last = found.of(COIL)
    assert isinstance(last, LastGood)
    assert found.line(COIL, None) == "In band on 9 Jun 2023: 6.50 ±0.11 kΩ"
    assert found.of(CAP) is None
    assert found.line(CAP, None) == ""


def test_a_later_visit_is_not_earlier() -> None:
    """An old visit opened again has only what came before it."""
    old, newer = Season(2023), Season(2024)
    newer.take("coil", 6500.0)
    assert line(old, newer) == ""


def test_how_far_it_moved_is_said_of_a_reading() -> None:
    """Within the doubt nothing is claimed."""
    first, now = Season(2024), Season(2025)
    first.take("coil", 6500.0)
    found = beside(now, first.close())
    same = now.take("coil", 6520.0)
    moved = now.take("coil", 6900.0)
    assert found.line(COIL, same) == "No real change since 9 Jun 2024"
    assert found.line(COIL, moved).startswith("Up 0.40 kΩ ±")


def test_a_part_worked_on_since_is_said_instead_of_a_change() -> None:
    """In an earlier visit or in this one."""
    first, second, now = Season(2023), Season(2024), Season(2025)
    first.take("coil", 6500.0)
    second.fit("coil", "Coil 12-A")
    note = "In band on 9 Jun 2023: 6.50 ±0.11 kΩ; worked on or renewed since"
    third = Season(2025)
    third.add(Did(stamp=third.stamp(), text="air gap set", check_key="coil"))
    assert line(third, first) == note
    assert beside(third, first).line(COIL, third.take("coil", 6900.0)) == note
    second.take("coil", 9000.0)
    assert line(now, first, second) == note


def test_a_part_of_another_marking_is_not_compared() -> None:
    """A 10 kΩ cap after a 5 kΩ one: said, and no mark on the ruler."""
    five = Band(quantity=OHMS, low=3750.0, high=6250.0, source=BandSource.MARKING)
    ten = replace(five, low=7500.0, high=12500.0)
    first = Season(2024, measured("cap", band=five))
    first.take("cap", 4400.0)
    now = Season(2025, measured("cap", band=ten))
    found = beside(now, first.close())
    check = now.visit.procedure.check("cap")
    assert found.line(check, now.take("cap", 9900.0)).endswith("; another marking then")
    ruler = BenchRig(check).view.ruler
    assert ruler is not None
    assert found.ruler(ruler, check, ten) is ruler


def test_the_mark_on_the_ruler_is_at_the_band_s_temperature() -> None:
    """Then the band stood for 25 °C; a coil of 20 °C reads as much less as copper does."""
    assert COIL.band is not None
    first = Season(2024, replace(COIL, band=replace(COIL.band, reference_celsius=25.0)))
    first.take("coil", 6500.0, celsius=25.0)
    now = Season(2025)
    found = beside(now, first.close())
    ruler = BenchRig(COIL).view.ruler
    if ruler is None:
        rig = BenchRig(COIL)
        rig.past_the_start()
        ruler = rig.view.ruler
    assert ruler is not None
    (mark,) = found.ruler(ruler, COIL, COIL.band).earlier
    assert abs(mark - 6500.0 / (1.0 + 0.00393 * 5.0)) < 0.5
    assert found.ruler(ruler, COIL, COIL.band).earlier_label.startswith("9 Jun 2024: 6.5")


class Away(FakeStore):
    """A store out of reach."""

    def history(self, machine_id: str, *, but=()):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
        raise StoreError(f"{machine_id} cannot be reached {but}")


def test_what_cannot_be_read_shows_nothing() -> None:
    """The bench works on."""
    now = Season(2025)
    assert beside(now, store=Away()).line(COIL, None) == ""


def test_the_bench_shows_it_before_and_beside_the_reading() -> None:
    """Its ruler has the mark, its reasons the day; nothing of it where the meter cannot tell."""
    rig = BenchRig(CAP)
    first = Season(2024)
    first.take("cap", 4380.0)
    rig.store.submit_visit(first.visit.header)
    rig.store.submit(*first.visit.entries)
    header = replace(rig.bench.visit.header, machine=first.visit.header.machine)
    rig.bench.visit.header = header
    rig.bench.beside = Beside(Visit(header), store=rig.store, units=UNITS)
    rig.bench.beside.close()
    rig.past_the_start()
    view = rig.view
    assert view.reasons[-1] == "In band on 9 Jun 2024: 4.38 ±0.08 kΩ"
    assert view.ruler is not None
    assert view.ruler.earlier == (4380.0,)
    rig.touch(4400.0, resolution=10.0, seconds=0.5)
    assert rig.view.reasons[-1] == "No real change since 9 Jun 2024"
    rig.lift()
    rig.touch(0.0, resolution=10e3, seconds=0.5)
    assert not any("2024" in reason for reason in rig.view.reasons)
