"""The words that the counter searches, kept in step with machines and visits.

Whoever writes a machine or a visit says so here in the same transaction. On a server one bench at
a time does: what one adds, another may be taking out.
"""

from collections.abc import Iterable

from sqlalchemy import Connection, delete, exists, select, text

from benchassist.core.entry import Machine
from benchassist.storage import query, schema
from benchassist.storage.addition import add_rows
from benchassist.storage.search_words import Field, ends_of, places_of, words_of
from benchassist.storage.shop_file import APPLICATION_ID

TURN = APPLICATION_ID + 1
"""The advisory lock of whoever changes what is searched."""

PORTION = 500
"""Machines or visits whose words are held in memory at a time."""

Place = tuple[str, str, Field]
"""A word, the machine's id, where the word stands."""


def index_machine(connection: Connection, machine: Machine) -> None:
    """A machine is new or has changed: its present words find it, its former ones no longer."""
    _take_turn(connection)
    p = schema.search_place.c
    here = {(word, machine.id, field) for word, field in places_of(machine)}
    former = connection.execute(
        select(p.word, p.machine_id, p.field).where(
            p.machine_id == machine.id, p.field != Field.SAID
        )
    )
    gone = {(word, machine_id, Field(field)) for word, machine_id, field in former} - here
    _drop(connection, gone)
    _add(connection, here)


def index_visit(connection: Connection, machine_id: str, *said: str) -> None:
    """A visit is new: what was said finds its machine, that is its complaint and its words."""
    _take_turn(connection)
    _add(connection, _said(machine_id, said))


def forget_machine(connection: Connection, machine_id: str) -> None:
    """Nothing finds a machine any more; a word that was its alone is gone."""
    _take_turn(connection)
    p = schema.search_place.c
    places = connection.execute(
        select(p.word, p.machine_id, p.field).where(p.machine_id == machine_id)
    )
    _drop(connection, {(word, machine_id, Field(field)) for word, machine_id, field in places})


def index_again(connection: Connection, machine_id: str) -> None:
    """Words of a machine or of its visits were changed or erased: begin with it anew."""
    forget_machine(connection, machine_id)
    v = schema.visit.c
    if (known := query.machine(connection, machine_id)) is not None:
        index_machine(connection, known)
    for row in connection.execute(select(v.complaint, v.words).where(v.machine_id == machine_id)):
        index_visit(connection, machine_id, *row)


def rebuild(connection: Connection) -> None:
    """Make everything that is searched anew from the machines and visits on file."""
    _take_turn(connection)
    connection.execute(delete(schema.search_place))
    connection.execute(delete(schema.search_tail))
    v = schema.visit.c
    machines = connection.execute(select(*query.MACHINE)).partitions(PORTION)
    for rows in machines:
        told = [query.machine_of(row) for row in rows]
        _add(connection, {(w, m.id, field) for m in told for w, field in places_of(m)})
    visits = connection.execute(select(v.machine_id, v.complaint, v.words)).partitions(PORTION)
    for rows in visits:
        _add(connection, {p for machine_id, *said in rows for p in _said(machine_id, said)})


def _said(machine_id: str, said: Iterable[str]) -> set[Place]:
    return {(word, machine_id, Field.SAID) for text in said for word in words_of(text)}


def _take_turn(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:turn)"), {"turn": TURN})


def _add(connection: Connection, places: set[Place]) -> None:
    add_rows(
        connection,
        schema.search_place,
        [
            {"word": word, "machine_id": machine_id, "field": field}
            # A server keeps rows in the order in which they came: a machine's lie together.
            for word, machine_id, field in sorted(places, key=lambda place: (place[1], place[0]))
        ],
    )
    words = sorted({word for word, _machine_id, _field in places})
    tails = [{"tail": tail, "word": word} for word in words for tail in ends_of(word)]
    add_rows(connection, schema.search_tail, tails)


def _drop(connection: Connection, places: set[Place]) -> None:
    p, t = schema.search_place.c, schema.search_tail.c
    for word, machine_id, field in sorted(places):
        connection.execute(
            delete(schema.search_place).where(
                p.word == word, p.machine_id == machine_id, p.field == field
            )
        )
    for word in sorted({word for word, _machine_id, _field in places}):
        connection.execute(
            delete(schema.search_tail).where(
                t.tail.in_(ends_of(word)), t.word == word, ~exists().where(p.word == word)
            )
        )
