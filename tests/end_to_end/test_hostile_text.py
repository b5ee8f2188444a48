"""Hostile text in every field: through the window, slips, exports, imports, search, backups."""

import csv
import json
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from benchassist.assembly import Place, keeping, record
from benchassist.core.plain_text import JOINERS, plain
from benchassist.core.visit import Visit
from benchassist.paint import lettering
from benchassist.paint.lettering import Style
from benchassist.storage import open_store
from benchassist.storage.exchange import export_visits
from benchassist.storage.parcel import read_parcels
from benchassist.storage.reading_sheet import FORMULA, NUMBER
from benchassist.ui.page import Turn
from tests.end_to_end.hostile_shop import HostileShop, hostile_shop
from tests.end_to_end.paper import pages_of, text_of
from tests.end_to_end.technician import Technician, at_work
from tests.hostile import HOSTILE

PAGES = ("machine", "machine_edit", "interview", "tags", "photos")
SCREENED = ("html", "lines", "right to left", "marks", "no blank", "megabyte")
"""Shown on every page; each text alone goes through the lettering in tests/paint."""
VISIT_PAGES = ("bench", "findings", "print", "photos")


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> HostileShop:
    """Return the shop; tests look at it and change nothing."""
    return hostile_shop(tmp_path_factory.mktemp("hostile"))


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was drawn outside its part, or would steer what shows it."""
    faults: list[str] = []
    draw = lettering.draw

    def recorded(painter: QPainter, x: float, baseline: float, text: str, style: Style) -> QRectF:
        rect = draw(painter, x, baseline, text, style)
        device = painter.device()
        if isinstance(device, QWidget):
            where = painter.worldTransform().mapRect(rect)
            if where.left() < -1.5 or where.right() > device.width() + 1.5:
                faults.append(f"{type(device).__name__}: outside: {text[:60]!r}")
        if plain(text) != text:
            faults.append(f"not plain: {text[:60]!r}")
        return rect

    monkeypatch.setattr(lettering, "draw", recorded)
    return faults


@pytest.fixture
def window(hostile: HostileShop, qapp: object) -> Iterator[Technician]:
    """The window on that shop."""
    assert qapp is not None
    with at_work(hostile.place) as technician:
        yield technician


def shown(technician: Technician, to: Turn) -> None:
    """Turn to a page, and draw it until it has everything."""
    shell = technician.shell
    shell.turn(to)
    assert technician.page == to.page, f"{to}: {technician.problem}"
    technician.stage.pump(0.05)
    shell.page.refresh()
    assert not shell.grab().isNull()


def test_every_page_shows_it_and_stays_in_order(
    window: Technician, hostile: HostileShop, drawn: list[str]
) -> None:
    """Nothing raises, Qt warns of nothing, nothing leaves its part, no text steers another."""
    for name in SCREENED:
        header = hostile.visits[name]
        window.shell.turn(Turn(page="counter"))
        window.shell.counter.search.field.setText(HOSTILE[name][:200])
        assert not window.shell.grab().isNull()
        window.shell.counter.search.field.setText("")
        for page in PAGES:
            shown(window, Turn(page=page, machine_id=header.machine.id, visit_id=header.id))
        for page in VISIT_PAGES:
            shown(window, Turn(page=page, visit_id=header.id))
        assert not drawn, f"{name}: " + "\n".join(drawn)
    for page in ("settings",):
        shown(window, Turn(page=page))
    assert not drawn, "\n".join(drawn)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_slip_is_one_page_of_plain_text(
    hostile: HostileShop, qapp: object, tmp_path: Path, name: str
) -> None:
    """The PDF has one page, its words are harmless, and no mark-up was obeyed."""
    assert qapp is not None
    out = tmp_path / "slip.pdf"
    record.print_slip(hostile.place, hostile.visits[name].id, out, None)
    assert pages_of(out) == 1
    words = text_of(out).replace("\n", " ").replace("\f", " ")
    steering = [c for c in words if unicodedata.category(c) in {"Cc", "Cf"} and c not in JOINERS]
    # pdftotext itself marks the direction of words of either script.
    assert name == "script" or not steering
    if name == "html":
        assert "<b>bold</b>" in words


def test_it_goes_out_and_comes_in_without_loss(hostile: HostileShop, tmp_path: Path) -> None:
    """Exported, imported into another shop and exported again: the same to the last byte."""
    ids = [header.id for header in hostile.visits.values()]
    first, again = tmp_path / "first.json", tmp_path / "again.json"
    record.write_export(hostile.place, ids, first)
    with open_store(tmp_path / "other.sqlite") as other:
        assert other.take_in(read_parcels(first)).wait().imported == len(ids)
        text = json.dumps(
            export_visits([other.visit(one) for one in ids], other.run_record), ensure_ascii=False
        )
        again.write_text(text, "utf-8")
        for name, header in hostile.visits.items():
            assert other.visit(header.id) == (header, hostile.entries[name])
    told = [json.loads(file.read_text("utf-8"))["visits"] for file in (first, again)]
    for visit in (v for visits in told for v in visits):
        del visit["photos"]  # those of the first know that no file of theirs lies there
    assert told[0] == told[1]


def test_a_sheet_runs_nothing_and_reads_back(hostile: HostileShop, tmp_path: Path) -> None:
    """No cell is a formula; the csv module and pandas read the same cells, a row a reading."""
    out = tmp_path / "sheet.csv"
    record.write_export(hostile.place, [h.id for h in hostile.visits.values()], out)
    with out.open(encoding="utf-8", newline="") as file:
        csv.field_size_limit(2**24)
        rows = list(csv.DictReader(file))
    frame = pd.read_csv(out, dtype=str, keep_default_na=False)
    assert list(frame.columns) == list(rows[0])
    units = {row["machine_unit"] for row in rows}
    assert units == set(frame["machine_unit"])
    assert len(rows) == len(frame)
    for text in HOSTILE.values():
        assert (f"'{text}" if text.startswith(FORMULA) else text) in units
    for row in rows:
        for cell in row.values():
            assert not cell.startswith(FORMULA) or NUMBER.fullmatch(cell)


def test_it_is_found_and_the_search_stays_whole(hostile: HostileShop) -> None:
    """Each text finds its machine as far as it has words, and no text is a command."""
    with open_store(hostile.place.shop) as store:
        before = store.machine_count()
        for name, text in HOSTILE.items():
            found = {m.id for m in store.find(text[:200], 100).machines}
            if name in {"html", "sql", "format", "path", "script", "lines", "unseen"}:
                assert hostile.visits[name].machine.id in found, name
        assert store.machine_count() == before


def test_a_backup_holds_it_and_gives_it_back(hostile: HostileShop, tmp_path: Path) -> None:
    """Backed up, restored into another shop: every visit is as it was."""
    to = tmp_path / "backup.sqlite"
    keeping.back_up(hostile.place, to)
    place = Place(str(tmp_path / "back.sqlite"), tmp_path / "home", named=True)
    keeping.restore(place, keeping.look_at(place, to))
    with open_store(place.shop) as store:
        for name, header in hostile.visits.items():
            visit = Visit(*store.visit(header.id))
            assert (visit.header, tuple(visit.entries)) == (header, hostile.entries[name])
