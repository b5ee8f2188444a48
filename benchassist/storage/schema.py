"""Tables of a shop. `migrations/` builds the same ones step by step; a test holds them equal.

Entries are only ever added. An entry's `body` is the whole truth of it; the columns beside it and
the `taken` rows repeat what is asked across visits, and could be built again from the bodies.
Times are UTC, values are in base units, ids are UUID texts. `body` and `header` are JSON kept as
text: a database's own JSON type may change a number's digits.

The samples of a run come as they are into `run_tail`, a few a row, and from there, thousands a row,
into `run_chunk`; `run_bins` holds the lowest and highest of so many samples, level above level.
Seconds are of the run. How a `body` of bytes is read says `column`.
"""

from datetime import UTC, datetime
from typing import Final

from sqlalchemy import (
    Boolean,
    Column,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    SmallInteger,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

REVISIONS: Final = ("0001", "0002", "0003", "0004")
"""Every revision in order, so that alembic is loaded only when one is due."""

HEAD: Final = REVISIONS[-1]
EARLIER: Final = REVISIONS[:-1]


class UtcDateTime(TypeDecorator[datetime]):
    """An aware UTC time on any database; a naive one is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Bring an aware time to UTC; SQLite keeps it without its zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a stored time needs its zone")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return the time with its zone."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if dialect.name == "sqlite" else value.astimezone(UTC)


metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

BINARY_TEXT: Final = Text(collation="C").with_variant(Text(), "sqlite")
"""Text in the order of its code points on either database, so that a beginning is a range."""

machine: Final = Table(
    "machine",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("tag", Text, nullable=False, index=True),
    Column("customer", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("engine", Text, nullable=False),
    Column("serial", Text, nullable=False),
    Column("engine_class", Text, nullable=False),
    # When the customer's personal data was erased; None while it was not.
    Column("erased_at", UtcDateTime),
)

# Procedures and causes as they were frozen into visits: the same text once, by its SHA-256.
frozen: Final = Table(
    "frozen",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("body", Text, nullable=False),
)

visit: Final = Table(
    "visit",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("slip_number", Text, nullable=False, unique=True),
    # "B-0412" is letter B, serial 412; a number of another make has no serial.
    Column("slip_letter", Text, nullable=False),
    Column("slip_serial", Integer),
    Column("machine_id", String(36), ForeignKey("machine.id"), nullable=False),
    Column("opened_at", UtcDateTime, nullable=False, index=True),
    Column("complaint", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("procedure_key", Text, nullable=False),
    Column("engine_class", Text, nullable=False),
    Column("steps", Integer, nullable=False),
    Column("first_check", Text, nullable=False),
    # The machine and the interview as they stood when the visit was opened; its procedure and its
    # causes are in `frozen`.
    Column("header", Text, nullable=False),
    Column("procedure_digest", String(64), ForeignKey("frozen.digest"), nullable=False),
    Column("causes_digest", String(64), ForeignKey("frozen.digest")),
    # When it was handed over; None while it is open.
    Column("closed_at", UtcDateTime, index=True),
    Index(None, "slip_letter", "slip_serial"),
    Index(None, "machine_id", "opened_at"),
)

entry: Final = Table(
    "entry",
    metadata,
    Column("id", String(36), primary_key=True),
    Column("visit_id", String(36), ForeignKey("visit.id"), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("kind", String(24), nullable=False),
    Column("check_key", Text),
    # The entry this one strikes: what a redo replaces, or a withdrawn reading.
    Column("strikes", String(36), index=True),
    Column("body", Text, nullable=False),
    UniqueConstraint("visit_id", "seq"),
    # How far each visit of a whole shop is, without reading a body: a twentieth of the table.
    Index(None, "visit_id", "seq", "kind", "check_key", "id"),
)

taken: Final = Table(
    "taken",
    metadata,
    Column("entry_id", String(36), ForeignKey("entry.id"), primary_key=True),
    Column("visit_id", String(36), ForeignKey("visit.id"), nullable=False),
    Column("check_key", Text, nullable=False),
    # As the meter gave it.
    Column("reading_quantity", String(16)),
    Column("reading_value", Double),
    Column("resolution", Double),
    Column("full_scale", Double),
    Column("overload", Boolean, nullable=False),
    Column("source", String(16), nullable=False),
    Column("method", Text, nullable=False),
    # As it was judged.
    Column("quantity", String(16)),
    Column("corrected", Double),
    Column("expanded_uncertainty", Double),
    Column("k", Double, nullable=False),
    Column("band_low", Double),
    Column("band_high", Double),
    Column("verdict", String(16), nullable=False),
    Column("side", String(8)),
    Index(None, "visit_id", "check_key"),
    Index(None, "check_key", "quantity"),
)

# What a person said of the part behind a taken reading.
part_mark: Final = Table(
    "part_mark",
    metadata,
    Column("entry_id", String(36), ForeignKey("entry.id"), primary_key=True),
    Column("visit_id", String(36), ForeignKey("visit.id"), nullable=False, index=True),
    Column("target_id", String(36), nullable=False, index=True),
    Column("check_key", Text, nullable=False, index=True),
    Column("good", Boolean, nullable=False),
    Column("reason", Text, nullable=False),
)

# A photo by the SHA-256 of its file, which lies in the home folder of the bench that added it.
photo: Final = Table(
    "photo",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("media", String(32), nullable=False),
    Column("size", Integer, nullable=False),
    Column("thumbnail", LargeBinary, nullable=False),
)

# Which bench works on a visit. `token` rises with every new holder and fences off the one before.
lease: Final = Table(
    "lease",
    metadata,
    Column("visit_id", String(36), primary_key=True),
    Column("bench", Text, nullable=False),
    Column("holder", String(36), nullable=False),
    Column("token", Integer, nullable=False),
    Column("since", UtcDateTime, nullable=False),
    Column("expires_at", UtcDateTime, nullable=False, index=True),
)

# What the counter's box searches. A word as it is compared: `search_tail` has every end of it from
# `search_words.SHORTEST` letters on, so that a part of a word is the beginning of one of its ends.
search_tail: Final = Table(
    "search_tail",
    metadata,
    Column("tail", BINARY_TEXT, primary_key=True),
    Column("word", BINARY_TEXT, primary_key=True),
    sqlite_with_rowid=False,
)

search_place: Final = Table(
    "search_place",
    metadata,
    Column("word", BINARY_TEXT, primary_key=True),
    # Where it stands: a `search_words.Field`, the lower the sooner it is shown.
    Column("field", SmallInteger, primary_key=True, autoincrement=False),
    Column("machine_id", String(36), ForeignKey("machine.id"), primary_key=True),
    Index(None, "machine_id", "word", "field"),
    sqlite_with_rowid=False,
)

run: Final = Table(
    "run",
    metadata,
    Column("id", String(36), primary_key=True),
    # No foreign key: samples are kept even where the visit has not been stored yet.
    Column("visit_id", String(36), nullable=False, index=True),
    Column("kind", String(16), nullable=False),
    Column("header", Text, nullable=False),
)

# All that stands beside the digits of a reading. A sample names its dial by number.
run_dial: Final = Table(
    "run_dial",
    metadata,
    Column("run_id", String(36), ForeignKey("run.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("channel", Text, nullable=False),
    Column("body", Text, nullable=False),
)

# What has not been gathered into chunks yet; numbers rise within a channel.
run_tail: Final = Table(
    "run_tail",
    metadata,
    Column("run_id", String(36), ForeignKey("run.id"), primary_key=True),
    Column("channel", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("body", LargeBinary, nullable=False),
)

# A chunk has the number of the first row of the tail that went into it. `low` and `high` are of
# the numbers that count: neither an overload nor a held display.
run_chunk: Final = Table(
    "run_chunk",
    metadata,
    Column("run_id", String(36), ForeignKey("run.id"), primary_key=True),
    Column("channel", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("count", Integer, nullable=False),
    Column("start_s", Double, nullable=False),
    Column("end_s", Double, nullable=False),
    Column("low", Double),
    Column("high", Double),
    Column("body", LargeBinary, nullable=False),
    Index(None, "run_id", "channel", "start_s"),
)

run_bins: Final = Table(
    "run_bins",
    metadata,
    Column("run_id", String(36), ForeignKey("run.id"), primary_key=True),
    Column("channel", Text, primary_key=True),
    Column("level", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("start_s", Double, nullable=False),
    Column("end_s", Double, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Index(None, "run_id", "channel", "level", "start_s"),
)

run_gap: Final = Table(
    "run_gap",
    metadata,
    Column("run_id", String(36), ForeignKey("run.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("channel", Text, nullable=False),
    Column("start_s", Double, nullable=False),
    Column("end_s", Double, nullable=False),
    Column("reason", String(16), nullable=False),
)
