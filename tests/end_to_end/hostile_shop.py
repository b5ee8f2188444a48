"""A shop in which every text that a person can write is a hostile one."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from uuid import uuid4

from benchassist.assembly import Place
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    Noted,
    PartMarked,
    PhotoAdded,
    Reopened,
    Skipped,
    Stamp,
    Taken,
)
from benchassist.core.repair_entry import Decided, EvidenceSet, PartFitted, Service, Serviced
from benchassist.core.visit import VisitHeader
from benchassist.services.settings import Settings, SettingsFile
from benchassist.storage import open_store
from benchassist.storage.exchange import read_export
from tests.end_to_end.demo import OUT
from tests.hostile import HOSTILE
from tests.storage.case import settled

LONGEST_SAID = 20_000
"""A name may have a megabyte; what is said in a dozen places is shorter."""
TEMPLATE = "0002"
"""The visit of the demo that is told again with every text."""


@dataclass(frozen=True, slots=True)
class HostileShop:
    """The shop's place, and its visits by what their text tries."""

    place: Place
    visits: dict[str, VisitHeader]
    entries: dict[str, tuple[Entry, ...]]


def hostile_shop(folder: Path) -> HostileShop:
    """Make it: a machine and a visit for each text, an open one for the last."""
    place = Place(str(folder / "shop.sqlite"), folder / "home", named=True)
    document = json.loads(OUT.read_text("utf-8"))
    told = {header.slip_number: (header, entries) for header, entries in read_export(document)}
    made = {
        name: _visit(text, f"{number:04d}", *told[TEMPLATE])
        for number, (name, text) in enumerate(HOSTILE.items(), 1)
    }
    with open_store(place.shop) as store:
        for header, entries in made.values():
            settled(store, store.submit_visit(header), store.submit(*entries))
    SettingsFile(place.home / "settings.json").write(
        replace(Settings(), shop_name=HOSTILE["html"], done_by=HOSTILE["right to left"])
    )
    return HostileShop(place, {n: made[n][0] for n in made}, {name: made[name][1] for name in made})


def _visit(
    text: str, number: str, like: VisitHeader, done: tuple[Entry, ...]
) -> tuple[VisitHeader, tuple[Entry, ...]]:
    header = replace(
        like,
        id=str(uuid4()),
        slip_number=number,
        machine=replace(
            like.machine,
            id=str(uuid4()),
            tag=f"H{number}" if len(text) > 16 else text,
            customer=text,
            phone=text,
            unit=text,
            engine=text,
            serial=text,
        ),
        interview=replace(like.interview, words=text),
        shop=text[:LONGEST_SAID],
        bench=text[:LONGEST_SAID],
        done_by=text[:LONGEST_SAID],
    )
    kept = [entry for entry in done if not isinstance(entry, Closed | Reopened)]
    ids = {entry.stamp.id: str(uuid4()) for entry in kept}
    moved = [_moved(entry, ids) for entry in kept]
    return header, tuple(_numbered(header, [*moved, *_said(text[:LONGEST_SAID], header, moved)]))


def _moved(entry: Entry, ids: dict[str, str]) -> Entry:
    told = replace(entry, stamp=replace(entry.stamp, id=ids[entry.stamp.id]))
    for name in ("entry_id", "supersedes"):
        before = getattr(told, name, None)
        if before in ids:
            told = replace(told, **{name: ids[before]})  # type: ignore[arg-type]
    return told


def _said(text: str, header: VisitHeader, done: list[Entry]) -> Iterator[Entry]:
    """Everything that a person can say of a visit."""
    stamp = replace(done[-1].stamp, id="")
    taken, *_others, last = (entry for entry in done if isinstance(entry, Taken))
    check = taken.check_key
    yield PartMarked(stamp=stamp, entry_id=last.stamp.id, check_key=last.check_key)
    yield Noted(stamp=stamp, text=text)
    yield Noted(stamp=stamp, text=text, check_key=check)
    yield Did(stamp=stamp, text=text, check_key=check)
    yield Skipped(stamp=stamp, check_key=header.procedure.checks[-1].key, reason=text)
    yield PartMarked(stamp=stamp, entry_id=taken.stamp.id, check_key=check, good=False, reason=text)
    yield PhotoAdded(
        stamp=stamp, digest="0" * 64, media="image/png", width=40, height=30, caption=text
    )
    evidence = header.causes.evidence[0] if header.causes and header.causes.evidence else None
    if evidence is not None:
        yield EvidenceSet(stamp=stamp, evidence=evidence.key, outcome=None, reason=text)
    yield PartFitted(
        stamp=stamp, part="coil", name=text, number=text, lot=text, cost=1.0, currency="$"
    )
    yield Serviced(stamp=stamp, service=Service.OTHER, text=text)
    yield Decided(stamp=stamp, part="coil", replaced=True, by_customer=False, reason=text)


def _numbered(header: VisitHeader, entries: list[Entry]) -> Iterator[Entry]:
    for seq, entry in enumerate(entries, 1):
        stamp = Stamp(
            id=entry.stamp.id or str(uuid4()), visit_id=header.id, seq=seq, at=entry.stamp.at
        )
        yield replace(entry, stamp=stamp)
