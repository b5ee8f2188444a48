"""A shop file seen from outside: by the `sqlite3` command-line shell, which knows nothing of us."""

import csv
import io
import json
import subprocess
from pathlib import Path

import pytest

from benchassist.core.entry import PartFitted, Taken
from benchassist.core.visit import Visit
from benchassist.storage import open_store, schema
from tests.benchmarks.shop_fill import fill_file
from tests.benchmarks.shop_plan import SMALL

SEED = 11


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a small drawn shop's file."""
    path = tmp_path_factory.mktemp("shell") / "shop.sqlite"
    fill_file(path, SMALL, SEED)
    return path


@pytest.fixture(scope="module")
def visits(drawn: Path) -> list[Visit]:
    """Return its visits as the program reads them, oldest first."""
    with open_store(drawn, read_only=True) as store:
        return [Visit(*store.visit(summary.id)) for summary in reversed(store.visits())]


def shell(path: Path, *commands: str) -> str:
    """Hand commands to the shell; what it prints."""
    done = subprocess.run(
        ["sqlite3", "-batch", "-bail", "-readonly", str(path), *commands],
        check=False,
        capture_output=True,
        encoding="utf-8",
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def rows(path: Path, question: str) -> list[dict[str, str]]:
    """The answer to a question, as the shell writes CSV with a header."""
    told = shell(path, ".headers on", ".mode csv", question)
    return list(csv.DictReader(io.StringIO(told)))


def test_it_has_the_tables_of_the_program(drawn: Path) -> None:
    """Named in plain words, each made as the schema says, and the file is whole."""
    assert set(shell(drawn, ".tables").split()) == {*schema.metadata.tables, "alembic_version"}
    made = shell(drawn, ".schema taken")
    for words in ("corrected", "expanded_uncertainty", "band_low", "verdict", "FOREIGN KEY"):
        assert words in made
    assert shell(drawn, "PRAGMA integrity_check") == "ok\n"
    assert shell(drawn, "PRAGMA foreign_key_check") == ""


def test_readings_are_asked_for_across_visits(drawn: Path, visits: list[Visit]) -> None:
    """A question of four lines gives a machine's readings of a part over the years."""
    machine = max(
        (visit.header.machine for visit in visits),
        key=lambda m: sum(visit.header.machine == m for visit in visits),
    )
    found = rows(
        drawn,
        f"""
        SELECT v.slip_number, date(v.opened_at) AS day, t.corrected, t.expanded_uncertainty AS u,
            t.verdict
        FROM taken t JOIN visit v ON v.id = t.visit_id JOIN machine m ON m.id = v.machine_id
        JOIN entry e ON e.id = t.entry_id
        WHERE m.tag = '{machine.tag}' AND t.check_key = 'coil_secondary'
            AND NOT EXISTS (SELECT 1 FROM entry l WHERE l.strikes = t.entry_id)
        ORDER BY v.opened_at, e.seq""",  # noqa: S608 - a drawn machine's tag
    )
    expected = [
        {
            "slip_number": visit.header.slip_number,
            "day": f"{visit.header.opened_at:%Y-%m-%d}",
            "corrected": taken.judgement.value,
            "u": taken.judgement.expanded_uncertainty,
            "verdict": taken.judgement.verdict.value,
        }
        for visit in visits
        if visit.header.machine == machine
        for taken in visit.taken("coil_secondary")
    ]
    assert len(expected) > 20
    told = [row | {name: float(row[name]) for name in ("corrected", "u")} for row in found]
    # The shell prints fifteen digits.
    assert told == [
        one | {name: pytest.approx(one[name], rel=1e-14) for name in ("corrected", "u")}
        for one in expected
    ]


def test_counts_are_those_of_the_program(drawn: Path, visits: list[Visit]) -> None:
    """Open visits, verdicts, parts fitted, samples of runs: all by a question each."""
    doors = "SELECT closed_at IS NOT NULL AS closed, count(*) AS n FROM visit GROUP BY 1"
    closed = rows(drawn, doors)
    assert {row["closed"]: int(row["n"]) for row in closed} == {
        "0": sum(not visit.closed for visit in visits),
        "1": sum(visit.closed for visit in visits),
    }
    verdicts = rows(drawn, "SELECT verdict, count(*) AS n FROM taken GROUP BY verdict")
    taken = [e for visit in visits for e in visit.entries if isinstance(e, Taken)]
    assert {row["verdict"]: int(row["n"]) for row in verdicts} == {
        verdict: sum(t.judgement.verdict == verdict for t in taken)
        for verdict in {t.judgement.verdict.value for t in taken}
    }
    parts = rows(
        drawn,
        "SELECT json_extract(body, '$.part') AS part, count(*) AS n FROM entry "
        "WHERE kind = 'part_fitted' GROUP BY 1",
    )
    fitted = [e.part for visit in visits for e in visit.entries if isinstance(e, PartFitted)]
    assert {row["part"]: int(row["n"]) for row in parts} == {p: fitted.count(p) for p in fitted}
    runs = rows(
        drawn,
        "SELECT run.kind, sum(run_chunk.count) AS samples FROM run "
        "JOIN run_chunk ON run_chunk.run_id = run.id GROUP BY 1 ORDER BY 1",
    )
    assert [row["kind"] for row in runs] == ["engine", "heat"]
    assert all(int(row["samples"]) > 500 for row in runs)


def test_a_body_is_json_that_the_columns_repeat(drawn: Path) -> None:
    """The shell's own JSON finds in an entry what stands beside it, for every reading."""
    told = shell(
        drawn,
        """
        SELECT count(*), sum(json_valid(e.body)),
            sum(json_extract(e.body, '$.stamp.id') = t.entry_id
                AND json_extract(e.body, '$.stamp.seq') = e.seq
                AND json_extract(e.body, '$.reading.value') IS t.reading_value
                AND json_extract(e.body, '$.judgement.value') IS t.corrected
                AND json_extract(e.body, '$.judgement.verdict') = t.verdict)
        FROM entry e JOIN taken t ON t.entry_id = e.id""",
    )
    assert told.strip().split("|") == [str(SMALL.readings)] * 3


def test_a_dump_makes_the_same_shop_again(drawn: Path, tmp_path: Path, visits: list[Visit]) -> None:
    """What the shell writes as SQL is read by it into another file, and that by the program."""
    again = tmp_path / "again.sqlite"
    subprocess.run(
        ["sqlite3", "-batch", "-bail", str(again)],
        input=f"{shell(drawn, '.dump')}PRAGMA application_id = {application_id(drawn)};",
        check=True,
        encoding="utf-8",
    )
    with open_store(again, read_only=True) as store:
        for visit in visits:
            header, entries = store.visit(visit.header.id)
            assert (header, entries) == (visit.header, visit.entries)


def application_id(path: Path) -> int:
    """The mark of a shop's file."""
    (found,) = json.loads(shell(path, ".mode json", "PRAGMA application_id"))
    return int(found["application_id"])
