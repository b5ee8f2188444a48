"""The counter's one box: machines found by any word of theirs, typed right or nearly."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, delete, insert, select

from benchassist.core.entry import Interview, Machine
from benchassist.storage import schema, search
from benchassist.storage.frozen import keep
from benchassist.storage.row import machine_row, visit_rows
from benchassist.storage.search_close import close_words, pieces_of, tolerance
from benchassist.storage.search_find import Limits, find
from benchassist.storage.search_words import Field, places_of, words_of
from benchassist.storage.store import SqlStore
from tests.storage.case import OPENED, header, machine, settled
from tests.storage.search_peer import Said, edits, found_by_looking

TABLES = (schema.search_place, schema.search_tail)
drawn = settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


@pytest.fixture
def engine(store: SqlStore) -> Engine:
    """Return what writes to an empty shop."""
    writer = store._engines.writer
    assert writer is not None
    return writer


def put(connection: Connection, known: Machine, *said: tuple[int, str]) -> None:
    """A machine and its visits: on which day, what was said."""
    connection.execute(insert(schema.machine), machine_row(known))
    search.index_machine(connection, known)
    for day, words in said:
        number = f"{known.id[:4]}-{day}"
        opened = replace(
            header(number, of=known, day=day), interview=Interview(complaint="", words=words)
        )
        row, texts = visit_rows(opened)
        keep(connection, texts)
        connection.execute(insert(schema.visit), row)
        search.index_visit(connection, known.id, words)


def clear(connection: Connection) -> None:
    """Empty the shop."""
    for table in (*TABLES, schema.visit, schema.machine):
        connection.execute(delete(table))


def rows_of(connection: Connection) -> list[set[tuple[object, ...]]]:
    """What is searched."""
    return [{tuple(row) for row in connection.execute(select(table))} for table in TABLES]


def blank(tag: str, **texts: str) -> Machine:
    """A machine of which only this is known."""
    known = dict.fromkeys(("customer", "phone", "unit", "engine", "serial", "engine_class"), "")
    return machine(tag, **(known | texts))


# --- what finds a machine -------------------------------------------------------------------------


@pytest.fixture
def two(store: SqlStore) -> SqlStore:
    """A shop with a tiller that quits and a pump nobody complained of."""
    tiller = machine("K-07", customer="Ada Müller", unit="Tiller 50%", serial="LF_160-0093")
    pump = machine(
        "P2", customer="Tallow Hill", phone="555 0199", unit="Pump", engine="C-21", serial="XX9"
    )
    opened = replace(
        header("0001", of=tiller),
        interview=Interview(complaint="Quits hot", words="dies uphill, <b>bangs</b>"),
    )
    settled(store, store.submit_visit(opened), store.submit_machine(pump))
    return store


@pytest.mark.parametrize(
    ("words", "tag"),
    [
        ("K-07", "K-07"),
        ("k07", "K-07"),
        ("k 07", "K-07"),
        ("MÜLLER", "K-07"),
        ("muller till", "K-07"),
        ("ller", "K-07"),
        ("lf_160", "K-07"),
        ("lf1600", "K-07"),
        ("60-009", "K-07"),
        ("tiller 50%", "K-07"),
        ("0142", "K-07"),
        ("555-0142", "K-07"),
        ("larkfield", "K-07"),
        ("uphill", "K-07"),
        ("quits dies ada", "K-07"),
        ("bangs", "K-07"),
        ("0199", "P2"),
        ("5550199", "P2"),
        ("c21", "P2"),
        ("c-2", "P2"),
        ("pump hil", "P2"),
        ("tal h", "P2"),
    ],
)
def test_any_part_of_any_word_finds_it(two: SqlStore, words: str, tag: str) -> None:
    """Tag, name, serial fragment, phone tail, engine, complaint; case and marks do not count."""
    found = two.find(words, 9)
    assert [m.tag for m in found.machines] == [tag]
    assert (found.count, found.more, found.close) == (1, False, False)


@pytest.mark.parametrize(
    ("words", "tag"),
    [
        ("mulller", "K-07"),
        ("mller", "K-07"),
        ("mulelr", "K-07"),
        ("nuller", "K-07"),
        ("larkfeild uphil", "K-07"),
        ("lf1610093", "K-07"),
        ("tlalow", "P2"),
        ("talow hlil", "P2"),
        ("tallaw pump", "P2"),
        ("5550189", "P2"),
    ],
)
def test_typing_errors_are_tolerated_and_said(two: SqlStore, words: str, tag: str) -> None:
    """Where nothing has the words as typed, what is close to them is found, and it is told so."""
    found = two.find(words, 9)
    assert [m.tag for m in found.machines] == [tag]
    assert found.close


@pytest.mark.parametrize("words", ["", "  ", "-", "?!", "müller pump", "tillx pump", "xyz", "0143"])
def test_words_that_are_nowhere_find_nothing(two: SqlStore, words: str) -> None:
    """Every word has to be there; a short number that is nearly right is another number."""
    assert two.find(words, 9).count == 0


def test_a_tag_that_is_nearly_right_is_another_tag(store: SqlStore) -> None:
    """Nothing close to a tag is offered for it, however long it is."""
    settled(store, store.submit_machine(blank("ORCHARD-1207", unit="Pump")))
    assert store.find("orchard-1208", 9).count == 0
    assert store.find("orchadr", 9).count == 0
    assert store.find("orchard-120", 9).count == 1


def test_the_best_come_first(store: SqlStore) -> None:
    """Tag, owner, machine, what was said; beginnings before middles; then the one seen last."""
    told = {
        "tag": (blank("hill-1"), 1),
        "owner": (blank("A1", customer="Hill & Son"), 1),
        "owner, later": (blank("A2", customer="Hillary"), 5),
        "owner, never": (blank("A3", serial="HILL7"), None),
        "machine": (blank("A4", unit="Hill climber"), 3),
        "said": (blank("A5"), 4),
        "inside": (blank("A6", customer="Downhill"), 6),
    }
    with store._engines.writer.begin() as connection:  # type: ignore[union-attr]
        for name, (known, day) in told.items():
            words = "slow uphill, hill" if name == "said" else "service"
            put(connection, known, *(() if day is None else ((day, words),)))
    order = ["tag", "owner, later", "owner", "owner, never", "machine", "said", "inside"]
    found = store.find("hill", 99)
    assert found.machines == tuple(told[name][0] for name in order)
    assert store.find("hill", 2).machines == found.machines[:2]
    assert store.find("hill", 2).count == len(order)


def test_machines_of_a_tag_are_those_with_that_very_tag(store: SqlStore) -> None:
    """Whatever its case, and marks count here; a tag of marks alone is found too."""
    known = [blank(tag, unit="Pump") for tag in ("M-1", "m1", "M-10", "++")]
    settled(store, *(store.submit_machine(m) for m in known))
    assert [m.tag for m in store.machines_of_tag("m-1")] == ["M-1"]
    assert [m.tag for m in store.machines_of_tag("M1")] == ["m1"]
    assert [m.tag for m in store.machines_of_tag("++")] == ["++"]
    assert store.machines_of_tag("M") == ()
    assert store.machine_count() == len(known)


# --- kept in step ---------------------------------------------------------------------------------


def test_a_changed_machine_is_no_longer_found_by_its_old_words(store: SqlStore) -> None:
    """Neither by the word nor by one of its ends; what was said at its visits still finds it."""
    opened = header()
    settled(store, store.submit_visit(opened))
    renamed = replace(opened.machine, customer="Bo Holm", phone="", tag="Z9")
    settled(store, store.submit_machine(renamed))
    for words in ("müller", "uller", "ada", "0142", "k7", "muler"):
        assert store.find(words, 9).count == 0, words
    for words in ("holm", "z9", "mowing", "larkfield bo"):
        assert store.find(words, 9).machines == (renamed,), words


def test_a_word_two_machines_share_stays_while_one_has_it(engine: Engine) -> None:
    """Forgetting one machine leaves the other's words, and nothing of its own."""
    one, other = blank("A1", customer="Ada Müller"), blank("B2", customer="Bo Müller")
    with engine.begin() as connection:
        put(connection, one, (1, "whistles"))
        put(connection, other)
        before = rows_of(connection)
        search.forget_machine(connection, one.id)
        assert find(connection, "uller", limit=9).machines == (other,)
        left = {word for (word, *_rest) in rows_of(connection)[0]}
        assert left == {"b2", "bo", "muller"}
        assert {word for (_tail, word) in rows_of(connection)[1]} == left
        search.index_again(connection, one.id)
        assert rows_of(connection) == before


machines_drawn = st.builds(
    lambda tag, customer, phone, serial: (tag, customer, phone, serial),
    st.text("abM-1", min_size=1, max_size=4),
    st.lists(st.text("abcdé", min_size=1, max_size=9), max_size=3).map(" ".join),
    st.text("0123 -", max_size=9),
    st.text("ab12-", max_size=9),
)
said_drawn = st.lists(st.text("abcd ", max_size=14), max_size=3)
shops = st.lists(st.tuples(machines_drawn, said_drawn), max_size=5)


def draw(
    connection: Connection, shop: list[tuple[tuple[str, ...], list[str]]]
) -> tuple[dict[str, Machine], list[Said]]:
    """Fill an emptied shop with what was drawn; no two visits are of one day."""
    clear(connection)
    machines, visits, day = dict[str, Machine](), list[Said](), 0
    for (tag, customer, phone, serial), texts in shop:
        known = blank(tag, customer=customer, phone=phone, serial=serial)
        machines[known.id] = known
        told = [(day := day + 1, text) for text in texts]
        put(connection, known, *told)
        visits += [Said(known.id, OPENED + timedelta(days=n), text) for n, text in told]
    return machines, visits


@drawn
@given(shop=shops, words=st.text("abcdM12- ", max_size=12))
def test_the_search_finds_what_looking_at_everything_finds(
    engine: Engine, shop: list[tuple[tuple[str, ...], list[str]]], words: str
) -> None:
    """In the same order, close words and all."""
    with engine.begin() as connection:
        machines, visits = draw(connection, shop)
        found = find(connection, words, limit=99)
        assert ([m.id for m in found.machines], found.close) == found_by_looking(
            machines, visits, words
        )
        assert found.count == len(found.machines)


@drawn
@given(shop=shops, words=st.text("abcdM12- ", max_size=8), data=st.data())
def test_a_search_that_is_cut_short_finds_only_what_fits(
    engine: Engine,
    shop: list[tuple[tuple[str, ...], list[str]]],
    words: str,
    data: st.DataObject,
) -> None:
    """Words at more places than are followed: what is shown fits, and something is if anything."""
    limits = Limits(most=data.draw(st.integers(1, 3)), recent=data.draw(st.integers(0, 3)))
    with engine.begin() as connection:
        machines, visits = draw(connection, shop)
        found = find(connection, words, limit=2, limits=limits)
        fit, close = found_by_looking(machines, visits, words)
        assert {m.id for m in found.machines} <= set(fit)
        assert bool(found.machines) == bool(fit)
        assert len(found.machines) <= 2
        assert found.count <= len(fit)
        assert found.more or found.count == len(fit)
        assert found.close is close


@drawn
@given(shop=shops, seed=st.randoms())
def test_what_is_searched_is_what_is_on_file(engine: Engine, shop: list, seed) -> None:  # type: ignore[no-untyped-def, type-arg]  # noqa: ANN001
    """Kept in step through changes or built anew, it is the same to the last end of a word."""
    with engine.begin() as connection:
        machines, _visits = draw(connection, shop)
        for known in machines.values():
            if seed.random() < 0.5:
                changed = replace(known, customer=seed.choice(("Abba", "")), serial="a-1")
                connection.execute(
                    schema.machine.update().where(schema.machine.c.id == known.id),
                    machine_row(changed),
                )
                search.index_machine(connection, changed)
        kept = rows_of(connection)
        search.rebuild(connection)
        assert rows_of(connection) == kept


@drawn
@given(
    customer=st.text("abcdefgäß", min_size=2, max_size=20),
    ends=st.tuples(st.integers(0, 18), st.integers(2, 20)),
)
def test_any_fragment_finds_its_machine(
    engine: Engine, customer: str, ends: tuple[int, int]
) -> None:
    """Of two letters or more, wherever in a word it stands."""
    start, length = ends
    words = sorted(words_of(customer))
    fragment = words[0][start : start + length]
    assume(len(fragment) >= 2)
    with engine.begin() as connection:
        clear(connection)
        put(connection, known := blank("X", customer=customer))
        found = find(connection, fragment, limit=1)
        assert found.machines == (known,)
        assert not found.close


@drawn
@given(
    word=st.text("abcdefgh", min_size=5, max_size=16),
    at=st.integers(0, 15),
    kind=st.sampled_from(["swap", "drop", "add", "wrong"]),
)
def test_one_error_in_a_word_still_finds_it(engine: Engine, word: str, at: int, kind: str) -> None:
    """Anywhere in a word of five letters or more; two in one of nine."""
    with engine.begin() as connection:
        clear(connection)
        put(connection, known := blank("X", customer=word))
        once = edited(word, at % len(word), kind)
        assert find(connection, once, limit=1).machines == (known,)
        if len(word) >= 9:
            twice = edited(once, (at * 7 + 3) % len(once), "wrong")
            assert edits(word, twice) <= 2
            assert find(connection, twice, limit=1).machines == (known,)


def edited(word: str, at: int, kind: str) -> str:
    """A word with one typing error."""
    match kind:
        case "swap":
            at = min(at, len(word) - 2)
            return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
        case "drop":
            return word[:at] + word[at + 1 :]
        case "add":
            return word[:at] + "x" + word[at:]
        case _:
            return word[:at] + "x" + word[at + 1 :]


@given(
    st.text("abcd", min_size=4, max_size=14),
    st.lists(
        st.tuples(st.integers(0, 13), st.sampled_from(["swap", "drop", "add", "wrong"])), max_size=2
    ),
)
def test_one_piece_is_always_left(word: str, errors: list[tuple[int, str]]) -> None:
    """The pigeonhole: whatever the errors, a piece of what was typed stands where it would."""
    typed = word
    for at, kind in errors:
        typed = edited(typed, at % len(typed), kind)
    assume(errors and len(typed) >= 4 and edits(typed, word) == len(errors))
    assert any(
        word.startswith(piece.letters, at)
        for piece in pieces_of(typed, len(errors))
        for at in range(max(0, piece.at - piece.errors), piece.at + piece.errors + 1)
    )


@pytest.mark.parametrize(
    ("word", "errors"),
    [
        ("abc", 0),
        ("abcd", 1),
        ("abcdefg", 1),
        ("abcdefgh", 2),
        ("12345", 0),
        ("m1234", 0),
        ("123456", 1),
        ("lf160009", 2),
    ],
)
def test_short_words_and_numbers_are_taken_as_typed(word: str, errors: int) -> None:
    """One error from four letters on, two from eight; a number needs six."""
    assert tolerance(word) == errors


def test_the_closest_words_come_first(engine: Engine) -> None:
    """Fewer errors, then about the same length; a word not typed to its end is close too."""
    with engine.begin() as connection:
        put(connection, blank("X", customer="tallow tallowhill yallow tillow marrow"))
        assert close_words(connection, "tallw", 1) == ("tallow", "tallowhill")
        assert close_words(connection, "tallowhlll", 2) == ("tallowhill",)
        assert close_words(connection, "zallow", 1) == ("tallow", "yallow", "tallowhill")
        assert close_words(connection, "tal", 1) == ()


def test_a_hostile_text_is_only_words(store: SqlStore) -> None:
    """A megabyte, markup, SQL and wildcards in a name: found by a word of it, nothing else."""
    name = "'; DROP TABLE machine; -- %_% \u202e" + "é" * 500_000
    known = blank("H1", customer=name, unit="<script>x</script>")
    settled(store, store.submit_machine(known))
    assert store.find("drop", 9).machines == (known,)
    assert store.find("eeee", 9).machines == (known,)
    assert store.find("%", 9).count == 0
    assert store.find("x" * 100_000, 9).count == 0
    assert store.find("a b " * 50_000, 9).count == 0
    assert store.machine_count() == 1


def test_places_say_where_a_word_stands() -> None:
    """The order of the fields is the order in which machines are shown."""
    assert sorted(Field) == [Field.TAG, Field.OWNER, Field.MACHINE, Field.SAID]
    assert places_of(blank("A", customer="B")) == {("a", Field.TAG), ("b", Field.OWNER)}
