"""Logs from elsewhere: what is read, what is told, what is kept."""

import json
import math
from pathlib import Path

import pytest

from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.services.runs.file import RunFile, read_run_file

OHMS = (Quantity.RESISTANCE,)
SPEEDS = (Quantity.FREQUENCY, Quantity.SPEED)


def read(folder: Path, text: str, wanted: tuple[Quantity, ...] = OHMS) -> RunFile:
    """A log with this text."""
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8")
    return read_run_file(path, wanted)


def test_values_come_in_base_units_with_one_count_of_the_last_printed_decimal(
    tmp_path: Path,
) -> None:
    """8.610 kohm has a count of 1 ohm, 8.61e3 ohm one of 10, a stated resolution goes before."""
    rows = "0,8.610,kohm,\n1,8.61e3,ohm,\n2,8.61,kohm,0.02\n3,8610,ohm,\n"
    log = read(tmp_path, f"t_s,value,unit,resolution\n{rows}")
    assert list(log.samples.t_s) == [0.0, 1.0, 2.0, 3.0]
    assert list(log.samples.value) == pytest.approx([8610.0] * 4)
    assert list(log.samples.resolution) == pytest.approx([1.0, 10.0, 20.0, 1.0])
    assert (log.celsius, log.faults, log.rejected) == (None, (), 0)


def test_an_overload_is_a_sample_without_a_number(tmp_path: Path) -> None:
    """OL as meters write it is kept as an overload, with the temperature beside it."""
    log = read(tmp_path, "t_s,value,unit,temperature_c\n0,OL,kohm,76.5\n1,o.l,ohm,\n")
    assert list(log.samples.value) == [math.inf, math.inf]
    assert log.celsius is not None
    assert log.celsius[0] == 76.5
    assert math.isnan(log.celsius[1])


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("1,abc,ohm", "value 'abc' cannot be read: a number or OL would be right"),
        ("1,,ohm", "value is missing"),
        ("1", "the row ends early"),
        (",5,ohm", "t_s is missing"),
        ("nan,5,ohm", "t_s 'nan' cannot be read: seconds would be right"),
        ("1,inf,ohm", "value 'inf' cannot be read"),
        ("1,-5,ohm", "value '-5' is below zero"),
        ("1,5,Hz", "this is frequency, and resistance would be right"),
        ("1,5,florin", "unit: "),
        ("-1,5,ohm", "time goes back from 0 s to -1 s"),
    ],
)
def test_a_bad_row_is_told_with_its_line_and_the_others_are_used(
    tmp_path: Path, row: str, told: str
) -> None:
    """The fault names file, line and what would be right; the rows around it stay."""
    log = read(tmp_path, f"t_s,value,unit\n0,100,ohm\n{row}\n2,101,ohm\n")
    assert list(log.samples.value) == [100.0, 101.0]
    assert log.rejected == 1
    (fault,) = log.faults
    assert fault.startswith(f"log.csv:3: {told}")


@pytest.mark.parametrize(
    ("cells", "told"),
    [("warm,1", "temperature_c 'warm' is left out"), ("20,none", "resolution 'none' is left out")],
)
def test_a_bad_cell_beside_a_sound_value_is_left_out_and_told(
    tmp_path: Path, cells: str, told: str
) -> None:
    """The row counts as used; what could not be read is not known."""
    log = read(tmp_path, f"t_s,value,unit,temperature_c,resolution\n0,100,ohm,{cells}\n")
    assert (len(log.samples), log.rejected) == (1, 0)
    assert log.faults[0].startswith(f"log.csv:2: {told}")


def test_hertz_among_rpm_is_mixed_units(tmp_path: Path) -> None:
    """Both are speeds, but one log holds one of them: the first wins."""
    log = read(tmp_path, "t_s,value,unit\n0,60.0,Hz\n1,3600,rpm\n2,60.1,Hz\n", SPEEDS)
    assert log.quantity is Quantity.FREQUENCY
    assert list(log.samples.value) == pytest.approx([60.0, 60.1])
    assert "speed among frequency" in log.faults[0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the file holds no rows"),
        ("t_s,value,unit\n", "the file holds no rows"),
        ("time,ohms\n0,1\n", "log.csv:1: no column t_s, value, unit: the header must be"),
        ("t_s,value,unit\n0,x,ohm\n1,x,ohm\n", "log.csv:2-3: value 'x' cannot be read"),
    ],
)
def test_a_file_without_a_usable_row_is_refused_in_one_line(
    tmp_path: Path, text: str, told: str
) -> None:
    """One line that names the file, the line and what would be right."""
    with pytest.raises(InputError, match=r"log\.csv") as caught:
        read(tmp_path, text)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_million_bad_rows_are_one_stretch(tmp_path: Path) -> None:
    """Rows of one fault in a row are told as one line; a hundred thousand stand for a million."""
    log = read(tmp_path, "t_s,value,unit\n0,1,ohm\n" + "1,x,ohm\n" * 100_000)
    assert log.rejected == 100_000
    assert log.faults == (
        "log.csv:3-100002: value 'x' cannot be read: a number or OL would be right, and so on",
    )


def test_faults_that_alternate_are_told_up_to_a_number_and_counted(tmp_path: Path) -> None:
    """Nothing is silent: what is not listed is counted."""
    log = read(tmp_path, "t_s,value,unit\n0,1,ohm\n" + "1,x,ohm\n1,,ohm\n" * 2_000)
    assert len(log.faults) == 1001
    assert log.faults[-1] == "log.csv: 3000 more"


def reading(t_s: float, value: float | None, **other: object) -> str:
    """A line of `log`."""
    given = {
        "t_s": t_s,
        "channel": "A",
        "function": "resistance",
        "value": value,
        "unit": "ohm",
        "resolution": 10.0,
        "range": 20_000.0,
        "overload": value is None,
        "flags": ["auto"],
    }
    return json.dumps(given | other)


def test_the_lines_of_log_are_read_with_the_thermometer_beside_them(tmp_path: Path) -> None:
    """A second channel in celsius goes beside what follows it within five seconds."""
    warm = {"channel": "B", "function": "temperature", "unit": "celsius"}
    lines = [
        reading(0.0, 8610.0),
        reading(0.5, 43.0, **warm),
        reading(1.0, 8620.0),
        reading(2.0, None),
        reading(9.0, 8630.0),
    ]
    log = read(tmp_path, "\n".join(lines))
    assert list(log.samples.value) == [8610.0, 8620.0, math.inf, 8630.0]
    assert log.celsius is not None
    assert [math.isnan(c) for c in log.celsius] == [True, False, False, True]
    assert list(log.celsius[1:3]) == [43.0, 43.0]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{broken", "no JSON object"),
        ("[1]", "no JSON object"),
        (reading(1.0, 5.0, flags=["hold"]), "the meter showed HOLD"),
        (reading(1.0, 5.0, function=None), "diode or continuity"),
        (reading(1.0, 5.0).replace('"value": 5.0', '"value": "x"'), 'value "x" cannot be read'),
        (reading(1.0, 5.0, channel="C"), "channel 'C' is another one"),
        (reading(1.0, 5.0, unit="cubit"), "unit: "),
    ],
)
def test_a_bad_line_of_json_is_told_and_the_others_are_used(
    tmp_path: Path, line: str, told: str
) -> None:
    """The same as for a table."""
    log = read(tmp_path, "\n".join([reading(0.0, 1.0), line, reading(2.0, 2.0)]))
    assert list(log.samples.value) == [1.0, 2.0]
    assert told in log.faults[0]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """One line, and what would be right."""
    with pytest.raises(InputError, match=r"gone\.csv: No such file or directory; name a log file"):
        read_run_file(tmp_path / "gone.csv", OHMS)


def test_bytes_that_are_no_text_are_told_as_rows(tmp_path: Path) -> None:
    """A picture named .csv is refused in one line, not in a traceback."""
    path = tmp_path / "log.csv"
    path.write_bytes(bytes(range(256)) * 50)
    with pytest.raises(InputError, match=r"log\.csv:1: no column"):
        read_run_file(path, OHMS)
