"""A fault of the program itself: kept in a log, told once, and never the end of the bench."""

import sys
from pathlib import Path

import pytest

from benchassist.ui.fault import watched


def raised(error: Exception) -> None:
    """Hand an error to the hook as the event loop does."""
    try:
        raise error
    except type(error) as caught:
        sys.excepthook(type(caught), caught, caught.__traceback__)


def test_a_fault_is_written_down_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The log has the whole trace, the person one line that names it."""
    log, told = tmp_path / "home" / "faults.log", []
    with watched(log, told.append):
        raised(ZeroDivisionError("in the paint"))
    assert "ZeroDivisionError: in the paint" in log.read_text()
    assert "in the paint" in capsys.readouterr().err
    assert len(told) == 1
    assert str(log) in told[0]
    assert "\n" not in told[0]


def test_the_same_fault_at_every_tick_is_told_once(tmp_path: Path) -> None:
    """A tick that fails thirty times a second fills neither the log nor the screen."""
    told: list[str] = []
    with watched(tmp_path / "faults.log", told.append):
        for _ in range(50):
            raised(ZeroDivisionError("again"))
    assert len(told) == 1


def test_a_log_that_cannot_be_written_still_tells(tmp_path: Path) -> None:
    """Without a place for the log the line stands alone."""
    (tmp_path / "file").write_text("")
    told: list[str] = []
    with watched(tmp_path / "file" / "faults.log", told.append):
        raised(ValueError("lost"))
    assert "faults.log" not in told[0]


def test_the_hook_is_put_back(tmp_path: Path) -> None:
    """After the window has closed, faults are Python's own business again."""
    before = sys.excepthook
    with watched(tmp_path / "faults.log", print):
        assert sys.excepthook is not before
    assert sys.excepthook is before
