"""Ten good coils in a real shop: marked, made a band, judged by, named on paper."""

from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic

import pytest
from PySide6.QtWidgets import QApplication

from benchassist.assembly import Place, open_shop
from benchassist.core.band import BandSource, Verdict
from benchassist.core.entry import PartMarked, Taken
from benchassist.core.visit import Visit
from benchassist.services.bench.bench import Bench
from benchassist.services.front.counter_view import COMPLAINT
from benchassist.services.shop import Shop
from tests.end_to_end.paper import pages_of, text_of

COILS = (6.42, 6.55, 6.48, 6.61, 6.37, 6.52, 6.44, 6.58, 6.50, 6.47)
"""Kilohms, at 20 °C: mean 6.494, s 0.07397, so with k = 3.393 for ten 6.494 ± 0.251."""
KEY, FIGURE = "coil_secondary", "engines/A/coil_secondary"
PATIENCE_S = 20.0


@pytest.fixture
def place(tmp_path: Path, qapp: QApplication) -> Place:
    """A shop of its own."""
    assert qapp is QApplication.instance()
    return Place(str(tmp_path / "shop.sqlite"), tmp_path / "home")


@pytest.fixture
def shop(place: Place) -> Iterator[Shop]:
    """It, open."""
    opened = open_shop(place)
    yield opened
    opened.close()


def until(shop: Shop, bench: Bench | None, holds: Callable[[], bool]) -> None:
    """Let store and bench go on until something holds."""
    end = monotonic() + PATIENCE_S
    while not holds():
        assert monotonic() < end, "waited too long"
        if bench is not None:
            bench.tick()
        shop.settle()


def measured(shop: Shop, kilohm: float) -> Bench:
    """A new machine's coil read on the bench, typed from a display of two decimals."""
    tag = shop.counter.machine_form()[0].value
    machine = shop.counter.new_machine({"tag": tag, "unit": "Tiller", "engine_class": "A"})
    bench = shop.bench(shop.counter.open_visit(machine, {COMPLAINT: "quits_hot"}))
    bench.act("submit", "20")
    bench.act("goto", KEY)
    bench.act("type")
    bench.act("submit", f"{kilohm:.2f}k")
    until(shop, bench, lambda: bench.pen.all_in_ink)
    bench.act("goto", KEY)
    return bench


def coil_of(visit: Visit) -> Taken:
    """The reading that stands."""
    latest = visit.latest(KEY)
    assert isinstance(latest, Taken)
    return latest


def test_ten_good_coils_become_the_band_of_the_next_visit(shop: Shop, tmp_path: Path) -> None:
    """Nine are none; the tenth offers a band; adopted, it judges and is named; the past stays."""
    assert shop.spec is not None
    first = measured(shop, COILS[0])
    first.act("mark")
    for kilohm in COILS[1:-1]:
        measured(shop, kilohm).act("mark")
    shop.spec.open()
    until(shop, None, lambda: len(shop.store.part_marks(KEY)) == 9)
    assert shop.spec.parts(FIGURE).adopt_text == ""

    last = measured(shop, COILS[-1])
    assert last.view().ruler is not None
    last.act("mark")
    assert last.view().banner.startswith("Known good: Secondary 6.47 kΩ")
    until(shop, last, lambda: last.pen.all_in_ink)
    ruler = last.view().ruler
    assert ruler is not None
    assert ruler.own_label == "This shop: 6.24 to 6.75 kΩ, from 10 good parts"

    shop.spec.open()
    view = shop.spec.parts(FIGURE)
    assert (view.band_text, view.origin) == ("6.24 to 6.75 kΩ", "from 10 good parts in this shop")
    assert [row.value.split()[0] for row in view.rows] == [f"{c:.2f}" for c in reversed(COILS)]
    shop.spec.adopt(FIGURE)

    before = measured_band(first)
    after = measured(shop, 6.95)
    taken = coil_of(after.visit)
    assert taken.band is not None
    assert (taken.band.source, taken.band.low) == (BandSource.OWN_PARTS, 6240.0)
    assert taken.judgement.verdict is not Verdict.IN_BAND  # in common practice's band it would be
    shop.printer(after.visit.header.id).write_pdf(tmp_path / "slip.pdf")
    assert pages_of(tmp_path / "slip.pdf") == 1
    text = " ".join(text_of(tmp_path / "slip.pdf").split())
    assert "this shop’s own good parts, 10 of them by" in text

    kept = Visit(*shop.store.visit(first.visit.header.id))
    assert measured_band(first) == before == (5500.0, 13000.0, BandSource.COMMON_PRACTICE)
    assert coil_of(kept).judgement.verdict is Verdict.IN_BAND
    assert [e.good for e in kept.entries if isinstance(e, PartMarked)] == [True]


def measured_band(bench: Bench) -> tuple[float | None, float | None, BandSource]:
    """The band in force in a visit."""
    band = bench.visit.procedure.check(KEY).band
    assert band is not None
    return band.low, band.high, band.source


def test_a_closed_visit_s_part_is_marked_a_season_later(place: Place) -> None:
    """The program was closed in between; the mark stands beside a visit that stays closed."""
    shop = open_shop(place)
    bench = measured(shop, 6.50)
    visit_id, entry_id = bench.visit.header.id, coil_of(bench.visit).stamp.id
    bench.act("close_visit")
    until(shop, bench, lambda: bench.pen.all_in_ink)
    shop.close()
    later = open_shop(place)
    said = later.own_bands.mark(visit_id, entry_id)
    assert said == "Known good: Secondary 6.50 kΩ (In band)"
    until(later, None, lambda: [m.good for m in later.store.part_marks(KEY)] == [True])
    assert later.own_bands.set_aside(visit_id, entry_id, "boot was wet").startswith("Set aside")
    later.close()
    again = open_shop(place)
    (mark,) = again.store.part_marks(KEY)
    assert (mark.good, mark.reason) == (False, "boot was wet")
    assert Visit(*again.store.visit(visit_id)).closed
    again.close()
