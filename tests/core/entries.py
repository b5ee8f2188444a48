"""Small makers of visits and entries for tests; all figures invented."""

from datetime import UTC, datetime, timedelta

from benchassist.core.accuracy import Accuracy
from benchassist.core.band import Band, BandSource
from benchassist.core.entry import Interview, Machine, Stamp, Taken
from benchassist.core.estimate import Conditions
from benchassist.core.procedure import Answer, BandOption, Check, CheckKind, Procedure
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.visit import Visit, VisitHeader
from benchassist.services.bench.taking import judge_reading

OPENED = datetime(2026, 6, 9, 8, 0, tzinfo=UTC)
CAP_BAND = Band(
    quantity=Quantity.RESISTANCE,
    low=3750.0,
    high=6250.0,
    source=BandSource.MARKING,
    source_note="5 kΩ",
)
ACCURACY = Accuracy(percent=0.8, counts=3.0)


def procedure() -> Procedure:
    """A short bench: a winding, a cap by its marking, the stop wire and its reconnection."""
    return Procedure(
        key="short",
        title="Short bench",
        complaint="Quits hot",
        engine_class="a",
        checks=(
            Check(
                key="coil_secondary",
                title="Coil secondary",
                short="Secondary",
                kind=CheckKind.MEASURE,
                quantity=Quantity.RESISTANCE,
                typical=20e3,
                band=Band(quantity=Quantity.RESISTANCE, low=5500.0, high=13e3, copper=True),
            ),
            Check(
                key="cap",
                title="Plug cap, end to end",
                short="Plug cap",
                kind=CheckKind.MEASURE,
                quantity=Quantity.RESISTANCE,
                typical=20e3,
                option_group="cap_marking",
                option_question="What is the cap marked?",
                options=(
                    BandOption(key="5k", text="5 kΩ", band=CAP_BAND),
                    BandOption(key="unmarked", text="No marking"),
                ),
            ),
            Check(
                key="stop_insulation",
                title="Stop wire, unplugged",
                short="Stop wire",
                kind=CheckKind.MEASURE,
                quantity=Quantity.RESISTANCE,
                typical=20e6,
                band=Band(quantity=Quantity.RESISTANCE, low=10e6),
                expects_overload=True,
                obliges="stop_wire_back",
            ),
            Check(
                key="stop_wire_back",
                title="Stop wire plugged back",
                short="Wire back",
                kind=CheckKind.LOOK,
                answers=(Answer(key="yes", text="Plugged back"), Answer(key="no", text="Not yet")),
            ),
        ),
    )


def visit() -> Visit:
    """A visit just opened."""
    return Visit(header())


def header() -> VisitHeader:
    """Its header."""
    return VisitHeader(
        id="00000000-0000-4000-8000-000000000001",
        slip_number="0412",
        machine=Machine(id="m1", tag="M-007", customer="Nether Moor Dairy", engine_class="a"),
        interview=Interview(complaint="Quits hot, restarts cold", words="quits after 25 min"),
        procedure=procedure(),
        opened_at=OPENED,
    )


def stamp(of: Visit) -> Stamp:
    """The stamp its next entry carries."""
    seq = of.next_seq
    return Stamp(
        id=f"e{seq}", visit_id=of.header.id, seq=seq, at=OPENED + timedelta(seconds=10 * seq)
    )


def ohms(value: float | None, *, resolution: float = 10.0, full_scale: float = 20e3) -> Reading:
    """A reading in ohms; None is an overload."""
    return Reading(
        t_s=1.0,
        channel="A",
        quantity=Quantity.RESISTANCE,
        value=value,
        resolution=resolution,
        full_scale=full_scale,
        overload=value is None,
        exponent=3,
    )


def taken(of: Visit, key: str, value: float | None, *, supersedes: str | None = None) -> Taken:
    """A reading taken at a check, judged against the band that holds there."""
    reading, band = ohms(value), of.band(of.procedure.check(key))
    conditions = Conditions(accuracy=ACCURACY)
    return Taken(
        stamp=stamp(of),
        check_key=key,
        reading=reading,
        conditions=conditions,
        judgement=judge_reading(reading, band, conditions, leads_proved=True),
        band=band,
        supersedes=supersedes,
    )
