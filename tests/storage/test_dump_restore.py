"""A dump in the place of a server's shop: all of it or nothing, never while a bench is at work."""

import logging
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest
from sqlalchemy import text

from benchassist.core.lease import Granted
from benchassist.core.visit import Visit
from benchassist.errors import BenchError, InputError, NotAShopError, ShopFileError
from benchassist.storage import open_store, schema
from benchassist.storage import server_hold as holding
from benchassist.storage.backup import back_up
from benchassist.storage.dump import dump
from benchassist.storage.dump_file import look_into, rows_in
from benchassist.storage.dump_restore import look_at, restore
from benchassist.storage.lease import LONG_AGO
from benchassist.storage.place import ShopServer, place_of
from benchassist.storage.restore_loss import Loss, served_loss_of
from benchassist.storage.schema import HEAD
from benchassist.storage.snapshot import snapshot
from benchassist.storage.store import SqlStore
from tests.postgres import PostgresServer
from tests.storage.case import OPENED, Scribe, header, settled
from tests.storage.killing import killed
from tests.storage.old_shop import bare_engine, lay
from tests.storage.proxy import Proxy
from tests.storage.shop_rows import Plain, rows
from tests.storage.test_backup import fill
from tests.storage.test_journal import Line, back, begun, stored
from tests.storage.test_process import sound

pytestmark = pytest.mark.postgres

log = logging.getLogger(__name__)


@dataclass(slots=True)
class Case:
    """A server's shop of three visits, its dump, and two visits more that came after it."""

    server: ShopServer
    dump: Path
    first: str
    """The id of a visit that is in the dump."""
    folder: Path

    def keep(self) -> None:
        """Copy the shop aside, as the program does."""
        (aside := self.folder / "aside.dump").unlink(missing_ok=True)
        dumped(self.server, aside)

    def restore(self, keep: Callable[[], None] | None = None) -> None:
        """Put the dump in the shop's place."""
        restore(look_at(self.dump, self.server), self.server, keep or nothing)

    def rows(self) -> dict[str, list[Plain]]:
        """Every row of the shop but its leases."""
        return {name: table for name, table in rows(self.server.url).items() if name != "lease"}

    def numbers(self) -> set[str]:
        """The slips that are on file."""
        return {str(row["slip_number"]) for row in rows(self.server.url)["visit"]}

    def ask(self, statement: str) -> None:
        """Do something to the database, past the program."""
        with bare_engine(self.server.url) as engine, engine.begin() as connection:
            connection.execute(text(statement))

    def run_out(self) -> None:
        """As if nobody had been heard of for a long time."""
        with bare_engine(self.server.url) as engine, engine.begin() as connection:
            connection.execute(schema.lease.update().values(expires_at=LONG_AGO))


def nothing() -> None:
    """Keep nothing aside."""


def dumped(server: ShopServer, to: Path) -> Path:
    """Dump a server's shop."""
    with snapshot(server) as moment:
        return dump(moment, to).file


@pytest.fixture(scope="module")
def model(
    postgres_server: PostgresServer, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Case]:
    """Return a shop that every test begins with a copy of."""
    postgres_server.execute("CREATE DATABASE model_of_restore")
    place = place_of(postgres_server.url("model_of_restore"))
    assert isinstance(place, ShopServer)
    folder = tmp_path_factory.mktemp("model")
    with open_store(place.url) as store:
        first, *_others = [fill(store, f"{n:04d}", 5) for n in range(1, 4)]
        made = dumped(place, folder / "b.dump")
        scribe = Scribe(store.visit(first)[0], after=5)
        settled(store, store.submit(scribe.taken(), scribe.taken()))
        fill(store, "0004", 5)
        settled(store, store.submit_visit(header("0005", day=9)))
    yield Case(place, made, first, folder)
    postgres_server.execute("DROP DATABASE model_of_restore WITH (FORCE)")


@pytest.fixture
def case(model: Case, postgres_server: PostgresServer, tmp_path: Path) -> Iterator[Case]:
    """Return a copy of it, with nobody at work in it."""
    postgres_server.execute("CREATE DATABASE restored TEMPLATE model_of_restore")
    shutil.copyfile(model.dump, tmp_path / "b.dump")
    place = ShopServer(postgres_server.url("restored"))
    yield replace(model, server=place, dump=tmp_path / "b.dump", folder=tmp_path)
    postgres_server.execute("DROP DATABASE restored WITH (FORCE)")


@pytest.fixture
def other_url(postgres_server: PostgresServer) -> Iterator[str]:
    """Return the address of another empty database."""
    postgres_server.execute("CREATE DATABASE another")
    yield postgres_server.url("another")
    postgres_server.execute("DROP DATABASE another WITH (FORCE)")


def program(folder: Path, name: str, script: str) -> None:
    """Put a program of that name into a folder."""
    file = folder / name
    file.write_text(f"#!/bin/sh\n{script}\n", "utf-8")
    file.chmod(0o755)


# --- a look first ---------------------------------------------------------------------------------


def test_what_is_in_it_is_shown_first(model: Case) -> None:
    """How many visits, the newest, the revision, of both; nothing is changed by looking."""
    before = model.rows()
    seen = look_at(model.dump, model.server)
    assert (seen.backup.visits, seen.backup.newest, seen.backup.revision) == (3, OPENED, HEAD)
    assert seen.backup.bytes == model.dump.stat().st_size
    assert seen.present is not None
    assert (seen.present.visits, seen.present.newest) == (5, OPENED + timedelta(days=9))
    assert seen.present.revision == HEAD
    assert "@" not in seen.present.name
    assert model.rows() == before
    lost = served_loss_of(seen, model.server)
    assert lost == Loss(visits=("0004", "0005"), entries=2)


def test_a_dump_is_looked_into_without_a_server(
    model: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor is all of it ever in memory: a table's rows come one by one."""
    monkeypatch.setenv("PGHOST", "/nowhere")
    assert look_into(model.dump).contents.visits == 3
    with rows_in(model.dump, "entry") as found:
        kinds = Counter(kind for (kind,) in found.of("kind"))
    assert kinds == {"taken": 15}


# --- in its place ---------------------------------------------------------------------------------


def test_the_dump_takes_the_shops_place(case: Case) -> None:
    """What was there is kept aside whole, the dump stays, the shop opens as it was then."""
    before, bytes_before = case.rows(), case.dump.read_bytes()
    with open_store(case.server.url, read_only=True) as store:
        whole = store.visit(case.first)
    case.restore(case.keep)
    assert case.numbers() == {"0001", "0002", "0003"}
    assert case.dump.read_bytes() == bytes_before
    with open_store(case.server.url) as store:
        head, entries = store.visit(case.first)
        assert (head, entries) == (whole[0], whole[1][:5])
        assert store.next_slip_number() == "0004"
        fill(store, "0004", 2)
    # And back again.
    aside = case.folder / "aside.dump"
    restore(look_at(aside, case.server), case.server, nothing)
    assert case.rows() == before


def test_an_empty_database_gets_the_shop(case: Case, other_url: str) -> None:
    """Nothing is kept aside then."""
    place = place_of(other_url)
    assert isinstance(place, ShopServer)
    seen = look_at(case.dump, place)
    assert seen.present is None
    restore(seen, place, lambda: pytest.fail("nothing was there"))
    with open_store(other_url, read_only=True) as store:
        assert {v.slip_number for v in store.visits()} == {"0001", "0002", "0003"}


def test_what_is_not_the_shops_stays(case: Case) -> None:
    """Another program's table in the same database, and a right that was given in ours."""
    case.ask("CREATE TABLE ledger_of_somebody AS SELECT 1 AS n")
    case.ask("CREATE ROLE reader_of_slips")
    try:
        case.ask("GRANT SELECT ON visit TO reader_of_slips")
        case.restore()
        assert rows(case.server.url)["ledger_of_somebody"] == [{"n": 1}]
        with bare_engine(case.server.url) as engine, engine.begin() as connection:
            asked = "SELECT has_table_privilege('reader_of_slips', 'visit', 'SELECT')"
            assert connection.scalar(text(asked))
    finally:
        case.ask("DROP OWNED BY reader_of_slips")
        case.ask("DROP ROLE reader_of_slips")


def test_what_a_dump_holds_beside_is_not_carried_out(case: Case) -> None:
    """A function and a trigger in it do not come along: only rows do."""
    case.ask("CREATE FUNCTION spy() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'")
    case.ask("CREATE TRIGGER spying BEFORE INSERT ON visit FOR EACH ROW EXECUTE FUNCTION spy()")
    spied = dumped(case.server, case.folder / "spied.dump")
    case.ask("DROP FUNCTION spy CASCADE")
    restore(look_at(spied, case.server), case.server, nothing)
    with bare_engine(case.server.url) as engine, engine.begin() as connection:
        assert (
            connection.scalar(text("SELECT count(*) FROM pg_trigger WHERE NOT tgisinternal")) == 0
        )
        assert connection.scalar(text("SELECT count(*) FROM pg_proc WHERE proname = 'spy'")) == 0


def test_it_is_told_how_far_it_is(case: Case) -> None:
    """Rising, to its end; what is raised ends it, and nothing is replaced."""
    before, shares = case.rows(), list[float]()

    def end(_done: int, _whole: int) -> None:
        raise KeyboardInterrupt

    seen = look_at(case.dump, case.server)
    with pytest.raises(KeyboardInterrupt):
        restore(seen, case.server, nothing, end)
    assert case.rows() == before
    restore(seen, case.server, nothing, lambda done, whole: shares.append(done / whole))
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@pytest.mark.parametrize("at", ["0001", "0003"])
def test_an_older_dump_is_brought_up(at: str, case: Case, other_url: str) -> None:
    """In the same transaction: it becomes what the older shop becomes, over one of any revision."""
    lay(other_url, at)
    place = place_of(other_url)
    assert isinstance(place, ShopServer)
    old = dumped(place, case.folder / f"{at}.dump")
    seen = look_at(old, case.server)
    assert seen.backup.revision == at
    shares = list[float]()
    restore(seen, case.server, nothing, lambda done, whole: shares.append(done / whole))
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    open_store(other_url).close()
    expected = rows(other_url)
    del expected["lease"]
    assert case.rows() == expected


def test_a_dump_comes_over_an_older_shop(case: Case, other_url: str) -> None:
    """Its tables give way to those of the dump."""
    lay(other_url, "0002")
    place = place_of(other_url)
    assert isinstance(place, ShopServer)
    seen = look_at(case.dump, place)
    assert seen.present is not None
    assert seen.present.revision == "0002"
    restore(seen, place, nothing)
    with open_store(other_url, read_only=True) as store:
        assert {v.slip_number for v in store.visits()} == {"0001", "0002", "0003"}


# --- what is refused ------------------------------------------------------------------------------


def refused(case: Case, file: Path, said: str, kind: type[BenchError] = ShopFileError) -> None:
    """A file is refused in one line, at the first look."""
    before = case.rows()
    with pytest.raises(kind, match=said) as error:
        look_at(file, case.server)
    assert "\n" not in str(error.value)
    assert case.rows() == before


@pytest.mark.parametrize("cut", [200, 2000, 0])
def test_a_dump_that_is_damaged_is_refused(model: Case, cut: int) -> None:
    """Cut short, or spoilt in the middle: it is unpacked to its end before anything is done."""
    data = bytearray(model.dump.read_bytes())
    if cut:
        del data[-cut:]
    else:
        # The tables' rows come last; they are packed, and a packed byte is no other one's.
        for at in range(len(data) - 3000, len(data) - 2900):
            data[at] ^= 0x5A
    spoilt = model.folder / "spoilt.dump"
    spoilt.write_bytes(data)
    refused(model, spoilt, "damaged or cannot be read")


def test_what_is_no_dump_of_a_shop_is_refused(case: Case, other_url: str) -> None:
    """A letter, a folder, nothing; a shop file; another program's dump; one of a newer program."""
    letter = case.folder / "letter.dump"
    letter.write_text("dear", "utf-8")
    refused(case, letter, "is no dump of a server's shop", NotAShopError)
    refused(case, case.folder, "is no dump of a server's shop", NotAShopError)
    refused(case, case.folder / "none.dump", "no such file", NotAShopError)
    file = case.folder / "shop.sqlite"
    open_store(file).close()
    refused(case, back_up(file, case.folder / "b.sqlite").file, "benchassist move", InputError)
    mark, newer = "UPDATE alembic_version SET version_num = ", case.folder / "newer.dump"
    case.ask(f"{mark} '9999'")
    own_dump(case.server.url, newer)
    case.ask(f"{mark} '{HEAD}'")
    refused(case, newer, r"newer than this program .* update this program first")
    with bare_engine(other_url) as engine, engine.begin() as connection:
        connection.execute(text("CREATE TABLE visit (id TEXT)"))
    foreign = case.folder / "foreign.dump"
    own_dump(other_url, foreign)
    refused(case, foreign, "another program's database", NotAShopError)


def own_dump(url: str, to: Path, *more: str) -> None:
    """Dump a database whatever is in it."""
    address = url.replace("+psycopg", "")
    command = ["pg_dump", "--format=custom", *more, f"--file={to}", address]
    subprocess.run(command, check=True, capture_output=True)


def test_a_dump_that_is_no_whole_shop_replaces_nothing(case: Case) -> None:
    """One without a table, and one whose rows belong to none, read well at the first look."""
    before = case.rows()
    without = case.folder / "without.dump"
    own_dump(case.server.url, without, "--exclude-table=photo")
    with pytest.raises(ShopFileError, match="has no table photo"):
        restore(look_at(without, case.server), case.server, nothing)
    case.ask("ALTER TABLE machine ADD COLUMN extra TEXT")
    wider = case.folder / "wider.dump"
    own_dump(case.server.url, wider)
    case.ask("ALTER TABLE machine DROP COLUMN extra")
    with pytest.raises(ShopFileError, match="table machine of another program"):
        restore(look_at(wider, case.server), case.server, nothing)
    assert case.rows() == before
    case.ask("ALTER TABLE taken DROP CONSTRAINT fk_taken_visit_id_visit")
    case.ask("UPDATE taken SET visit_id = 'nobody'")
    orphans = case.folder / "orphans.dump"
    own_dump(case.server.url, orphans)
    case.ask("DELETE FROM taken")
    case.ask(f"ALTER TABLE taken ADD CONSTRAINT own {KEY}")
    before = case.rows()
    with pytest.raises(ShopFileError, match="does not hold a whole shop"):
        restore(look_at(orphans, case.server), case.server, nothing)
    assert case.rows() == before


KEY = "FOREIGN KEY (visit_id) REFERENCES visit (id)"


def test_the_programs_that_are_missing_are_named(
    model: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the reader, and with one that is older than the dump."""
    tools = model.folder / "tools"
    tools.mkdir()
    said = "pg_restore: error: unsupported version (1.17) in file header"
    program(tools, "pg_restore", f"echo '{said}' >&2; exit 1")
    monkeypatch.setenv("PATH", f"{tools}:/usr/bin:/bin")
    with pytest.raises(InputError, match="install the newer PostgreSQL client"):
        look_at(model.dump, model.server)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(InputError, match="pg_restore is not on this computer"):
        look_at(model.dump, model.server)


def test_who_may_not_replace_it_is_told(case: Case) -> None:
    """A user that only reads; the shop stays."""
    before = case.rows()
    case.ask("CREATE ROLE looker LOGIN")
    try:
        case.ask("GRANT SELECT ON ALL TABLES IN SCHEMA public TO looker")
        place = ShopServer(case.server.url.replace("bench@", "looker@"))
        with pytest.raises(ShopFileError, match="may not replace the shop") as error:
            restore(look_at(case.dump, place), place, nothing)
        assert "\n" not in str(error.value)
    finally:
        case.ask("DROP OWNED BY looker")
        case.ask("DROP ROLE looker")
    assert case.rows() == before


def test_a_table_others_depend_on_is_said(case: Case) -> None:
    """Another program's rows that name a visit of ours; nothing is replaced."""
    case.ask("CREATE TABLE their_note (visit_id VARCHAR(36) REFERENCES visit (id))")
    before = case.rows()
    with pytest.raises(ShopFileError, match="refused"):
        case.restore()
    assert case.rows() == before


def test_where_nothing_can_be_kept_aside_nothing_is_replaced(case: Case) -> None:
    """A full disk, for one."""
    before = case.rows()

    def full() -> None:
        raise ShopFileError("the disk is full")

    with pytest.raises(ShopFileError, match="the disk is full"):
        case.restore(full)
    assert case.rows() == before


# --- benches --------------------------------------------------------------------------------------


def test_a_bench_that_is_open_is_named(case: Case) -> None:
    """Whether or not it works on a visit; it goes on as before."""
    with open_store(case.server.url, journals=case.folder / "journal") as store:
        assert store.benches is not None
        store.benches.wear("Bench by the door", "D")
        assert store.benches.take_up(case.first) == Granted(stale=True)
        with pytest.raises(
            ShopFileError,
            match="bench Bench by the door has the shop open: close the program there, then",
        ):
            case.restore()
        fill(store, "0006", 3)
    assert "0006" in case.numbers()
    case.restore()
    assert case.numbers() == {"0001", "0002", "0003"}


@pytest.mark.parametrize("read_only", [True, False])
def test_another_program_of_ours_is_waited_for_no_longer_than_that(
    case: Case, monkeypatch: pytest.MonkeyPatch, read_only: bool
) -> None:
    """A command at work, say: it has no lease, and would find the shop another one."""
    monkeypatch.setattr(holding, "GONE_S", 0.2)
    with open_store(case.server.url, read_only=read_only) as store:
        assert len(store.visits()) == 5
        with pytest.raises(ShopFileError, match=r"has the shop .* open \(user bench, on the"):
            case.restore()
        assert len(store.visits()) == 5


def test_a_bench_that_came_in_while_it_was_kept_aside_is_seen(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It can read until then; nothing is replaced beneath it."""
    monkeypatch.setattr(holding, "GONE_S", 0.2)
    before, came = case.rows(), list[SqlStore]()
    with pytest.raises(ShopFileError, match=r"has the shop .* open"):
        case.restore(lambda: came.append(open_store(case.server.url, read_only=True)))
    assert len(came[0].visits()) == 5
    came[0].close()
    assert case.rows() == before


def test_a_program_of_others_that_reads_is_waited_for(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """For some seconds; one that is only connected is not in the way."""
    monkeypatch.setattr(holding, "FOR_LONG", ("lock_timeout = '100ms'",))
    address = case.server.url.replace("+psycopg", "")
    with psycopg.connect(f"{address}&application_name=report") as report:
        report.execute("SELECT count(*) FROM visit")
        with pytest.raises(ShopFileError, match="read by another program"):
            case.restore()
        report.commit()
        case.restore()
    assert case.numbers() == {"0001", "0002", "0003"}


def test_nobody_writes_between_the_copy_and_the_dump(case: Case) -> None:
    """What is kept aside is what was replaced, to the last reading."""
    said = list[str]()

    def keep() -> None:
        with bare_engine(case.server.url) as engine, engine.connect() as connection:
            connection.execute(text("SET lock_timeout = '50ms'"))
            try:
                connection.execute(text("UPDATE visit SET complaint = 'late'"))
            except Exception as error:  # noqa: BLE001 - whatever the driver calls it
                said.append(str(error))

    case.restore(keep)
    assert "lock timeout" in said[0]


def test_two_restores_come_one_after_the_other(case: Case) -> None:
    """The second is told to wait."""

    def keep() -> None:
        with pytest.raises(ShopFileError, match="up to date or restoring it"):
            case.restore()

    case.restore(keep)


def test_a_lost_server_leaves_the_old_shop(case: Case, postgres_server: PostgresServer) -> None:
    """In one line, at whatever moment."""
    before = case.rows()
    with Proxy(postgres_server) as proxy:
        place = place_of(proxy.url(urlsplit(case.server.url).path.strip("/")))
        assert isinstance(place, ShopServer)
        seen = look_at(case.dump, place)
        with pytest.raises(ShopFileError, match="was lost") as error:
            restore(seen, place, nothing, lambda _done, _whole: proxy._hang_up())
        assert "\n" not in str(error.value)
    assert case.rows() == before


# --- benches that were away -----------------------------------------------------------------------


@pytest.fixture
def line(
    postgres_server: PostgresServer,
    postgres_url: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Line]:
    """An empty shop on a server, and a way to it that can be cut."""
    monkeypatch.setattr("benchassist.storage.watch.PERIOD_S", 0.03)
    monkeypatch.setattr("benchassist.storage.writer.JOURNAL_PATIENCE_SECONDS", 0.1)
    monkeypatch.setattr("benchassist.storage.delivery.FIRST_PAUSE", 0.05)
    with Proxy(postgres_server) as way:
        made = Line(way, postgres_url, tmp_path)
        yield made
        way.listen_again()
        made.close()


def case_of(line: Line, dump: Path) -> Case:
    """The same, of a shop with a bench that is away."""
    return Case(ShopServer(line.server_url), dump, "", line.home)


def test_what_a_bench_kept_while_it_was_away_comes_back_whole(line: Line) -> None:
    """Also what it had given on before, and a visit that is in the dump no more; all of it said."""
    a = line.bench()
    old, scribe = begun(a)
    case = case_of(line, dumped(ShopServer(line.server_url), line.home / "b.dump"))
    stored(a, scribe.taken(), scribe.taken())
    new, other = begun(a, "A-0002")
    tokens = {row["visit_id"]: row["token"] for row in rows(line.server_url)["lease"]}
    with line.proxy.cut():
        stored(a, scribe.taken())
        stored(a, other.taken())
        whole = [a.visit(visit.id) for visit in (old, new)]
        # Its lease is in force for a minute from when it was last heard of.
        with pytest.raises(ShopFileError, match="bench A has the shop open"):
            case.restore()
        case.run_out()
        case.restore()
        assert case.numbers() == {"A-0001"}
        leases = {row["visit_id"]: row for row in rows(line.server_url)["lease"]}
        assert all(leases[v.id]["token"] > tokens[v.id] for v in (old, new))
        assert {leases[v.id]["holder"] for v in (old, new)} == {""}
    back(a)
    there = line.other()
    assert [there.visit(visit.id) for visit in (old, new)] == whole
    delivered = a.benches.delivered
    assert delivered is not None
    assert (delivered.entries, delivered.apart, delivered.renumbered) == (2, (), ())
    assert a.benches.letter_user == ""
    stored(a, scribe.taken(), other.taken())


def test_a_bench_that_was_away_is_not_taken_for_the_one_that_has_a_visit(line: Line) -> None:
    """Another took it after the restore: what the first one kept is beside it, under a new slip."""
    a = line.bench()
    old, scribe = begun(a)
    case = case_of(line, dumped(ShopServer(line.server_url), line.home / "b.dump"))
    new, other = begun(a, "A-0002")
    with line.proxy.cut():
        stored(a, scribe.taken())
        stored(a, other.taken())
        case.run_out()
        case.restore()
        b = line.other()
        assert b.benches.take_up(old.id) == Granted(stale=True)
        visit = Visit(*b.visit(old.id))
        (theirs,) = stored(b, Scribe(old, after=visit.next_seq - 1).taken())
        settled(b, b.submit_visit(header("A-0002")))
    back(a)
    delivered = a.benches.delivered
    assert delivered is not None
    ((was, apart),) = delivered.apart
    assert was == "A-0001"
    assert delivered.renumbered == (("A-0002", "A-0002-2"),)
    assert b.visit(old.id)[1][1:] == (theirs,)
    assert len(b.visit(apart)[1]) == 2
    assert len(b.visit(new.id)[1]) == 2


# --- killed ---------------------------------------------------------------------------------------


def killed_in_mid_restore(case: Case, rounds: int, seed: int) -> Counter[str]:
    """Kill a program that restores two dumps by turns; return what the shop was how often.

    It must be the one or the other, to the last row, and nobody may be locked out by what is left.
    """
    other = dumped(case.server, case.folder / "other.dump")
    whole, seen = case.rows(), Counter[str]()
    case.restore()
    old = case.rows()
    work = ("restore-dump", case.server.url, str(case.dump), str(other), str(case.folder))
    for _kill in killed(rounds, seed, LATEST_S, *work):
        here = case.rows()
        assert here in (old, whole)
        assert sound(case.server.url)
        seen["old" if here == old else "whole"] += 1
    for file in case.folder.glob("*.aside.dump"):
        assert look_into(file).contents.visits in (3, 5)
    return seen


LATEST_S = 1.5


def test_a_kill_in_mid_restore_leaves_the_one_or_the_other(case: Case) -> None:
    """Killed with -9 eight times, in the copy before it and in the restore itself."""
    assert killed_in_mid_restore(case, 8, seed=51).keys() <= {"old", "whole"}


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_three_hundred_kills_in_mid_restore(case: Case) -> None:
    """The same, three hundred times."""
    found = killed_in_mid_restore(case, 300, seed=52)
    log.info("%s", found)
    assert found.keys() == {"old", "whole"}
