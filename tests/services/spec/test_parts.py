"""A shop's own parts in its spec book: shown beside a band, listed, set aside, made the band."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.band import Band, BandSource
from benchassist.core.quantity import NEVER_NEGATIVE, Quantity
from benchassist.core.visit import Visit
from benchassist.errors import InputError, NotFoundError, StepError, StoreError
from benchassist.services.front.counter_view import COMPLAINT
from benchassist.services.settings import SettingsFile
from benchassist.services.shop import Shop
from benchassist.services.spec.editor import SpecEditor
from benchassist.services.spec.parts import stated_band
from benchassist.services.spec.view import PartState
from benchassist.specbook.book import Book
from benchassist.specbook.own_sheet import OwnSheets
from benchassist.units import read_band
from tests.services.fakes import FakeClock, FakeRoom, FakeStore
from tests.services.good_bin import CAPS, fill, mark, marked_visit
from tests.services.rig import FakePrinter

CAP = "checks/cap/marked_5k"
COIL = "engines/A/coil_secondary"
COILS = tuple(1.3 * ohms for ohms in CAPS)


class Bench:
    """A shop over a real book, with parts in its bin."""

    def __init__(self, home: Path) -> None:
        self.book = Book(home / "profiles")
        self.store = FakeStore()
        self.shop = Shop(
            store=self.store,
            book=self.book,
            room=FakeRoom(),
            printer=FakePrinter(),
            clock=FakeClock(),
            settings_file=SettingsFile(home / "settings.json"),
            sheets=OwnSheets(self.book),
        )
        assert self.shop.spec is not None
        self.spec: SpecEditor = self.shop.spec
        self.spec.open()

    def caps(self, *values: float, engine_class: str = "A", first: int = 0) -> list[Visit]:
        """Caps marked 5 kΩ, marked known-good, a machine each."""
        procedure = self.book.procedure("quits_hot", engine_class)
        made = [
            marked_visit(first + i, ohms, procedure, "cap", marking="marked_5k")
            for i, ohms in enumerate(values)
        ]
        fill(self.store, *made)
        self.spec.open()
        return made

    def coils(self, *values: float, engine_class: str = "A", first: int = 500) -> list[Visit]:
        """Coil secondaries."""
        procedure = self.book.procedure("quits_hot", engine_class)
        made = [
            marked_visit(first + i, ohms, procedure, "coil_secondary")
            for i, ohms in enumerate(values)
        ]
        fill(self.store, *made)
        self.spec.open()
        return made

    def visit(self) -> Visit:
        """A visit opened now, of a machine of class A that quits hot."""
        counter = self.shop.counter
        tag = counter.machine_form()[0].value
        machine = counter.new_machine({"tag": tag, "unit": "Tiller", "engine_class": "A"})
        return self.shop.bench(counter.open_visit(machine, {COMPLAINT: "quits_hot"})).visit


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """A shop with an empty bin."""
    opened = Bench(tmp_path)
    yield opened
    opened.shop.close()


def test_a_figure_without_marks_says_nothing_of_them(bench: Bench) -> None:
    """No line, no key, and a page that says how many are missing."""
    form = bench.spec.form(CAP)
    assert form.parts_text == ""
    assert "This shop’s parts" not in dict(form.pairs)
    view = bench.spec.parts(CAP)
    assert view.origin == "0 of 10 good parts: 10 more make a band"
    assert (view.rows, view.ruler, view.adopt_text, view.band_text) == ((), None, "", "")


def test_what_no_part_can_teach_is_refused(bench: Bench) -> None:
    """A weight, a strength, a run's speeds, a meter's accuracy."""
    for key in ("causes/quits_hot/coil", "checks/engine_run/general/low", "no such"):
        with pytest.raises((StepError, NotFoundError)):
            bench.spec.parts(key)
    with pytest.raises(StepError, match="0 of 10"):
        bench.spec.adopt(CAP)


def test_nine_are_counted_and_make_no_band(bench: Bench) -> None:
    """The sheet says how many are missing; nothing can be adopted."""
    bench.caps(*CAPS[:9])
    form = bench.spec.form(CAP)
    assert dict(form.pairs)["This shop’s parts"] == "9 of 10 good parts: 1 more makes a band"
    assert form.parts_text == "Good parts (9)"
    view = bench.spec.parts(CAP)
    assert len(view.rows) == 9
    assert view.adopt_text == ""
    assert view.ruler is not None
    assert (view.ruler.own_label, len(view.ruler.earlier)) == ("", 9)
    with pytest.raises(StepError, match="1 more makes a band"):
        bench.spec.adopt(CAP)


def test_fourteen_stand_beside_the_marking_s_band(bench: Bench) -> None:
    """Origin, claim, normality and the meters' share, each with its name; a ruler with both."""
    bench.caps(*CAPS)
    said = dict(bench.spec.form(CAP).pairs)["This shop’s parts"]
    assert said.endswith(" kΩ, from 14 good parts in this shop")
    view = bench.spec.parts(CAP)
    pairs = dict(view.pairs)
    assert pairs["In the book"] == "3.75 to 6.25 kΩ"
    assert pairs["This shop’s parts"] == said
    assert pairs["It claims"] == "Holds 95 % of such parts, 95 times in 100"
    assert pairs["Their distribution"] == "Nothing speaks against a normal distribution"
    assert view.adopt_text == "Make it the band"
    ruler = view.ruler
    assert ruler is not None
    assert (ruler.low, ruler.high, len(ruler.earlier)) == (3750.0, 6250.0, 14)
    assert ruler.own_label.endswith("from 14 good parts")


def test_a_class_s_band_is_learned_from_that_class_alone(bench: Bench) -> None:
    """A cap is marked alike on every class; a coil is not wound alike."""
    bench.coils(*COILS[:10])
    assert len(bench.spec.parts(COIL).rows) == 10
    assert bench.spec.form("engines/D/coil_secondary").parts_text == ""
    bench.caps(*CAPS[:5])
    bench.caps(*CAPS[5:10], engine_class="D", first=50)
    assert len(bench.spec.parts(CAP).rows) == 10
    assert bench.spec.form("checks/cap/marked_10k").parts_text == ""
    assert bench.book.sharing("coil_secondary", "A") == ("A",)
    assert {"A", "D"} <= set(bench.book.sharing("cap", "D"))
    assert bench.book.sharing("cap", "D") == bench.book.sharing("cap", "")
    assert bench.book.sharing("cap", "of long ago") == ("of long ago",)


def test_rows_name_day_and_machine_and_say_what_is_odd(bench: Bench) -> None:
    """The newest first; one that stands apart, then those left out with the reason."""
    made = bench.caps(*CAPS, 9000.0)
    mark(made[0], reason="lead still on")
    fill(bench.store, made[0])
    bench.spec.open()
    rows = bench.spec.parts(CAP).rows
    assert len(rows) == 15
    odd, *plain, out = rows
    assert (odd.state, odd.note, odd.tag) == (PartState.APART, "stands apart, counts", "P-014")
    assert odd.value.startswith("9.00 kΩ ±")
    assert {row.state for row in plain} == {PartState.COUNTS}
    assert (out.state, out.note, out.aside) == (
        PartState.LEFT_OUT,
        "set aside: lead still on",
        True,
    )
    assert out.day_text == "5 May 2025"


def test_a_part_is_set_aside_and_taken_up_again(bench: Bench) -> None:
    """With a reason; the band follows at once, and so does what the sheet says."""
    made = bench.caps(*CAPS)
    part = made[3].taken("cap")[0].stamp.id
    with pytest.raises(InputError, match="say why"):
        bench.spec.set_aside(CAP, part, "")
    assert bench.spec.set_aside(CAP, part, "borrowed").startswith("Set aside: borrowed")
    view = bench.spec.parts(CAP)
    assert view.origin == "from 13 good parts in this shop"
    assert view.rows[-1].aside
    assert bench.spec.take_up(CAP, part) == "Known good: Plug cap 4.90 kΩ (In band)"
    assert bench.spec.parts(CAP).origin == "from 14 good parts in this shop"
    with pytest.raises(StepError, match="nobody set this one aside"):
        bench.spec.take_up(CAP, part)
    with pytest.raises(NotFoundError, match="not on the list"):
        bench.spec.set_aside(CAP, "no such", "x")


def test_the_band_is_adopted_judges_new_visits_and_is_taken_back(bench: Bench) -> None:
    """In the shop's own book, with the number of parts and the day; old visits keep theirs."""
    bench.coils(*COILS)
    before = bench.visit()
    said = bench.spec.adopt(COIL)
    assert said.endswith("stands in the shop’s own book. Ctrl+Z takes it back.")
    form = bench.spec.form(COIL)
    pairs = dict(form.pairs)
    assert (pairs["Source"], pairs["Note"]) == ("Own parts", "14 of them by 9 Jun 2026")
    assert form.own
    assert bench.spec.parts(COIL).adopt_text == ""
    after = bench.visit()
    band = after.procedure.check("coil_secondary").band
    assert band is not None
    assert band.source is BandSource.OWN_PARTS
    assert band.copper
    assert band.low is not None
    assert 5500.0 < band.low < min(COILS)
    frozen = before.procedure.check("coil_secondary").band
    assert frozen is not None
    assert (frozen.low, frozen.source) == (5500.0, BandSource.COMMON_PRACTICE)
    assert bench.spec.undo().startswith("Undone: ")
    undone = bench.visit().procedure.check("coil_secondary").band
    assert undone is not None
    assert (undone.low, undone.source) == (5500.0, BandSource.COMMON_PRACTICE)


def test_a_band_learned_further_can_be_adopted_again(bench: Bench) -> None:
    """More parts than the book's own band stands on: it is news."""
    bench.coils(*COILS[:10])
    bench.spec.adopt(COIL)
    assert bench.spec.parts(COIL).adopt_text == ""
    bench.coils(*COILS[10:], first=600)
    assert bench.spec.parts(COIL).adopt_text == "Make it the band"


def test_a_step_without_a_band_is_given_one(bench: Bench) -> None:
    """Common practice had none for this class: the shop's own parts make the first."""
    key = "engines/F/coil_secondary"
    bench.coils(*COILS, engine_class="F")
    view = bench.spec.parts(key)
    assert dict(view.pairs)["In the book"] == "recorded"
    assert "As read, however warm: no band stood here to correct them to" in [
        t for _n, t in view.pairs
    ]
    assert view.ruler is not None
    assert view.ruler.low is None
    bench.spec.adopt(key)
    assert dict(bench.spec.form(key).pairs)["Source"] == "Own parts"


def test_a_shop_out_of_reach_is_said_on_the_sheet(bench: Bench) -> None:
    """The book can still be read."""

    class Gone(FakeStore):
        def part_marks(self, check_key: str) -> tuple[()]:
            raise StoreError(f"the shop does not answer: {check_key}")

    bench.shop.own_bands._store = Gone()
    form = bench.spec.form(CAP)
    assert dict(form.pairs)["This shop’s parts"] == "the shop does not answer: cap"
    assert form.parts_text == ""
    with pytest.raises(StoreError):
        bench.spec.parts(CAP)


LIMIT = st.integers(1, 9999).flatmap(
    lambda digits: st.integers(-12, 6).map(lambda place: digits * 10.0**place)
)


@given(quantity=st.sampled_from(Quantity), one=LIMIT, other=LIMIT, sides=st.sampled_from("lhb"))
def test_a_band_as_the_book_writes_it_holds_what_was_learned(
    quantity: Quantity, one: float, other: float, sides: str
) -> None:
    """Read again it is the same band, or wider by less than one part in a billion."""
    if quantity is Quantity.TEMPERATURE:
        one, other = (20.0 + round(limit % 70.0, 4) for limit in (one, other))
    low, high = sorted((one, other))
    if low == high:
        high *= 1.5
    band = Band(
        quantity=quantity,
        low=None if sides == "h" else low,
        high=None if sides == "l" else high,
    )
    read = read_band(stated_band(band), quantity=quantity)
    for there, wanted in ((read.low, band.lower), (read.high, band.high)):
        assert there == (None if wanted is None else pytest.approx(wanted, rel=2e-9))


def test_a_lower_limit_below_nothing_is_not_written() -> None:
    """A quantity that cannot be negative has no such limit."""
    band = Band(quantity=Quantity.RESISTANCE, low=-200.0, high=900.0)
    assert Quantity.RESISTANCE in NEVER_NEGATIVE
    assert stated_band(band) == "..900 Ω"
