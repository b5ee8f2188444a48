"""The shop: a bench kept until all it wrote is on disk, slips from bench or store, closing."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.entry import Taken
from benchassist.core.quantity import Quantity
from benchassist.core.slip import Paper
from benchassist.errors import InputError, NotFoundError
from benchassist.services.bench.pen import RETRY_AFTER
from benchassist.services.bench.view import NumberState
from benchassist.services.settings import Settings
from tests.services.fakes import PLAIN, FakeStore
from tests.services.rig import CARD, ShopRig


@pytest.fixture
def rig(tmp_path: Path) -> ShopRig:
    """A shop whose store writes only when told to."""
    return ShopRig(tmp_path, store=FakeStore(at_once=False))


def typed_at_secondary(rig: ShopRig, visit_id: str) -> None:
    """Take one typed reading at the first step."""
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    bench.act("type")
    bench.act("submit", "9.10")


def test_leaving_with_a_write_in_hand_loses_nothing(rig: ShopRig) -> None:
    """Left in pencil, settled at the counter: back on the bench it is taken and goes on."""
    visit_id = rig.visit()
    typed_at_secondary(rig, visit_id)
    bench = rig.shop.bench(visit_id)
    assert bench.view().number.state is NumberState.WRITING
    bench.act("leave")
    rig.store.commit()
    rig.shop.counter.tick()
    assert bench.pen.all_in_ink
    back = rig.shop.bench(visit_id)
    assert back is bench
    assert back.view().number.state is NumberState.TAKEN
    back.tick()
    assert back.visit.current.key == "cap"
    back.act("choose", "1")
    back.act("type")
    back.act("submit", "4.90")
    assert [e.reading.value for e in back.visit.entries if isinstance(e, Taken)] == [9100.0, 4900.0]


def test_two_visits_share_the_store(rig: ShopRig) -> None:
    """What one bench wrote is not lost to the other's settling."""
    one, two = rig.visit(rig.machine("A-1")), rig.visit(rig.machine("A-2"))
    typed_at_secondary(rig, one)
    typed_at_secondary(rig, two)
    for _ in range(2):
        rig.store.commit()
        rig.shop.bench(two).tick()
        rig.shop.bench(one).tick()
    rig.store.commit()
    rig.shop.settle()
    assert rig.shop.bench(one).pen.all_in_ink
    assert rig.shop.bench(two).pen.all_in_ink
    for visit_id in (one, two):
        assert list(rig.shop.visit(visit_id).entries) == rig.store.entries[visit_id]


def test_a_closed_visits_bench_is_kept_until_all_is_in_ink(rig: ShopRig) -> None:
    """Then it is let go, and the visit comes from the store."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    bench.act("close_visit")
    rig.shop.settle()
    assert rig.shop.bench(visit_id) is bench
    rig.store.commit()
    rig.shop.settle()
    fresh = rig.shop.bench(visit_id)
    assert fresh is not bench
    assert fresh.visit.closed
    assert fresh.visit.entries == bench.visit.entries


def test_an_open_visits_bench_stays(rig: ShopRig) -> None:
    """Ink alone does not end a bench: the technician comes back to the same one."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    rig.store.commit()
    rig.shop.settle()
    assert bench.pen.all_in_ink
    assert rig.shop.bench(visit_id) is bench


def test_closing_the_shop_writes_what_was_refused(rig: ShopRig) -> None:
    """A disk that is free again at the end gets everything, without the wait between two tries."""
    rig.store.why = "the disk is full"
    visit_id = rig.visit(rig.machine("TH-07"))
    typed_at_secondary(rig, visit_id)
    rig.store.commit()
    rig.shop.counter.tick()
    bench = rig.shop.bench(visit_id)
    assert "the disk is full" in bench.view().banner
    rig.store.why = ""
    rig.shop.close()
    assert rig.store.visit(visit_id) == (bench.visit.header, bench.visit.entries)
    assert [m.tag for m in rig.store.machines()] == ["TH-07"]
    tickets = rig.store._ticket
    rig.shop.close()
    assert rig.store._ticket == tickets


def test_closing_the_shop_unlinks_the_meter(rig: ShopRig) -> None:
    """No thread and no port is left behind."""
    rig.shop.meters.connect("/dev/fake0", "nibble-14", "")
    rig.shop.close()
    assert rig.room.links[-1].closed
    assert not rig.shop.meter.linked


def test_a_visit_that_is_nowhere_is_said(rig: ShopRig) -> None:
    """Neither bench nor slip."""
    with pytest.raises(NotFoundError):
        rig.shop.bench("gone")
    with pytest.raises(NotFoundError):
        rig.shop.slip("gone")


def test_a_slip_is_printed_as_it_stands(rig: ShopRig, tmp_path: Path) -> None:
    """From the bench while it is under work, on the shop's paper, under its own file name."""
    visit_id = rig.visit()
    typed_at_secondary(rig, visit_id)
    printer = rig.shop.printer(visit_id)
    assert printer.file_name() == "slip-0001.pdf"
    assert printer.slip().lines[0].value == "9.10 kΩ"
    printer.write_pdf(tmp_path / "slip.pdf")
    assert (tmp_path / "slip.pdf").read_text("utf-8") == f"Job slip 0001 {Paper.A4.value}"
    printer.print_on("a device")
    assert rig.printer.drawn_on == ["a device"]
    assert rig.printer.printed == [printer.slip()] * 2


def test_the_shop_opens_with_the_card_and_statement_it_kept(tmp_path: Path) -> None:
    """A chosen card and a typed statement hold from the first reading on."""
    rig = ShopRig(tmp_path)
    rig.file.write(Settings(meter_card="drawer", meter_accuracy="1.2% + 5"))
    again = ShopRig(tmp_path)
    setup = again.shop.meter.setup
    assert (setup.card, setup.name, setup.accuracy_note) == (CARD, CARD.name, "1.2% + 5")
    (stated,) = setup.stated
    assert (stated.accuracy.percent, stated.accuracy.counts) == (1.2, 5.0)


def test_a_card_that_is_gone_from_the_book_is_no_card(tmp_path: Path) -> None:
    """The shop opens all the same; the worst case is assumed."""
    ShopRig(tmp_path).file.write(Settings(meter_card="lost"))
    assert ShopRig(tmp_path).shop.meter.setup.card is None


def test_damaged_settings_are_named_before_anything_opens(tmp_path: Path) -> None:
    """One line with the file's name."""
    (tmp_path / "settings.json").write_text("{", "utf-8")
    with pytest.raises(InputError, match=r"settings\.json"):
        ShopRig(tmp_path)


def test_a_refused_visit_is_retried_while_the_counter_is_in_front(rig: ShopRig) -> None:
    """Time passes at the counter, and the bench behind it hands over again."""
    rig.store.at_once = True
    machine = rig.machine()
    rig.store.why = "the shop file is locked"
    visit_id = rig.visit(machine)
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    rig.shop.counter.tick()
    assert bench.pen.trouble == "the shop file is locked"
    rig.store.why = ""
    rig.clock.pass_by(RETRY_AFTER)
    rig.shop.counter.tick()
    rig.shop.counter.tick()
    assert bench.pen.all_in_ink
    assert [s.visit_id for s in rig.shop.counter.view("").slips] == [visit_id]


def test_coming_back_to_a_visit_its_own_quantity_is_wanted_again(tmp_path: Path) -> None:
    """Another visit stood at a step in hertz: back at ohms, a touch is taken by itself."""
    rig = ShopRig(tmp_path)
    rig.shop.meters.connect("/dev/fake0", "nibble-14", "")
    rig.shop.meter.keep_match(rig.clock.now())
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    bench.tick()
    rig.shop.meter.expect(Quantity.FREQUENCY)
    back = rig.shop.bench(visit_id)
    for i in range(12):
        rig.clock.pass_by(0.25)
        rig.room.links[-1].items.append(replace(PLAIN, t_s=0.25 * i, value=9100.0))
        back.tick()
    assert [e.reading.value for e in back.visit.entries if isinstance(e, Taken)] == [9100.0]
