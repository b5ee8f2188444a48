"""A meter's set-up as it is kept in the memory, and back."""

from collections.abc import Sequence
from datetime import datetime

from benchassist.core.link import LinkRequest
from benchassist.core.procedure import MeterCard
from benchassist.services.bench.taking import MeterSetup
from benchassist.services.metering.meter_memory import KnownMeter


def record_of(
    request: LinkRequest | None, setup: MeterSetup, matched_at: datetime | None
) -> KnownMeter:
    """What is to be kept of a meter that is read like this."""
    return KnownMeter(
        protocol=request.protocol if request is not None else "",
        line=(request.line or "") if request is not None else "",
        card=setup.card.key if setup.card is not None else "",
        accuracy=setup.accuracy_note,
        matched_at=matched_at.isoformat() if matched_at is not None else "",
        dtr=request.dtr if request is not None else None,
        rts=request.rts if request is not None else None,
    )


def matched_of(known: KnownMeter) -> datetime | None:
    """When its display was last matched."""
    return datetime.fromisoformat(known.matched_at) if known.matched_at else None


def setup_of(known: KnownMeter, cards: Sequence[MeterCard]) -> MeterSetup | None:
    """Its card and statement, None where neither is kept."""
    card = next((c for c in cards if c.key == known.card), None)
    if card is None and not known.accuracy:
        return None
    name = card.name if card is not None else ""
    return MeterSetup(name=name, card=card).stating(known.accuracy)
