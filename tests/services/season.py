"""One machine over the years: a visit a season, told entry by entry, judged as the bench judges."""

from dataclasses import replace
from datetime import datetime, timedelta

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    Noted,
    PartFitted,
    RunEnded,
    Stamp,
    Taken,
)
from benchassist.core.estimate import PartTemperature
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.run import HeatedPart
from benchassist.core.run_finding import HeatFinding
from benchassist.core.visit import Visit
from benchassist.services.bench.taking import conditions_of, judge_reading
from tests.core import entries
from tests.services.case import HEAT
from tests.services.fakes import FakeStore
from tests.services.story import OHMS, measured

COIL = measured("coil", part="coil", band=Band(quantity=OHMS, low=5900.0, high=7100.0, copper=True))
CAP = measured("cap", low=3750.0, high=6250.0)
RUN = Check(key="heat_run", title="Heat run", short="Heat run", kind=CheckKind.RUN, run=HEAT)
CHECKS = (COIL, CAP, RUN)
GAUGE = Accuracy(percent=0.2, counts=1.0)
"""Of whatever is no ohmmeter."""


class Season:
    """One visit of the machine, in a year of its own."""

    def __init__(self, year: int, *checks: Check, month: int = 6, **header: object) -> None:
        head = entries.header()
        self.at = head.opened_at.replace(year=year, month=month)
        number = f"{year}{month:02d}"
        procedure = replace(head.procedure, checks=checks or CHECKS)
        given = {"id": f"v{number}", "slip_number": number, **header}
        self.visit = Visit(replace(head, opened_at=self.at, procedure=procedure, **given))  # type: ignore[arg-type]

    def stamp(self) -> Stamp:
        """The next entry's stamp."""
        visit, seq = self.visit, self.visit.next_seq
        at: datetime = self.at + timedelta(minutes=seq)
        return Stamp(id=f"{visit.header.id}.{seq}", visit_id=visit.header.id, seq=seq, at=at)

    def add(self, entry: Entry) -> None:
        """Write an entry down."""
        self.visit.apply(entry)

    def take(self, key: str, value: float | None, *, celsius: float | None = 20.0) -> Taken:
        """A reading in ohms, judged as the bench does."""
        return self.read(key, entries.ohms(value), celsius=celsius)

    def gauge(self, key: str, value: float | None, count: float, exponent: int = 0) -> Taken:
        """A reading of whatever the check measures, one count of it known."""
        quantity = self.visit.procedure.check(key).quantity
        reading = Reading(
            t_s=1.0,
            channel="A",
            quantity=quantity,
            value=value,
            resolution=count,
            overload=value is None,
            exponent=exponent,
        )
        return self.read(key, reading)

    def read(self, key: str, reading: Reading, *, celsius: float | None = 20.0) -> Taken:
        """A reading taken at a check."""
        check = self.visit.procedure.check(key)
        conditions = conditions_of(
            reading,
            band=check.band,
            accuracy=entries.ACCURACY if reading.quantity is Quantity.RESISTANCE else GAUGE,
            zero=None,
            temperature=None if celsius is None else PartTemperature(celsius=celsius, u=1.0),
        )
        taken = Taken(
            stamp=self.stamp(),
            check_key=key,
            reading=reading,
            conditions=conditions,
            judgement=judge_reading(reading, check.band, conditions, leads_proved=True),
            band=check.band,
        )
        self.visit.apply(taken)
        return taken

    def fit(self, part: str, name: str) -> None:
        """A part renewed."""
        self.add(PartFitted(stamp=self.stamp(), part=part, name=name, old_kept=True))

    def did(self, text: str, check_key: str = "") -> None:
        """Work done."""
        self.add(Did(stamp=self.stamp(), text=text, check_key=check_key))

    def note(self, text: str) -> None:
        """Something to remember."""
        self.add(Noted(stamp=self.stamp(), text=text))

    def run(self, key: str = "heat_run") -> None:
        """A heat run that reproduced nothing."""
        finding = HeatFinding(part=HeatedPart.WINDING, reproduced=False, departure_assessed=True)
        stamp = self.stamp()
        self.add(RunEnded(stamp=stamp, check_key=key, run_id=f"r{stamp.id}", heat=finding))

    def close(self) -> "Season":
        """Handed over."""
        self.add(Closed(stamp=self.stamp()))
        return self


def kept(*seasons: Season) -> FakeStore:
    """A store that holds them."""
    store = FakeStore()
    for season in seasons:
        store.submit_visit(season.visit.header)
        store.submit(*season.visit.entries)
    return store
