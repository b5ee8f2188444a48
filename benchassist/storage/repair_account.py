"""Findings and repair of a visit as an export tells them: units named, the person's word marked."""

from benchassist.core.repair_entry import (
    Decided,
    EvidenceSet,
    PartFitted,
    Proved,
    Serviced,
    SwapTried,
)
from benchassist.core.stake import Stake
from benchassist.core.stamp import Stamp
from benchassist.core.visit import Visit
from benchassist.storage.codec import Plain


def repair_account(visit: Visit) -> Plain:
    """What was said of the evidence, tried, fitted, serviced, decided and proved, in order."""
    said: Plain = {
        "evidence": [],
        "swaps": [],
        "parts": [],
        "services": [],
        "decisions": [],
        "proofs": [],
    }
    for entry in visit.entries:
        match entry:
            case EvidenceSet():
                said["evidence"].append(
                    _when(entry.stamp)
                    | {
                        "evidence": entry.evidence,
                        "outcome": entry.outcome,
                        "reason": entry.reason,
                        "lifted": entry.lifted,
                    }
                )
            case SwapTried():
                said["swaps"].append(
                    _when(entry.stamp)
                    | {
                        "part": entry.part,
                        "fitted": entry.trial.fitted,
                        "fault": entry.trial.fault,
                        "cycles": entry.trial.cycles,
                        "bundled": list(entry.bundled),
                        "fault_share": entry.share,
                    }
                )
            case PartFitted():
                said["parts"].append(_part(entry))
            case Serviced():
                said["services"].append(
                    _when(entry.stamp)
                    | {
                        "service": entry.service,
                        "grade": entry.grade,
                        "quantity": entry.quantity,
                        "quantity_unit": "cubic_metre",
                        "text": entry.text,
                    }
                )
            case Decided():
                said["decisions"].append(_decision(entry))
            case Proved():
                said["proofs"].append(
                    _when(entry.stamp)
                    | {
                        "seconds": entry.seconds,
                        "fault": entry.fault,
                        "soak_restart": entry.soak_restart,
                    }
                )
            case _:
                pass
    return said


def _part(entry: PartFitted) -> Plain:
    return _when(entry.stamp) | {
        "part": entry.part,
        "name": entry.name,
        "number": entry.number,
        "lot": entry.lot,
        "cost": entry.cost,
        "currency": entry.currency,
        "old_kept": entry.old_kept,
        "check": entry.check_key,
    }


def _decision(entry: Decided) -> Plain:
    return _when(entry.stamp) | {
        "part": entry.part,
        "replaced": entry.replaced,
        "by_customer": entry.by_customer,
        "stake": None if entry.stake is None else _stake(entry.stake),
        "chance": entry.chance,
        "reason": entry.reason,
    }


def _stake(stake: Stake) -> Plain:
    return {
        "part": stake.part,
        "labour_hours": stake.labour_hours,
        "rate": stake.rate,
        "downtime": stake.downtime,
        "return_visit": stake.return_visit,
        "goodwill": stake.goodwill,
        "poor_part": stake.poor_part,
        "currency": stake.currency,
        "break_even": stake.break_even,
    }


def _when(stamp: Stamp) -> Plain:
    return {"id": stamp.id, "seq": stamp.seq, "at": stamp.at.isoformat()}
