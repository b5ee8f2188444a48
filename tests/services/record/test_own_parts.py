from dataclasses import replace
from datetime import UTC, datetime
from statistics import NormalDist

import pytest

from benchassist.core.band import Band, BandSource
from benchassist.core.entry import PartMarked, Struck, Taken
from benchassist.core.own_band import OwnBand
from benchassist.core.own_part import LeftOut
from benchassist.services.record.own_band_text import (
    left_out_text,
    offered,
    own_band_view,
    own_line,
    value_text,
)
from benchassist.services.record.own_parts import learned_band
from benchassist.services.wording import band_label
from benchassist.units import UnitChoice
from tests.marks import marks_of
from tests.services.season import COIL, Season
from tests.services.story import OHMS

VALUES = [round(NormalDist(6500.0, 120.0).inv_cdf((i + 0.5) / 14), -1) for i in range(14)]


class Bin:
    """Machines of one visit each, a good coil in every one."""

    def __init__(self, *values: float | None) -> None:
        self.seasons: list[Season] = []
        for number, value in enumerate(values):
            self.add(f"machine {number}", value)

    def add(
        self,
        machine_id: str,
        *values: float | None,
        aside: str = "",
        year: int = 2024,
        celsius: float | None = 20.0,
        meter: str = "",
    ) -> Season:
        """A visit of a machine whose coil was taken and marked."""
        season = Season(year)
        head = season.visit.header
        season.visit.header = replace(
            head,
            id=f"{machine_id} {year}",
            slip_number=f"{machine_id} {year}",
            machine=replace(head.machine, id=machine_id),
        )
        for value in values:
            self.mark(season, season.take("coil", value, celsius=celsius), meter=meter)
            if aside:
                self.mark(season, season.visit.taken("coil")[-1], aside=aside)
        self.seasons.append(season)
        return season

    def mark(self, season: Season, taken: Taken, *, aside: str = "", meter: str = "") -> None:
        """Known good, or set aside with a reason."""
        if meter:
            entries = season.visit.entries
            visit = type(season.visit)(
                season.visit.header, [replace(e, meter=meter) if e is taken else e for e in entries]
            )
            season.visit = visit
        season.visit.apply(
            PartMarked(
                stamp=season.stamp(),
                check_key="coil",
                entry_id=taken.stamp.id,
                good=not aside,
                reason=aside,
            )
        )

    def band(self, beside: Band | None = COIL.band) -> OwnBand:
        """What it has learned of coils."""
        marks = marks_of((season.visit for season in self.seasons), "coil")
        return learned_band(marks, OHMS, beside=beside)


def test_fourteen_machines_teach_a_band_with_its_origin() -> None:
    """The band stands beside the others with the number of parts it comes from."""
    own = Bin(*VALUES).band()
    view, band = own_band_view(own), offered(own)
    assert band is not None
    assert (band.source, band.copper, band.reference_celsius) == (BandSource.OWN_PARTS, True, 20.0)
    assert view.origin == "from 14 good parts in this shop"
    assert view.claim == "Holds 95 % of such parts, 95 times in 100"
    assert view.normality == "Nothing speaks against a normal distribution"
    assert view.remarks == ()
    assert view.label == band_label(band)
    assert view.label.endswith("kΩ, this shop’s own good parts, 14 of them")
    assert view.line == own_line(own)
    assert view.line.startswith("This shop: 6.1")
    assert view.line.endswith(" kΩ, from 14 good parts")


def test_an_adopted_band_names_the_day() -> None:
    """The number of parts and the day go into its note, and from there onto every slip."""
    band = offered(Bin(*VALUES).band(), datetime(2026, 6, 9, 12, 0, tzinfo=UTC))
    assert band is not None
    assert band.source_note == "14 of them by 9 Jun 2026"
    assert band_label(band).endswith("this shop’s own good parts, 14 of them by 9 Jun 2026")


def test_nine_parts_say_how_many_are_missing() -> None:
    """No band, no claim; the tenth makes one."""
    view = own_band_view(Bin(*VALUES[:9]).band())
    assert (view.band, view.claim, view.label, view.line) == (None, "", "", "")
    assert view.origin == "9 of 10 good parts: 1 more makes a band"
    assert own_band_view(Bin(*VALUES[:10]).band()).band is not None
    assert own_band_view(Bin().band()).origin == "0 of 10 good parts: 10 more make a band"


def test_a_machine_that_comes_back_with_the_same_part_counts_once() -> None:
    """Two readings of one coil are one part; a renewed coil is another."""
    bin_ = Bin(*VALUES)
    bin_.add("machine 3", 6490.0, year=2025)
    own = bin_.band()
    assert len(own.parts) == 14
    assert [one.left_out for one in own.left_out] == [LeftOut.SAME_PART]
    assert own_band_view(own).remarks == ("Left out: 1, the same part again",)
    season = bin_.add("machine 3", year=2026)
    season.fit("coil", "Coil 12-A")
    bin_.mark(season, season.take("coil", 6500.0))
    assert len(bin_.band().parts) == 15


def test_a_redone_reading_is_no_part_and_drags_none_out() -> None:
    """Marked, set aside, redone: the new reading of the same part counts."""
    bin_ = Bin(*VALUES)
    season = bin_.add("machine 20", 9000.0, aside="lead still on")
    wrong = season.visit.taken("coil")[0]
    season.visit.apply(Struck(stamp=season.stamp(), check_key="coil", entry_id=wrong.stamp.id))
    bin_.mark(season, season.take("coil", 6510.0))
    own = bin_.band()
    assert len(own.parts) == 15
    assert [one.left_out for one in own.left_out] == [LeftOut.STRUCK]
    assert left_out_text(own.left_out[0]) == "redone since: lead still on"


def test_what_was_marked_and_cannot_count_is_said() -> None:
    """An overload and a part set aside with its reason."""
    bin_ = Bin(*VALUES, None)
    bin_.add("machine 20", 9000.0, aside="lead was still on")
    own = bin_.band()
    assert len(own.parts) == 14
    assert set(own_band_view(own).remarks) == {
        "Left out: 1, above range",
        "Left out: 1, set aside (lead was still on)",
    }
    assert {value_text(one, OHMS, UnitChoice()) for one in own.left_out} == {"", "9.00 kΩ ±0.14"}


def test_a_winding_whose_warmth_nobody_stated_is_left_out() -> None:
    """The shop's temperature stood in, with a doubt of ten kelvin: no corrected value."""
    bin_ = Bin(*VALUES)
    season = bin_.add("machine 20", 6500.0)
    taken = season.visit.taken("coil")[0]
    known = taken.conditions.part_temperature
    assert known is not None
    guessed = replace(
        taken,
        conditions=replace(taken.conditions, part_temperature=replace(known, u=10.0)),
    )
    entries = [guessed if e is taken else e for e in season.visit.entries]
    season.visit = type(season.visit)(season.visit.header, entries)
    own = bin_.band()
    assert [one.left_out for one in own.left_out] == [LeftOut.NOT_CORRECTED]
    assert own.left_out[0].value == pytest.approx(6500.0, abs=1.0)


def test_an_outlier_is_said_and_counts() -> None:
    """Its value and day; and that the values are not normal any more."""
    own = Bin(*VALUES, 9000.0).band()
    view = own_band_view(own)
    assert len(own.parts) == 15
    assert view.remarks[0].startswith("Stands apart and counts: 9.00 kΩ ±")
    assert view.remarks[0].endswith("of 9 Jun 2024")
    assert view.normality == "Not normally distributed, at 1 %: the band is in doubt"


def test_a_spread_that_is_the_meters_own_is_said() -> None:
    """Parts alike to the count: most of the spread is what the meter itself doubts."""
    own = Bin(*[6500.0 + 10.0 * (i % 3) for i in range(12)]).band()
    assert "The meter’s doubt alone may make 100 % of the spread squared" in (
        own_band_view(own).remarks
    )
    same = own_band_view(Bin(*[6500.0] * 12).band())
    assert same.band is None
    assert same.origin == "No band: all 12 good parts read the same"


def test_one_meter_for_all_is_said() -> None:
    """What it is always off by shifts the band; two meters do not share that."""
    said = "All read with one meter, hand-held: what it is off by, the band is too"
    one, two = Bin(), Bin()
    for number, value in enumerate(VALUES):
        one.add(f"machine {number}", value, meter="hand-held")
        two.add(f"machine {number}", value, meter="hand-held" if number else "bench")
    assert own_band_view(one.band()).remarks == (said,)
    assert own_band_view(two.band()).remarks == ()


def test_beside_no_band_the_values_are_as_read() -> None:
    """Nothing said what temperature to bring a winding to: that is said."""
    own = Bin(*VALUES).band(beside=None)
    assert own.band is not None
    assert not own.band.copper
    said = "As read, however warm: no band stood here to correct them to"
    assert own_band_view(own, alone=True).remarks == (said,)
    assert own_band_view(own).remarks == ()


def test_values_that_spread_past_zero_make_no_lower_limit() -> None:
    """Insulation of a few to a few hundred ohms: 'at least less than nothing' is no band."""
    wide = [10.0 * 3.0**i for i in range(10)]
    own = Bin(*wide).band(beside=Band(quantity=OHMS, low=100.0))
    assert own.factor is not None
    assert own.band is None
    view = own_band_view(own)
    assert view.origin == "No band: 10 good parts differ too much for a limit above zero"
    assert (view.claim, view.line) == ("", "")
