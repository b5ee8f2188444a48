"""The words that the counter searches, from every machine and visit on file.

A migration stands by itself: it imports nothing of the program, which moves on. Words are as they
were made when this revision was; `LETTERS` and the rest are of that day.
"""

import unicodedata
from collections.abc import Iterator, Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

PORTION = 500
"""Machines or visits held in memory at a time."""

SHORTEST, LONGEST, MOST_WORDS, MOST_TEXT = 2, 40, 64, 20_000
LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "\u0131": "i"}
)
TAG, OWNER, MACHINE, SAID = range(4)

Place = tuple[str, int, str]
"""A word, where it stands, the machine's id."""


def upgrade() -> None:
    text = sa.Text(collation="C").with_variant(sa.Text(), "sqlite")
    op.create_table(
        "search_tail",
        sa.Column("tail", text, nullable=False),
        sa.Column("word", text, nullable=False),
        sa.PrimaryKeyConstraint("tail", "word", name="pk_search_tail"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "search_place",
        sa.Column("word", text, nullable=False),
        sa.Column("field", sa.SmallInteger, autoincrement=False, nullable=False),
        sa.Column("machine_id", sa.String(36), nullable=False),
        sa.PrimaryKeyConstraint("word", "field", "machine_id", name="pk_search_place"),
        sa.ForeignKeyConstraint(
            ["machine_id"], ["machine.id"], name="fk_search_place_machine_id_machine"
        ),
        sqlite_with_rowid=False,
    )
    op.create_index(
        "ix_search_place_machine_id_word_field", "search_place", ["machine_id", "word", "field"]
    )
    op.create_index("ix_visit_machine_id_opened_at", "visit", ["machine_id", "opened_at"])
    op.drop_index("ix_visit_machine_id", "visit")
    op.create_index(
        "ix_entry_visit_id_seq_kind_check_key_id",
        "entry",
        ["visit_id", "seq", "kind", "check_key", "id"],
    )
    _index_everything()


def downgrade() -> None:
    op.drop_index("ix_entry_visit_id_seq_kind_check_key_id", "entry")
    op.create_index("ix_visit_machine_id", "visit", ["machine_id"])
    op.drop_index("ix_visit_machine_id_opened_at", "visit")
    op.drop_table("search_place")
    op.drop_table("search_tail")


def _index_everything() -> None:
    """In portions by id: what is read next does not hang on a cursor that is open meanwhile."""
    known = set[str]()
    names = ("tag", "customer", "phone", "serial", "unit", "engine")
    machine = sa.table("machine", *(sa.column(name) for name in ("id", *names)))
    visit = sa.table("visit", *(sa.column(n) for n in ("id", "machine_id", "complaint", "words")))
    done, whole = 0, _count(machine) + _count(visit)
    for rows in _portions(machine):
        _put({(w, field, row.id) for row in rows for w, field in _of_machine(row)}, known)
        done += len(rows)
        _tell(done, whole)
    for rows in _portions(visit):
        _put(
            {
                (word, SAID, row.machine_id)
                for row in rows
                for text in (row.complaint, row.words)
                for word in _words(text)
            },
            known,
        )
        done += len(rows)
        _tell(done, whole)


def _count(table: sa.TableClause) -> int:
    return op.get_bind().scalar(sa.select(sa.func.count()).select_from(table)) or 0


def _tell(done: int, whole: int) -> None:
    """Say how far it is to whoever has it brought up; what that raises undoes it."""
    config = op.get_context().config
    told = config.attributes.get("told") if config is not None else None
    if told is not None:
        told(revision, done, whole)


def _portions(table: sa.TableClause) -> Iterator[Sequence[sa.Row[Any]]]:
    last = ""
    while (
        rows := op.get_bind()
        .execute(sa.select(table).where(table.c.id > last).order_by(table.c.id).limit(PORTION))
        .fetchall()
    ):
        yield rows
        last = rows[-1].id


def _put(places: set[Place], known: set[str]) -> None:
    """`known` are the words whose ends are there."""
    from sqlalchemy.dialects import postgresql, sqlite

    if not places:
        return
    insert = sqlite.insert if op.get_bind().dialect.name == "sqlite" else postgresql.insert
    place = sa.table("search_place", *(sa.column(n) for n in ("word", "field", "machine_id")))
    op.get_bind().execute(
        insert(place).on_conflict_do_nothing(),
        [dict(zip(("word", "field", "machine_id"), row, strict=True)) for row in sorted(places)],
    )
    fresh = {word for word, _field, _machine_id in places} - known
    known |= fresh
    if fresh:
        tail = sa.table("search_tail", sa.column("tail"), sa.column("word"))
        ends = [{"tail": end, "word": word} for word in sorted(fresh) for end in _ends(word)]
        op.get_bind().execute(insert(tail).on_conflict_do_nothing(), ends)


def _of_machine(row: sa.Row[Any]) -> set[tuple[str, int]]:
    texts = (
        (TAG, _number(row.tag)),
        (OWNER, _words(row.customer)),
        (OWNER, _phone(row.phone)),
        (OWNER, _number(row.serial)),
        (MACHINE, _words(row.unit)),
        (MACHINE, _words(row.engine)),
    )
    return {(word, field) for field, words in texts for word in words}


def _folded(text: str) -> str:
    text = text[:MOST_TEXT]
    if text.isascii():
        return text.lower()
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in plain if unicodedata.category(c)[0] != "M").translate(LETTERS)


def _parts(chunk: str) -> list[str]:
    return "".join(c if c.isalnum() else " " for c in chunk).split()


def _words(text: str) -> set[str]:
    words = set[str]()
    for chunk in _folded(text).split():
        parts = _parts(chunk)
        words.update((*parts[:MOST_WORDS], "".join(parts)))
        if len(words) > MOST_WORDS:
            break
    return {word[:LONGEST] for word in words if word}


def _number(text: str) -> set[str]:
    whole = "".join(_parts(_folded(text)))[:LONGEST]
    return _words(text) | {whole} if whole else set()


def _phone(phone: str) -> set[str]:
    digits = "".join(c for c in _folded(phone) if c.isdecimal())[:LONGEST]
    names = {word for word in _words(phone) if word.isalpha()}
    return names | {digits} if digits else names


def _ends(word: str) -> list[str]:
    return [word, *(word[i:] for i in range(1, len(word) - SHORTEST + 1))]
