"""A tank run: gauge marks by key, from empty to cut-out, to free air and a pump-up time.

The pump-up is what lies before the first cut-out. Its rising marks are held against the same
stretch of the machine's own earlier run, whatever marks that one has.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from typing import Final

from benchassist.core.free_air import atmosphere, free_air, free_air_uncertainty
from benchassist.core.run import MarkKind
from benchassist.core.run_finding import Doubt, GaugeMark, TankFinding

VOLUME: Final = "tank_volume"
AMBIENT: Final = "ambient"
ALTITUDE: Final = "altitude"
TANK_AIR: Final = "tank_air"
"""What a `MarkKind.PLACE` mark may name: m³, °C around, m above the sea, °C at the last mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Figures of the tank and the day; None where not known.

    Volume in cubic metres, the air around and, at the last mark, in the tank in celsius, the
    altitude in metres.
    """

    volume: float | None = None
    ambient: float | None = None
    altitude: float | None = None
    tank_air: float | None = None


NOT_KNOWN: Final = Place()


class TankRun:
    """Marks in, a finding out at any time. Gauge pressures in pascal, seconds of the run."""

    def __init__(
        self, place: Place = NOT_KNOWN, *, baseline: Sequence[GaugeMark] = (), k: float = 2.0
    ) -> None:
        """A run on a tank; `baseline` are the marks of the machine's own earlier run.

        Raises ValueError for a volume not above zero and an altitude beyond the formula's.
        """
        self._place = _checked(place)
        self._baseline = tuple(baseline)
        self._k = k
        self._marks: list[GaugeMark] = []
        self._cut_in: float | None = None
        self._cut_out: float | None = None
        self._pressure: float | None = None
        self._doubts: set[Doubt] = set()

    def place(self, name: str, value: float) -> None:
        """A figure typed for the run, by its name (`VOLUME` and so on). ValueError for others."""
        figures = {
            VOLUME: self._place.volume,
            AMBIENT: self._place.ambient,
            ALTITUDE: self._place.altitude,
            TANK_AIR: self._place.tank_air,
        }
        if name not in figures:
            raise ValueError(f"{name!r} is no figure of a tank run")
        figures[name] = value
        self._place = _checked(
            Place(
                volume=figures[VOLUME],
                ambient=figures[AMBIENT],
                altitude=figures[ALTITUDE],
                tank_air=figures[TANK_AIR],
            )
        )

    def mark(
        self, kind: MarkKind, t_s: float, *, value: float | None = None, text: str = ""
    ) -> None:
        """A gauge mark, a cut-in, a cut-out or a figure; other marks say nothing here.

        A cut without a value is at the pressure marked last. A mark no later than the one before
        it is kept out and doubted; so is one that falls while the tank is pumped up.
        """
        match kind:
            case MarkKind.PLACE if value is not None:
                self.place(text, value)
            case MarkKind.PRESSURE if value is not None:
                self._gauge(t_s, value)
            case MarkKind.CUT_OUT:
                cut = self._pressure if value is None else value
                above = not self._marks or (cut is not None and cut > self._marks[-1].pascal)
                if cut is not None and self._cut_out is None and above:
                    self._gauge(t_s, cut)
                self._cut_out = cut if self._cut_out is None else self._cut_out
                self._pressure = cut
            case MarkKind.CUT_IN:
                cut = self._pressure if value is None else value
                self._cut_in = cut if self._cut_in is None else self._cut_in
                self._pressure = cut
            case _:
                pass

    def _gauge(self, t_s: float, pascal: float) -> None:
        """A gauge reading, part of the pump-up until it has cut out."""
        self._pressure = pascal
        if self._cut_out is not None:
            return
        if self._marks and t_s <= self._marks[-1].t_s:
            self._doubts.add(Doubt.OUT_OF_ORDER)
            return
        if self._marks and pascal <= self._marks[-1].pascal:
            self._doubts.add(Doubt.OUT_OF_ORDER)
        self._marks.append(GaugeMark(t_s=t_s, pascal=pascal))

    def finding(self) -> TankFinding:
        """What was found so far."""
        rising = rising_stretch(self._marks)
        doubts = set(self._doubts)
        if len(rising) < 2:
            doubts.add(Doubt.SHORT)
        place = self._place
        outside = atmosphere(0.0 if place.altitude is None else place.altitude)
        seconds = rising[-1].t_s - rising[0].t_s if len(rising) > 1 else None
        air = uncertainty = None
        if seconds is not None and place.volume is not None:
            ambient = 20.0 if place.ambient is None else place.ambient
            first, last = rising[0].pascal, rising[-1].pascal
            air = free_air(
                place.volume,
                first,
                last,
                seconds=seconds,
                ambient=ambient,
                end=place.tank_air,
                outside=outside,
            )
            uncertainty = free_air_uncertainty(
                place.volume,
                first,
                last,
                seconds=seconds,
                ambient=ambient,
                end=place.tank_air,
                outside=outside,
                k=self._k,
            )
        return TankFinding(
            marks=rising,
            volume=place.volume,
            ambient=place.ambient,
            altitude=place.altitude,
            free_air=air,
            free_air_uncertainty=uncertainty,
            pump_up_s=seconds,
            baseline_s=(
                seconds_between(self._baseline, rising[0].pascal, rising[-1].pascal)
                if seconds is not None
                else None
            ),
            cut_in=self._cut_in,
            cut_out=self._cut_out,
            doubts=tuple(doubt for doubt in Doubt if doubt in doubts),
        )


def rising_stretch(marks: Sequence[GaugeMark]) -> tuple[GaugeMark, ...]:
    """The unbroken rise with the most pressure gained; marks that fall part two rises."""
    best: Sequence[GaugeMark] = ()
    start = 0
    for end in range(1, len(marks) + 1):
        if end < len(marks) and marks[end].pascal > marks[end - 1].pascal:
            continue
        rise = marks[start:end]
        if not best or rise[-1].pascal - rise[0].pascal > best[-1].pascal - best[0].pascal:
            best = rise
        start = end
    return tuple(best)


def seconds_between(marks: Sequence[GaugeMark], low: float, high: float) -> float | None:
    """How long an earlier run took from one gauge pressure to another, between its marks.

    None where it did not span both; nothing is extrapolated.
    """
    rising = rising_stretch(marks)
    start, end = _moment(rising, low), _moment(rising, high)
    return None if start is None or end is None or end <= start else end - start


def pump_up_ratio(finding: TankFinding) -> float | None:
    """The pump-up time over the baseline's for the same stretch: 1.2 is a fifth slower."""
    if finding.pump_up_s is None or not finding.baseline_s:
        return None
    return finding.pump_up_s / finding.baseline_s


def pump_up_doubt(finding: TankFinding, *, key: float = 0.5, k: float = 2.0) -> float | None:
    """The expanded uncertainty of that ratio from four key presses, each within `key` seconds.

    The same gauge and the same tank cancel; that it was the same speed is for the person to see to.
    """
    ratio = pump_up_ratio(finding)
    if ratio is None or finding.pump_up_s is None or not finding.baseline_s:
        return None
    u2 = 2.0 * key * key / 3.0
    relative = float((u2 / finding.pump_up_s**2 + u2 / finding.baseline_s**2) ** 0.5)
    return k * ratio * relative


def _moment(marks: Sequence[GaugeMark], pascal: float) -> float | None:
    """When a gauge pressure was passed, on a straight line between two marks."""
    for a, b in pairwise(marks):
        if a.pascal <= pascal <= b.pascal:
            return a.t_s + (b.t_s - a.t_s) * (pascal - a.pascal) / (b.pascal - a.pascal)
    return None


def _checked(place: Place) -> Place:
    if place.volume is not None and not (isfinite(place.volume) and place.volume > 0.0):
        raise ValueError("the tank's volume must be above zero")
    if place.altitude is not None:
        atmosphere(place.altitude)
    for celsius in (place.ambient, place.tank_air):
        if celsius is not None and not -60.0 <= celsius <= 200.0:
            raise ValueError("the air's temperature must be between -60 and 200 °C")
    return place
