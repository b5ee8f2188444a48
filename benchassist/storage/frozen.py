"""Procedures and causes as they were frozen into visits: the same text is kept once.

A visit's header is stored without them, and names them by the SHA-256 of their text. What was read
once stays decoded for a while: the visits of a machine share most of it.
"""

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Collection, Mapping, Sequence
from gettext import gettext as _
from typing import Any, Final, Protocol

from sqlalchemy import Connection, select

from benchassist.core.cause import CauseBook
from benchassist.core.procedure import Check, Procedure
from benchassist.core.visit import VisitHeader
from benchassist.errors import ShopFileError
from benchassist.storage import schema
from benchassist.storage.addition import add_rows
from benchassist.storage.codec import Plain, Ready, decode, encode, from_text, to_text

KEPT: Final = 128
"""Texts kept decoded; a shop has a few dozen procedures, each in a few wordings over the years."""
CHECKS_KEPT: Final = 1024
"""Checks kept decoded by themselves."""
MOST_ASKED: Final = 500
"""Digests in one question."""

HEADER_COLUMNS: Final = (
    schema.visit.c.header,
    schema.visit.c.procedure_digest,
    schema.visit.c.causes_digest,
)
"""What `Thaw.header` reads."""


class HeaderRow(Protocol):
    """A row of whatever query that has `HEADER_COLUMNS`."""

    @property
    def header(self) -> str:
        """The header's own object."""
        ...

    @property
    def procedure_digest(self) -> str:
        """Names its procedure in `frozen`."""
        ...

    @property
    def causes_digest(self) -> str | None:
        """Names its causes in `frozen`."""
        ...


def freeze(header: VisitHeader) -> tuple[dict[str, Any], tuple[dict[str, Any], ...]]:
    """Return the columns that hold a header, and the rows of `frozen` they name.

    Raises StoreError as `encode`.
    """
    own = encode(header)
    procedure, causes = _row(own.pop("procedure")), _row(own.pop("causes"))
    assert procedure is not None  # noqa: S101 - a header has one, by its type
    columns = {
        "header": to_text(own),
        "procedure_digest": procedure["digest"],
        "causes_digest": None if causes is None else causes["digest"],
    }
    return columns, tuple(row for row in (procedure, causes) if row is not None)


def keep(connection: Connection, texts: Sequence[Mapping[str, Any]]) -> None:
    """Write rows of `frozen`, those that are not there yet; two benches may do so at once."""
    add_rows(connection, schema.frozen, texts)


def digest_of(body: str) -> str:
    """Return the SHA-256 of a text in hexadecimal digits."""
    return hashlib.sha256(body.encode()).hexdigest()


def _row(part: Plain | None) -> dict[str, Any] | None:
    if part is None:
        return None
    body = to_text(part)
    return {"digest": digest_of(body), "body": body}


class Thaw:
    """Reads headers of one shop; may be used by several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, object] = OrderedDict()
        self._checks: OrderedDict[tuple[str, str], Check | None] = OrderedDict()

    def header(self, connection: Connection, row: HeaderRow) -> VisitHeader:
        """The header of a row with `HEADER_COLUMNS`. Raises ShopFileError for one unreadable."""
        own = from_text(row.header)
        if isinstance(own, dict):
            own["procedure"] = Ready(self._part(connection, Procedure, row.procedure_digest))
            if row.causes_digest is not None:
                own["causes"] = Ready(self._part(connection, CauseBook, row.causes_digest))
        return decode(VisitHeader, own)

    def _part(self, connection: Connection, kind: type[object], digest: str) -> object:
        with self._lock:
            if digest in self._kept:
                self._kept.move_to_end(digest)
                return self._kept[digest]
        f = schema.frozen.c
        body = connection.scalar(select(f.body).where(f.digest == digest))
        part = decode(kind, _whole(body, digest))
        with self._lock:
            self._kept[digest] = part
            if len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return part

    def checks(
        self, connection: Connection, digests: Collection[str], key: str
    ) -> dict[str, Check | None]:
        """The check of that key in each of these procedures, None in one without it.

        Over the years there are more procedures than stay decoded, and one check is soon read.
        Raises ShopFileError for one that is missing or damaged.
        """
        with self._lock:
            found = {d: self._checks[d, key] for d in digests if (d, key) in self._checks}
        missing = [digest for digest in digests if digest not in found]
        f = schema.frozen.c
        for start in range(0, len(missing), MOST_ASKED):
            some = missing[start : start + MOST_ASKED]
            asked = select(f.digest, f.body).where(f.digest.in_(some))
            bodies = {row.digest: row.body for row in connection.execute(asked)}
            for digest in some:
                found[digest] = _check(_whole(bodies.get(digest), digest), key)
        with self._lock:
            self._checks |= {(digest, key): found[digest] for digest in missing}
            while len(self._checks) > CHECKS_KEPT:
                self._checks.popitem(last=False)
        return found


def _whole(body: str | None, digest: str) -> object:
    """What a text holds, where it is the one that was kept. Raises ShopFileError."""
    if body is None or digest_of(body) != digest:
        raise ShopFileError(
            _("the procedure of a visit is missing or damaged ({digest}): restore a backup").format(
                digest=digest[:12]
            )
        )
    return from_text(body)


def _check(procedure: object, key: str) -> Check | None:
    checks = procedure.get("checks") if isinstance(procedure, dict) else None
    found = (c for c in checks or () if isinstance(c, dict) and c.get("key") == key)
    one = next(found, None)
    return None if one is None else decode(Check, one)
