"""A made-up visit, and shops on either kind of database."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, BandSource, judge
from benchassist.core.entry import Interview, Machine, Stamp, Taken
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.procedure import Answer, BandOption, Caution, Check, CheckKind, Procedure
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Flag, Reading
from benchassist.core.record import Acknowledgement
from benchassist.core.visit import VisitHeader
from benchassist.storage.store import SqlStore

OPENED = datetime(2025, 3, 1, 9, 30, tzinfo=UTC)
PATIENCE = 30.0
"""Seconds a test waits for an acknowledgement before it fails."""

SECONDARY = Band(
    quantity=Quantity.RESISTANCE,
    low=5500.0,
    high=13000.0,
    source=BandSource.COMMON_PRACTICE,
    copper=True,
    probe_points="plug end to core",
)
CAP = Band(quantity=Quantity.RESISTANCE, low=3750.0, high=6250.0, source=BandSource.MARKING)

PROCEDURE = Procedure(
    key="quits_hot",
    title="Quits hot",
    complaint="quits_hot",
    engine_class="A",
    version="1",
    checks=(
        Check(
            key="secondary",
            title="Coil secondary, cap off",
            short="Secondary",
            kind=CheckKind.MEASURE,
            quantity=Quantity.RESISTANCE,
            band=SECONDARY,
            obliges="stop_wire",
            cautions=(Caution(key="ignition_off", text="Ignition off, plug lead grounded."),),
        ),
        Check(
            key="cap",
            title="Plug cap alone",
            short="Cap",
            kind=CheckKind.MEASURE,
            quantity=Quantity.RESISTANCE,
            options=(
                BandOption(key="5k", text="5 kΩ", band=CAP),
                BandOption(key="unmarked", text="No marking"),
            ),
            option_group="cap",
        ),
        Check(
            key="gap",
            title="Air gap",
            short="Gap",
            kind=CheckKind.GAUGE,
            quantity=Quantity.LENGTH,
        ),
        Check(
            key="stop_wire",
            title="Stop wire put back",
            short="Stop wire",
            kind=CheckKind.LOOK,
            answers=(Answer(key="yes", text="On"), Answer(key="no", text="Off")),
        ),
    ),
)


def machine(tag: str = "K7", **texts: str) -> Machine:
    """Return a machine of a made-up customer."""
    known = {
        "customer": "Ada Müller",
        "phone": "555-0142",
        "unit": "Tiller 50%",
        "engine": "Larkfield L160",
        "serial": "LF_160-0093",
        "engine_class": "A",
    }
    return Machine(id=str(uuid4()), tag=tag, **(known | texts))


def header(slip_number: str = "0001", *, of: Machine | None = None, day: int = 0) -> VisitHeader:
    """Return a visit just opened."""
    return VisitHeader(
        id=str(uuid4()),
        slip_number=slip_number,
        machine=of or machine(),
        interview=Interview(
            complaint="quits_hot", words="quits after mowing", answers=(("minutes", "1200.0"),)
        ),
        procedure=PROCEDURE,
        opened_at=OPENED + timedelta(days=day),
        shop="Corner Small Engines",
        done_by="R.",
    )


class Scribe:
    """Numbers the stamps of one visit."""

    def __init__(self, visit: VisitHeader, *, after: int = 0) -> None:
        self.visit = visit
        self.seq = after

    def stamp(self) -> Stamp:
        """Return the next stamp."""
        self.seq += 1
        return Stamp(
            id=str(uuid4()),
            visit_id=self.visit.id,
            seq=self.seq,
            at=self.visit.opened_at + timedelta(minutes=self.seq, microseconds=self.seq),
        )

    def taken(
        self,
        ohms: float = 9400.0,
        *,
        check_key: str = "secondary",
        band: Band = SECONDARY,
        supersedes: str | None = None,
    ) -> Taken:
        """Return a reading of a copper winding at 30 °C, through leads of 0.3 ohm."""
        reading = Reading(
            t_s=12.25,
            channel="A",
            quantity=Quantity.RESISTANCE,
            value=ohms,
            resolution=10.0,
            full_scale=20000.0,
            flags=frozenset({Flag.AUTO}),
            exponent=3,
        )
        conditions = Conditions(
            accuracy=Accuracy(percent=0.8, counts=3.0),
            lead_zero=LeadZero(value=0.3, resolution=0.1, full_scale=200.0),
            part_temperature=PartTemperature(celsius=30.0),
            copper_reference=20.0 if band.copper else None,
        )
        return Taken(
            stamp=self.stamp(),
            check_key=check_key,
            reading=reading,
            conditions=conditions,
            judgement=judge(estimate(reading, conditions), band),
            band=band,
            supersedes=supersedes,
            meter="2,000-count hand-held",
            accuracy_note="±(0.8 % + 3 counts)",
        )


def settled(store: SqlStore, *tickets: int) -> list[Acknowledgement]:
    """Return what became of the tickets, which are the next ones to be acknowledged."""
    said = [store.wait(PATIENCE) for _ in tickets]
    assert [s.ticket for s in said if s is not None] == list(tickets)
    return [s for s in said if s is not None]
