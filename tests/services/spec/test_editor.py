"""The spec book at the counter: found by words, changed with its source, at work for new visits."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.core.band import BandSource
from benchassist.core.quantity import Quantity
from benchassist.core.visit import Visit
from benchassist.errors import InputError, NotFoundError, StepError
from benchassist.services.front.counter_view import COMPLAINT
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from benchassist.services.spec.editor import SpecEditor
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets
from tests.services.fakes import FakeClock, FakeRoom, FakeStore
from tests.services.rig import FakePrinter

COIL = "engines/A/coil_secondary"
STRENGTH = "causes/quits_hot/fuel_restriction/bowl_flow:fades"
ACCURACY = "meters/handheld_6000/resistance/6 kohm"
MAKER = {
    "value": "6 kohm..12 kohm",
    "source": "maker",
    "note": "Workshop manual, page 4-12",
}


@pytest.fixture
def applied() -> list[str]:
    """How often the book was put to work."""
    return []


@pytest.fixture
def editor(tmp_path: Path, applied: list[str]) -> SpecEditor:
    """An editor of the shipped book."""
    made = SpecEditor(OwnSheets(Book(tmp_path / "profiles")), lambda: applied.append("book"))
    made.open()
    return made


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A whole shop without a window."""
    book = Book(tmp_path / "profiles")
    opened = Shop(
        store=FakeStore(),
        book=book,
        room=FakeRoom(),
        printer=FakePrinter(),
        clock=FakeClock(),
        settings_file=SettingsFile(tmp_path / "settings.json"),
        sheets=OwnSheets(book),
    )
    yield opened
    opened.close()


def test_every_word_narrows_the_search(editor: SpecEditor) -> None:
    """Words in any order, in any case, of the name, the class, the kind, the value."""
    everything = editor.view("").rows
    coils = editor.view("COIL").rows
    assert 0 < len(coils) < len(everything)
    (one,) = editor.view("secondary Horizontal coil 13").rows
    assert (one.key, one.value, one.origin) == (COIL, "5.5 kohm..13 kohm", "shipped")
    assert editor.view("zzz").rows == ()
    assert (
        editor.view("coil").found_text == f"{len(coils)} of {len(everything)} · the shop’s own: 0"
    )


def test_kinds_are_there(editor: SpecEditor) -> None:
    """Bands, weights, strengths and accuracies can be found by what they are called."""
    for word in ("band", "weight", "strength", "accuracy"):
        assert editor.view(word).rows


def test_a_form_shows_how_it_stands(editor: SpecEditor) -> None:
    """Value, origin, source and place; the fields hold the same."""
    form = editor.form(COIL)
    pairs = dict(form.pairs)
    assert pairs["Band"] == "5.5 kohm..13 kohm"
    assert pairs["Source"] == "Common practice"
    assert pairs["Stands in"] == "engines/a_flywheel_magneto.toml"
    assert [field.key for field in form.fields] == ["value", "note", "measured", "source"]
    assert form.fields[0].value == "5.5 kohm..13 kohm"
    assert form.fields[3].value == "common practice"
    assert not form.can_restore
    assert dict(editor.form(STRENGTH).pairs)["Source"] == "Shop judgement, not statistics"


def test_faults_name_the_field(editor: SpecEditor) -> None:
    """One line a fault, the field's own name before it; nothing is put to work."""
    assert editor.problems(COIL, {"value": "13 kohm..6 kohm"}) == (
        "Band: '13 kohm..6 kohm': the lower limit must stand first and be below the upper one",
    )
    said = editor.problems(STRENGTH, {"value": "900"})
    assert [line.partition(":")[0] for line in said] == ["Strength", "Note"]
    assert editor.problems(COIL, {}) == ()
    with pytest.raises(InputError, match=r"^Source: a band with source 'maker' needs a note"):
        editor.keep(COIL, MAKER | {"note": " "})


def test_a_change_is_kept_and_put_to_work(editor: SpecEditor, applied: list[str]) -> None:
    """The list, the form and the search say whose it is now; what was shipped stands beside it."""
    editor.keep(COIL, MAKER)
    assert applied == ["book"]
    (row,) = editor.view("shop’s own").rows
    assert (row.key, row.value, row.origin, row.own) == (
        COIL,
        "6 kohm..12 kohm",
        "the shop’s own",
        True,
    )
    form = editor.form(COIL)
    assert dict(form.pairs)["As shipped"] == "5.5 kohm..13 kohm (Common practice)"
    assert form.can_restore


def test_an_empty_band_is_recorded(editor: SpecEditor) -> None:
    """A band can be taken out; its source goes with it."""
    editor.keep(COIL, {"value": "", "source": "maker"})
    assert dict(editor.form(COIL).pairs)["Band"] == "recorded, no band"
    editor.restore(COIL)
    assert not editor.form(COIL).own


def test_undo_says_what_it_took_back(editor: SpecEditor) -> None:
    """The count goes down; with nothing left one line says so."""
    editor.keep(COIL, MAKER)
    editor.keep(STRENGTH, {"value": "5", "note": "our own, 14 machines"})
    assert editor.view("").undo_text == "Undo (2)"
    assert "Fuel restricted" in editor.undo()
    assert "Coil secondary" in editor.undo()
    assert editor.view("").undo_text == ""
    with pytest.raises(StepError, match="nothing was changed here"):
        editor.undo()


def test_a_figure_that_is_gone_is_told(editor: SpecEditor) -> None:
    """One line says what to do."""
    with pytest.raises(NotFoundError, match="choose again"):
        editor.form("engines/A/flux")


def open_visit(shop: Shop, tag: str) -> Visit:
    """A visit of a machine of class A that quits hot."""
    fields = {field.key: field.value for field in shop.counter.machine_form()}
    machine = shop.counter.new_machine(
        fields | {"tag": tag, "customer": "Tallow Hill Orchard", "engine_class": "A"}
    )
    visit_id = shop.counter.open_visit(machine, {COMPLAINT: "quits_hot"})
    return shop.bench(visit_id).visit


def test_an_open_visit_keeps_its_book_and_a_new_one_has_the_new(shop: Shop) -> None:
    """Band and causes are frozen into a visit when it is opened."""
    assert shop.spec is not None
    shop.spec.open()
    before = open_visit(shop, "TH-1")
    shop.spec.keep(COIL, MAKER)
    shop.spec.keep(STRENGTH, {"value": "4", "note": "our own, 14 machines"})
    after = open_visit(shop, "TH-2")
    bands = []
    for visit in (before, after):
        check = next(c for c in visit.procedure.checks if c.key == "coil_secondary")
        assert check.band is not None
        bands.append((check.band.low, check.band.source, check.band.source_note))
    assert bands == [
        (5500.0, BandSource.COMMON_PRACTICE, ""),
        (6000.0, BandSource.MAKER, "Workshop manual, page 4-12"),
    ]
    ratios = []
    for visit in (before, after):
        assert visit.header.causes is not None
        cause = next(c for c in visit.header.causes.causes if c.key == "fuel_restriction")
        ratios += [
            b.ratio for b in cause.bearings if (b.evidence, b.outcome) == ("bowl_flow", "fades")
        ]
    assert ratios == [6.0, 4.0]


def test_a_meter_has_the_new_card_from_now_on(shop: Shop) -> None:
    """The card in use is judged by the changed accuracy, and says whose figure that is."""
    assert shop.spec is not None
    shop.spec.open()
    shop.meters.choose_card("handheld_6000")
    shop.spec.keep(ACCURACY, {"value": "0.5% + 2", "note": "booklet, page 31"})
    card = shop.meter.setup.card
    assert card is not None
    assert card.source_note.endswith("; 6 kohm: booklet, page 31")
    rows = {row.full_scale: row.accuracy for row in card.ranges[Quantity.RESISTANCE]}
    assert (rows[6000.0].percent, rows[6000.0].counts) == (0.5, 2.0)
    assert rows[60_000.0].percent == 0.8
    assert card in shop.meter.cards
