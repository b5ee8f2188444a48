"""However long the text that is refused, the line that quotes it ends with what would be right."""

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchassist.cli import main
from benchassist.core.plain_text import MOST_QUOTED, brief
from benchassist.core.quantity import Quantity
from benchassist.errors import BenchError
from benchassist.meters.port import LineSetting
from benchassist.services.findings.fluid import read_fluid, read_grade
from benchassist.services.findings.money import read_amount
from benchassist.services.findings.repair_form import read_prove
from benchassist.services.findings.stake_form import read_stake
from benchassist.services.front.interview import interview_of
from benchassist.services.logs.page import LogPage
from benchassist.services.runs.asking import read_gauge
from benchassist.services.runs.engine_asking import read_pulses
from benchassist.services.runs.file import read_run_file
from benchassist.services.runs.tank_asking import read_air, read_altitude, read_volume
from benchassist.services.settings import Settings, SettingsFile
from benchassist.services.settings_page import SettingsPage
from benchassist.specbook.book import Book
from benchassist.specbook.check import check
from benchassist.units import (
    UnitChoice,
    read_accuracies,
    read_band,
    read_part_temperature,
    read_quantity,
    read_typed,
)
from tests.specbook.sample import PROCEDURE

Reader = Callable[[str], object]

SHOP, UNITS = Settings(currency="EUR"), UnitChoice()
TIMES, LONGEST_LINE = 5000, 300
WORDS = st.text("jqwxyzJQWXYZÄé’ ", min_size=1, max_size=20).filter(str.strip)
"""No number, no unit, no currency, however often they stand there."""


def refusal(read: Reader, text: str) -> str:
    """The line that a reader answers with."""
    with pytest.raises(BenchError) as error:
        read(text)
    return str(error.value)


def advice(line: str) -> str:
    """What a line says after what it quotes."""
    return line.rpartition("'")[2]


def assert_advised(read: Reader, text: str) -> None:
    """The line about a long text ends as that about the short one."""
    short, long = refusal(read, text), refusal(read, text * TIMES)
    assert len(advice(short)) > len(" is none")
    assert advice(long) == advice(short)
    assert len(long) <= LONGEST_LINE


@pytest.mark.parametrize("quantity", Quantity)
@settings(max_examples=20)
@given(text=WORDS)
def test_a_long_reading_says_how_to_type_it(quantity: Quantity, text: str) -> None:
    """It is not read at all: the line quotes its beginning, and the advice is whole."""
    readers: tuple[Reader, ...] = (
        partial(read_typed, quantity=quantity),
        partial(read_quantity, quantity=quantity),
        partial(read_band, quantity=quantity),
        partial(read_accuracies, bare=quantity),
        read_part_temperature,
        partial(read_gauge, units=UNITS),
        partial(read_volume, units=UNITS),
        partial(read_altitude, units=UNITS),
        partial(read_air, units=UNITS),
    )
    for read in readers:
        line = refusal(read, text * TIMES)
        assert advice(line) == " is too long: type the digits and unit as shown"
        assert len(line) <= LONGEST_LINE
        assert len(refusal(read, text)) <= LONGEST_LINE


@pytest.mark.parametrize(
    "read",
    [
        lambda text: read_amount(text, "Cost", SHOP),
        lambda text: read_grade(text, "Oil"),
        lambda text: read_fluid(text, "Oil added", UNITS),
        lambda text: read_prove({"minutes": text, "fault": "no", "soak": "no"}),
        lambda text: read_prove({"minutes": "9", "fault": text, "soak": "no"}),
        lambda text: read_stake({"part": "1", "chance": text}, SHOP),
        read_pulses,
        LineSetting.read,
    ],
)
@given(text=WORDS)
def test_a_form_says_the_same_of_a_long_word(read: Reader, text: str) -> None:
    """Findings, repair, runs, a port's line."""
    assert_advised(read, text)


def test_a_long_currency_is_still_said_to_be_one_too_many() -> None:
    """It is named twice, short both times."""
    line = refusal(lambda text: read_amount(f"12 {text}", "Cost", SHOP), "$" * TIMES)
    assert line.endswith(", the shop works in EUR: one currency only")
    assert len(line) <= LONGEST_LINE


@pytest.mark.parametrize("key", ["currency", "bench_letter", "labour_rate", "k", "length_unit"])
def test_the_settings_say_the_same_of_a_long_word(tmp_path: Path, key: str) -> None:
    """In whatever field it stands."""
    page = SettingsPage(SettingsFile(tmp_path / "settings.json"), lambda _settings: None)
    stands = {field.key: field.value for field in page.form()}
    assert_advised(lambda text: page.keep(stands | {key: text}), "wxyzj ")


def test_the_interview_says_the_same_of_a_long_word() -> None:
    """Questions with answers and questions for minutes."""
    complaints = Book().complaints()
    asked = [
        {"complaint": complaint.key, question.key: ""}
        for complaint in complaints
        for question in complaint.questions
        if question.answers or question.quantity is Quantity.DURATION
    ]
    assert len(asked) > 5
    for answers in asked:

        def read(text: str, answers: dict[str, str] = answers) -> object:
            return interview_of(complaints, {key: v or text for key, v in answers.items()})

        assert_advised(read, "wxyz ")


def test_a_log_page_says_the_same_of_long_pulses() -> None:
    """The path is right."""
    page = LogPage(UNITS)
    assert_advised(lambda text: page.open({"path": "a.csv", "kind": "speed", "pulses": text}), "x ")


@pytest.mark.parametrize(
    "row",
    [
        "1.0,{word},ohm",
        "{word},5.0,ohm",
        "1.0,5.0,{word}",
        '{{"t_s": 1.0, "value": "{word}", "unit": "ohm"}}',
        '{{"t_s": 1.0, "value": 5.0, "unit": "{word}"}}',
        "{{{word}",
    ],
)
def test_a_log_says_the_same_of_a_long_cell(tmp_path: Path, row: str) -> None:
    """Of CSV and of JSON lines, in whatever column."""
    header = "" if row.startswith("{") else "t_s,value,unit\n"
    whole = '{"t_s": 0.0, "value": 5.0, "unit": "ohm"}' if not header else "0.0,5.0,ohm"

    def fault(text: str) -> str:
        path = tmp_path / "log.csv"
        path.write_text(f"{header}{whole}\n{row.format(word=text)}\n")
        (said,) = read_run_file(path, {Quantity.RESISTANCE}).faults
        return said

    assert fault("wxyz" * TIMES).endswith(advice(fault("wxyz"))[-15:])
    assert len(fault("wxyz" * TIMES)) <= LONGEST_LINE


@pytest.mark.parametrize(
    "old",
    [
        'key = "yes"|key = "no"',
        'kind = "measure"',
        'quantity = "resistance"',
        '"3 kohm[.]{2}7 kohm"',
        '"marking"',
        'typical = "20 kohm"',
        'obliges = "back"',
        'sketch = "look"',
        "touch = ",
    ],
)
def test_the_spec_book_says_the_same_of_a_long_word(tmp_path: Path, old: str) -> None:
    """As a key, as a word of few, as a quantity: the way to the line and the message are short."""
    lines = []
    for times in (1, TIMES):
        name, equals, _value = old.rpartition("= ")
        word = "wxyz" * times
        new = f"{word} = " if old.endswith("= ") else f'{name}{equals}"{word}"'
        file = tmp_path / "procedures" / "mine.toml"
        file.parent.mkdir(exist_ok=True)
        file.write_text(re.sub(old, new, PROCEDURE))
        lines.append([one.partition("mine.toml:")[2] for one in check(tmp_path)])
    short, long = lines
    assert len(short) == len(long) > 0
    for one, other in zip(short, long, strict=True):
        assert len(other) <= LONGEST_LINE
        assert other.count("wxyz") >= one.count("wxyz")


@pytest.mark.parametrize(
    "given_words",
    [
        ("analyse", "heat", "{log}", "--part", "{word}"),
        ("analyse", "heat", "{log}", "--part={word}"),
        ("analyse", "speed", "{log}", "--pulses-per-rev", "{word}"),
        ("log", "--port", "x", "--protocol", "scpi", "--function", "{word}"),
        ("judge", "--band", "{word}", "5 ohm"),
        ("judge", "--band", "1 ohm..9 ohm", "{word}"),
        ("{word}",),
        ("visits", "show", "{word}"),
    ],
)
def test_a_command_says_the_same_of_a_long_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], given_words: tuple[str, ...]
) -> None:
    """Whoever refuses it: the command, its options, the shop."""
    lines = []
    for word in ("wxyz", "wxyz" * TIMES):
        arguments = [text.format(log=tmp_path / "log.csv", word=word) for text in given_words]
        assert main(["--home", str(tmp_path), *arguments]) == 2
        lines.append(capsys.readouterr().err.rstrip("\n"))
    short, long = lines
    assert len(long) <= LONGEST_LINE
    assert long.count("\n") == short.count("\n") == 0
    assert long[-12:] == short[-12:] or long.endswith("type the digits and unit as shown")


@given(st.text(max_size=200))
def test_a_quotation_is_short_and_on_one_line(text: str) -> None:
    """Printable, with an ellipsis where it is not whole; honest short words stay."""
    shown = brief(text)
    assert shown.isprintable()
    assert len(shown) <= MOST_QUOTED + 1
    if text.isprintable() and len(text) <= MOST_QUOTED:
        assert shown == " ".join(text.split())
