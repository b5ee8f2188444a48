from dataclasses import replace
from statistics import NormalDist

import pytest

from benchassist.core.band import BandSource
from benchassist.core.entry import Struck
from benchassist.core.own_band import Coverage, LeftOut, OwnBand
from benchassist.services.own_band_text import offered, own_band_view
from benchassist.services.own_parts import GoodMark, learned_band, named_parts
from benchassist.services.wording import band_label
from tests.services.fakes import FakeStore
from tests.services.test_machine_file import CAP, COIL, RUN, Season, kept

VALUES = [round(NormalDist(6500.0, 120.0).inv_cdf((i + 0.5) / 14), -1) for i in range(14)]


class Shop:
    """Machines of one visit each, a good coil in every one."""

    def __init__(self, *values: float | None) -> None:
        self.store = FakeStore()
        self.marks: list[GoodMark] = []
        for number, value in enumerate(values):
            self.add(f"machine {number}", value)

    def add(
        self, machine_id: str, value: float | None, *, aside: str | None = None, year: int = 2024
    ) -> None:
        """A visit of a machine whose coil was taken and marked."""
        season, name = Season(year), f"{machine_id} {year}"
        head = season.visit.header
        head = replace(
            head, id=name, slip_number=name, machine=replace(head.machine, id=machine_id)
        )
        taken = season.take("coil", value)
        taken = replace(taken, stamp=replace(taken.stamp, id=f"{name} r", visit_id=name))
        self.store.submit_visit(head)
        self.store.submit(taken)
        self.marks.append(
            GoodMark(machine_id=machine_id, visit_id=name, entry_id=taken.stamp.id, set_aside=aside)
        )

    def band(self) -> OwnBand:
        """What it has learned of coils."""
        return learned_band(self.marks, COIL, store=self.store, beside=COIL.band)


def test_fourteen_machines_teach_a_band_with_its_origin() -> None:
    """The band stands beside the others with the number of parts it comes from."""
    own = Shop(*VALUES).band()
    view, band = own_band_view(own), offered(own)
    assert band is not None
    assert (band.source, band.copper, band.reference_celsius) == (BandSource.OWN_PARTS, True, 20.0)
    assert view.origin == "from 14 good parts in this shop"
    assert view.claim == "Holds 95 % of such parts, 95 times in 100"
    assert view.normality == "Nothing speaks against a normal distribution"
    assert view.remarks == ()
    assert view.label == band_label(band)
    assert view.label.endswith("kΩ, this shop’s own good parts, 14 of them")


def test_nine_parts_say_how_many_are_missing() -> None:
    """No band, no claim; the tenth makes one."""
    view = own_band_view(Shop(*VALUES[:9]).band())
    assert (view.band, view.claim, view.label) == (None, "", "")
    assert view.origin == "9 of 10 good parts: 1 more makes a band"
    assert own_band_view(Shop(*VALUES[:10]).band()).band is not None
    assert own_band_view(Shop().band()).origin == "0 of 10 good parts: 10 more make a band"


def test_a_machine_that_comes_back_with_the_same_part_counts_once() -> None:
    """Two readings of one coil are one part; a renewed coil is another."""
    shop = Shop(*VALUES)
    shop.add("machine 3", 6490.0, year=2025)
    own = shop.band()
    assert len(own.parts) == 14
    assert [one.left_out for one in own.left_out] == [LeftOut.SAME_PART]
    assert own_band_view(own).remarks == ("Left out: 1, the same part again",)


def test_a_renewed_part_has_another_name() -> None:
    """Counted across the machine's visits; a struck reading is none."""
    first, second = Season(2023), Season(2024)
    first.take("coil", 6400.0)
    wrong = second.take("coil", 9000.0)
    struck = Struck(stamp=second.stamp(), check_key="coil", entry_id=wrong.stamp.id)
    second.visit.apply(struck)
    second.take("coil", 6410.0)
    second.fit("cap", "Cap 5 k")
    second.fit("coil", "Coil 12-A")
    second.take("coil", 6500.0)
    named = [(name, t.reading.value) for name, t in named_parts((first.visit, second.visit), COIL)]
    assert named == [("coil 0", 6400.0), ("coil 0", 6410.0), ("coil 1", 6500.0)]
    assert list(named_parts((first.visit, second.visit), CAP)) == []


def test_what_was_marked_and_cannot_count_is_said() -> None:
    """An overload and a part set aside with its reason."""
    shop = Shop(*VALUES, None)
    shop.add("machine 20", 9000.0, aside="lead was still on")
    own = shop.band()
    assert len(own.parts) == 14
    assert set(own_band_view(own).remarks) == {
        "Left out: 1, above range",
        "Left out: 1, set aside (lead was still on)",
    }


def test_an_outlier_is_said_and_counts() -> None:
    """Its value and day; and that the values are not normal any more."""
    own = Shop(*VALUES, 9000.0).band()
    view = own_band_view(own)
    assert len(own.parts) == 15
    assert view.remarks[0].startswith("Stands apart and counts: 9.00 kΩ ±")
    assert view.remarks[0].endswith("of 9 Jun 2024")
    assert view.normality == "Not normally distributed, at 1 %: the band is in doubt"


def test_a_spread_that_is_the_meters_own_is_said() -> None:
    """Parts alike to the count: most of the spread is what the meter itself doubts."""
    own = Shop(*[6500.0 + 10.0 * (i % 3) for i in range(12)]).band()
    assert "The meter’s doubt alone may make 100 % of the spread squared" in (
        own_band_view(own).remarks
    )
    same = own_band_view(Shop(*[6500.0] * 12).band())
    assert same.band is None
    assert same.origin == "No band: all 12 good parts read the same"


def test_a_run_has_no_band_to_learn() -> None:
    """It has no quantity."""
    season = Season(2023)
    with pytest.raises(ValueError, match="quantity"):
        learned_band([], RUN, store=kept(season), coverage=Coverage())
