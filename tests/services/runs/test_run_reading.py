"""Reading many rows at once gives what reading them one by one gives, to the last bit."""

import csv
import json
import random
import tempfile
from collections.abc import Sequence
from math import inf
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.services.logs.row_fault import RowFaults
from benchassist.services.runs import file as run_file
from benchassist.services.runs.file import RunFile, RunReading, read_run_file
from benchassist.services.runs.row import Row, RowError, TableRows
from benchassist.services.runs.run_json import LineRows
from benchassist.units import find_unit

OHMS = (Quantity.RESISTANCE,)
SPEEDS = (Quantity.FREQUENCY, Quantity.SPEED)


class Reference:
    """One row after the other, by nothing but the readers of a single row."""

    def __init__(self, wanted: Sequence[Quantity], text: str) -> None:
        self._wanted = wanted
        self._faults = RowFaults("log.csv")
        self.kept: list[Row] = []
        self.rejected = 0
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        if lines[0].lstrip().startswith("{"):
            lines_of_log = LineRows(frozenset(wanted))
            for number, line in enumerate(lines, start=1):
                if line.strip():
                    # The reader that knows no layouts: every line as JSON.
                    self._take(number, lambda line=line: lines_of_log._read(line))
        elif lines[0].strip():
            try:
                table = TableRows(next(csv.reader([lines[0]])))
            except RowError as error:
                self._reject(1, error)
                return
            for number, line in enumerate(lines[1:], start=2):
                if line.strip():
                    self._take(number, lambda line=line: self._cells(table, line))

    @staticmethod
    def _cells(table: TableRows, line: str) -> Row:
        try:
            cells = next(csv.reader([line])) if '"' in line else line.split(",")
        except csv.Error as error:
            raise RowError("csv", f"the row cannot be read: {error}") from None
        return table.read(cells)

    def _take(self, number: int, read: object) -> None:
        try:
            row = read()  # type: ignore[operator]
            if row is not None:
                self._keep(row)
                if row.note:
                    self._faults.add(number, row.note.split("'", 1)[0], row.note)
        except RowError as error:
            self._reject(number, error)

    def _keep(self, row: Row) -> None:
        if row.quantity not in self._wanted:
            names = " or ".join(sorted(self._wanted))
            raise RowError("quantity", f"this is {row.quantity}, and {names} would be right")
        if row.quantity in SPEEDS and row.value == inf:
            raise RowError("over", f"OL is no {row.quantity}: a number would be right")
        if self.kept and row.quantity is not self.kept[0].quantity:
            text = f"{row.quantity} among {self.kept[0].quantity}: one log holds one of them"
            raise RowError("mixed", text)
        if self.kept and row.t_s < self.kept[-1].t_s:
            before = self.kept[-1].t_s
            raise RowError("time", f"time goes back from {before:g} s to {row.t_s:g} s")
        self.kept.append(row)

    def _reject(self, number: int, error: RowError) -> None:
        self.rejected += 1
        self._faults.add(number, error.kind, str(error))

    @property
    def faults(self) -> tuple[str, ...]:
        """What is told."""
        return tuple(self._faults.lines())


def same(log: RunFile, wanted: Reference) -> None:
    """Columns equal to the bit, the same words told."""
    for name, column in (
        ("t_s", log.samples.t_s),
        ("value", log.samples.value),
        ("resolution", log.samples.resolution),
    ):
        expected = np.array([getattr(row, name) for row in wanted.kept])
        assert column.tobytes() == expected.tobytes(), name
    warm = np.array([row.celsius for row in wanted.kept])
    assert (log.celsius is None) == bool(np.isnan(warm).all())
    if log.celsius is not None:
        assert log.celsius.tobytes() == warm.tobytes()
    assert log.quantity is wanted.kept[0].quantity
    assert log.rejected == wanted.rejected
    assert log.faults == wanted.faults


def compare(text: str, wanted: Sequence[Quantity], block: int) -> None:
    """Read a file of this text in blocks of that size, and row by row."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        patch.setattr(run_file, "BLOCK", block)
        path = Path(folder) / "log.csv"
        path.write_bytes(text.encode("utf-8"))
        reference = Reference(wanted, text)
        if reference.kept:
            same(read_run_file(path, wanted), reference)
            return
        with pytest.raises(InputError) as caught:
            read_run_file(path, wanted)
        if reference.faults:
            assert str(caught.value).startswith(reference.faults[0])


NUMBER = st.one_of(
    st.integers(-20, 2000).map(str),
    st.decimals(-5, 10_000, places=3, allow_nan=False).map(str),
    st.from_regex(r"[-+]?[0-9]{1,17}\.?[0-9]{0,4}", fullmatch=True),
    st.sampled_from(["OL", "ol", "0.L", "", "-", ".", "1.2.3", "-0", "+4.5", ".5", "7.", "1e3"]),
    st.sampled_from(["nan", "inf", "1_0", "--1", "\u0661\u0662", " 3.2", "4.1 ", "  5", "0x1f"]),
)
UNIT = st.sampled_from(
    ["ohm", "kohm", "kohm", "kohm", "k\u03a9", "Hz", "rpm", "florin", " ohm", ""]
)
CELL = st.one_of(NUMBER, UNIT, st.sampled_from(['"', '"4.5"', '"a,b"', "\x00", "\ufeff", "\ufffd"]))


@st.composite
def tables(draw: st.DrawFn) -> str:
    """A table with its columns in any order, most of its rows sound."""
    header = draw(
        st.sampled_from(
            [
                "t_s,value,unit",
                "t_s,value,unit,temperature_c,resolution",
                "unit,resolution,note,value,t_s",
                "T_S, Value ,unit,temperature_c",
                "t_s,value,unit,unit,value",
            ]
        )
    )
    names = [name.strip().lower() for name in header.split(",")]
    rows, t_s = [header], 0.0
    for _ in range(draw(st.integers(0, 25))):
        t_s += draw(st.sampled_from([0.0, 0.25, 0.1, 1.0]))
        sound = {
            "t_s": f"{t_s:.2f}",
            "value": draw(st.sampled_from(["4.38", "4.39", "OL", "0.00", "12"])),
            "unit": "kohm",
            "temperature_c": draw(st.sampled_from(["21.5", "", "80"])),
            "resolution": draw(st.sampled_from(["0.01", "", "10"])),
        }
        cells = [sound.get(name, "x") for name in names]
        if draw(st.integers(0, 3)) == 0:
            place = draw(st.integers(0, len(cells) - 1))
            odd = {"unit": UNIT}.get(names[place], NUMBER)
            cells[place] = draw(st.one_of(odd, CELL))
        if draw(st.integers(0, 9)) == 0:
            cells = cells[: draw(st.integers(0, len(cells)))] + draw(st.lists(CELL, max_size=2))
        rows.append(",".join(cells))
    ending = draw(st.sampled_from(["\n", "\n", "\r\n", "\r"]))
    return ending.join(rows) + draw(st.sampled_from(["", ending]))


@settings(max_examples=150, deadline=None)
@given(tables(), st.sampled_from([OHMS, SPEEDS]), st.sampled_from([1, 17, 64, 1 << 20]))
@example("t_s,value,unit\n0,5,ohm\n1,6,Hz\n0.5,7,ohm\n2,8,ohm", OHMS, 1)
def test_a_table_is_read_the_same_at_once_and_row_by_row(
    text: str, wanted: Sequence[Quantity], block: int
) -> None:
    """Whatever stands in it, however it is cut into blocks: the same columns, the same faults."""
    compare(text, wanted, block)


FLAGS: st.SearchStrategy[object] = st.sampled_from(
    [["auto"], [], ["hold"], ["auto", "rel"], [{}], "auto", None]
)


@st.composite
def logs(draw: st.DrawFn) -> str:
    """Lines of `log`, some of them otherwise."""
    lines, t_s = [], 0.0
    for _ in range(draw(st.integers(1, 25))):
        t_s += draw(st.sampled_from([0.0, 0.25, 2.0]))
        warm = draw(st.integers(0, 3)) == 0
        over = draw(st.integers(0, 5)) == 0
        given: dict[str, object] = {
            "t_s": t_s,
            "channel": "B" if warm else "A",
            "function": "temperature" if warm else "resistance",
            "value": None if over else draw(st.sampled_from([8610.0, 21, 0.5, -3.0, 1e22])),
            "unit": draw(st.sampled_from(["celsius", "kelvin"])) if warm else "ohm",
            "resolution": draw(st.sampled_from([10.0, 0.1, None, 0, True])),
            "range": draw(st.sampled_from([None, 20000.0])),
            "overload": over,
            "flags": ["auto"],
        }
        if draw(st.integers(0, 4)) == 0:
            key = draw(st.sampled_from([*given, "more"]))
            odd: object = draw(
                st.sampled_from([None, True, "x", 10**400, [], {"a": 1}, "C", "volt", 3])
            )
            given[key] = draw(FLAGS) if key == "flags" else odd
        line = json.dumps(given)
        cut = draw(st.integers(0, 40))
        lines.append(line[: len(line) // 2] if cut == 0 else f" {line}" if cut == 1 else line)
    return "\n".join(lines)


@settings(max_examples=150, deadline=None)
@given(logs(), st.sampled_from([64, 1 << 20]))
def test_lines_of_log_are_read_the_same_by_layout_and_as_json(text: str, block: int) -> None:
    """A layout that is known gives what reading the line as JSON gives."""
    compare(text, OHMS, block)


def test_numbers_of_meters_are_the_same_to_the_last_bit(tmp_path: Path) -> None:
    """Two hundred thousand printed numbers of every length are what float() says of them."""
    chance = random.Random(7)
    texts = []
    for _ in range(200_000):
        figures = str(chance.randrange(10 ** chance.randint(1, 15)))
        place = chance.randint(0, len(figures))
        texts.append(f"{figures[:place]}.{figures[place:]}" if chance.random() < 0.8 else figures)
    path = tmp_path / "log.csv"
    rows = "\n".join(f"{i},{text},ohm" for i, text in enumerate(texts))
    path.write_text(f"t_s,value,unit\n{rows}\n", encoding="utf-8")
    log = read_run_file(path, OHMS)
    assert log.samples.value.tolist() == [float(text) for text in texts]


def test_a_million_unknown_units_are_asked_for_a_hundred_times(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asking for a unit costs a millisecond: the rest of them are told without it."""
    asked: list[str] = []

    def counted(text: str, **more: object) -> object:
        asked.append(text)
        return find_unit(text, **more)  # type: ignore[arg-type]

    monkeypatch.setattr("benchassist.services.runs.row.find_unit", counted)
    path = tmp_path / "log.csv"
    rows = "\n".join(f"{i},5,florin{i % 1000}" for i in range(5000))
    path.write_text(f"t_s,value,unit\n0,5,ohm\n{rows}\n5001,6,ohm\n", encoding="utf-8")
    log = read_run_file(path, OHMS)
    assert (len(log.samples), log.rejected) == (2, 5000)
    assert len(asked) <= 110


def test_a_file_without_a_line_end_is_no_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not read into memory to its end."""
    monkeypatch.setattr(run_file, "LONGEST", 1000)
    monkeypatch.setattr(run_file, "BLOCK", 100)
    path = tmp_path / "log.csv"
    path.write_text("t_s,value,unit\n0,1,ohm\n" + "1" * 3000, encoding="utf-8")
    with pytest.raises(InputError, match=r"log\.csv: a line without end"):
        read_run_file(path, OHMS)


def test_a_header_that_is_too_long_for_a_cell_is_told(tmp_path: Path) -> None:
    """In one line."""
    path = tmp_path / "log.csv"
    path.write_bytes(b"x" * 200_000)
    with pytest.raises(InputError, match=r"log\.csv:1: the row cannot be read"):
        read_run_file(path, OHMS)


def test_a_reading_can_be_watched_and_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The share that was read grows to 1; rows used so far are counted on the way."""
    monkeypatch.setattr(run_file, "BLOCK", 1000)
    path = tmp_path / "log.csv"
    rows = "\n".join(f"{i},{5 + i % 3},ohm" for i in range(1000))
    path.write_text(f"t_s,value,unit\n{rows}\n", encoding="utf-8")
    reading = RunReading(path, OHMS)
    shares, counts = [], []
    for share in reading.parts():
        shares.append(share)
        counts.append(reading.rows)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) > 5
    assert counts == sorted(counts)
    assert counts[-1] == len(reading.result().samples) == 1000
