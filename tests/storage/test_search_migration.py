"""A shop from before the search is brought up with everything in it to be found."""

import pytest
from sqlalchemy import insert, select, update

from benchassist.storage import open_store, schema, search
from benchassist.storage.row import machine_row
from benchassist.storage.search_words import Field
from tests.storage.case import machine
from tests.storage.old_shop import bare_engine, lay, migrated

HOSTILE = (
    {"customer": "Ünal, <b>Söhne</b> & C° Ltd", "phone": "+49 (0)171 / 555-01 99 Ann"},
    {"customer": "x" * 1_000_000, "serial": "AB 12-345 " * 40, "engine": "C-210 ½ ﬁ"},
    {"customer": "\u202edlo\u202c 'quote\" %_ \\", "unit": "Łódź ISTANBUL \u0131", "serial": "-"},
    {"customer": "", "phone": "", "unit": "", "engine": "", "serial": ""},
)


@pytest.mark.parametrize("at", ["0002", "0003"])
def test_every_word_on_file_is_searched_after_a_migration(location: str, at: str) -> None:
    """What the migration writes is what the program would have, to the last end of a word."""
    old = lay(location, at)
    with bare_engine(location) as engine:
        migrated(engine, "0003")
        with engine.begin() as connection:
            for number, texts in enumerate(HOSTILE):
                row = machine_row(machine(f"H-{number}", **texts))
                connection.execute(insert(schema.machine), row)
            said = update(schema.visit).values(complaint="Läuft heiß", words="dies ‘uphill’, twice")
            connection.execute(said)
        migrated(engine, "0004")
        with engine.begin() as connection:
            tables = (schema.search_place, schema.search_tail)
            made = [{tuple(r) for r in connection.execute(select(t))} for t in tables]
            search.rebuild(connection)
            assert [{tuple(r) for r in connection.execute(select(t))} for t in tables] == made
        assert len({machine_id for _word, _field, machine_id in made[0]}) >= len(HOSTILE)
        assert any(field == Field.SAID for _word, field, _machine_id in made[0])
    with open_store(location) as store:
        for header, _entries in old.visits:
            assert header.machine in store.find(header.machine.tag, 99).machines
        assert store.find("sohne 0199", 9).machines[0].tag == "H-0"
        assert store.find("heiss uphill", 9).count == len({h.machine.id for h, _e in old.visits})


def test_an_empty_shop_is_brought_up_too(location: str) -> None:
    """Nothing on file, nothing to find."""
    with bare_engine(location) as engine:
        migrated(engine, "0004")
        with engine.connect() as connection:
            assert connection.execute(select(schema.search_place)).first() is None
        migrated(engine, "0003")
        migrated(engine, "0004")
