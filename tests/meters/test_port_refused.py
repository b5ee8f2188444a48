"""Ports that do not open: each reason in one line with its way out, and who has to act."""

import errno
import fcntl
import grp
import os
import pty
import stat
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
import serial

from benchassist.core.reading import LinkState
from benchassist.errors import PortError, PortRefusedError
from benchassist.meters.port import LineSetting, open_port
from benchassist.meters.port_refused import group_of
from tests.meters.stage import ScriptedPort, Stage, StageTime, changes, played

SETTING = LineSetting.read("2400-7O1")


def refusing(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    """Let every opening fail with this."""

    def refuse(*_arguments: object, **_named: object) -> None:
        raise error

    monkeypatch.setattr(serial, "serial_for_url", refuse)


@pytest.mark.parametrize(
    ("number", "said", "needs_someone"),
    [
        (errno.ENOENT, "is not there: plug", False),
        (errno.ENODEV, "is not there: plug", False),
        (errno.ENXIO, "is not there: plug", False),
        (errno.EACCES, "is forbidden: add your user to the .+ group, log in anew", True),
        (errno.EPERM, "is forbidden: add your user to the .+ group, log in anew", True),
        (errno.EBUSY, "is in use: close the other program", True),
        (errno.EAGAIN, "is in use: close the other program", True),
        (errno.EWOULDBLOCK, "is in use: close the other program", True),
        (errno.ENOTTY, "is not a serial port: choose one that takes 2400-7O1", True),
        (errno.EISDIR, "is not a serial port: choose one that takes 2400-7O1", True),
        (errno.ENOTDIR, "is not a serial port: choose one that takes 2400-7O1", True),
        (errno.EIO, "does not open: ", False),
    ],
)
def test_every_errno_has_its_line(
    monkeypatch: pytest.MonkeyPatch, number: int, said: str, *, needs_someone: bool
) -> None:
    """Absent is waited for; forbidden, busy and no serial port want a person."""
    refusing(monkeypatch, serial.SerialException(number, os.strerror(number)))
    with pytest.raises(PortError, match=said) as caught:
        open_port("/dev/ttyX", SETTING)
    assert isinstance(caught.value, PortRefusedError) is needs_someone
    assert "\n" not in str(caught.value)
    assert "/dev/ttyX" in str(caught.value)


def owned(mode: int, gid: int) -> Callable[..., SimpleNamespace]:
    """What a device file says of itself."""
    return lambda *_args, **_named: SimpleNamespace(st_mode=stat.S_IFCHR | mode, st_gid=gid)


def test_the_group_named_is_the_one_that_owns_the_port(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever this system calls it."""
    theirs = next(entry for entry in grp.getgrall() if entry.gr_gid != 0)
    monkeypatch.setattr(Path, "stat", owned(0o660, theirs.gr_gid))
    assert group_of("/dev/ttyX") == theirs.gr_name
    refusing(monkeypatch, PermissionError(errno.EACCES, "could not open port"))
    with pytest.raises(PortRefusedError, match=f"add your user to the {theirs.gr_name} group"):
        open_port("/dev/ttyX", SETTING)


@pytest.mark.parametrize(("mode", "gid"), [(0o600, 4242), (0o660, 0), (0o640, 4242)])
def test_where_no_group_would_help_the_rule_is_named(
    monkeypatch: pytest.MonkeyPatch, mode: int, gid: int
) -> None:
    """The administrator's alone, or not for its group to write."""
    monkeypatch.setattr(Path, "stat", owned(mode, gid))
    refusing(monkeypatch, PermissionError(errno.EACCES, "could not open port"))
    with pytest.raises(PortRefusedError, match="install the program's udev rule, then plug it in"):
        open_port("/dev/ttyX", SETTING)


def test_a_number_without_a_name_is_no_group_to_join(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor is the group of a file that is not there."""
    gone = max(entry.gr_gid for entry in grp.getgrall()) + 12_345
    monkeypatch.setattr(Path, "stat", owned(0o660, gone))
    assert group_of("/dev/ttyX") is None
    monkeypatch.undo()
    assert group_of("/dev/no-such-port") is None


def test_the_rule_that_is_named_is_shipped() -> None:
    """For serial leads and for instruments on USB, sorted before the seat's access is given."""
    (rule,) = (Path(__file__).parents[2] / "packaging").glob("*.rules")
    assert rule.name < "73"
    text = rule.read_text("utf-8")
    assert 'SUBSYSTEM=="tty"' in text
    assert 'KERNEL=="usbtmc*"' in text
    assert text.count('TAG+="uaccess"') == 3


def test_a_pty_that_another_program_holds_is_busy() -> None:
    """A lock of somebody else's, not of ours."""
    master, meter_side = pty.openpty()
    path = os.ttyname(meter_side)
    theirs = os.open(path, os.O_RDWR | os.O_NOCTTY)
    fcntl.flock(theirs, fcntl.LOCK_EX | fcntl.LOCK_NB)
    try:
        with pytest.raises(PortRefusedError, match=f"{path} is in use: close the other program"):
            open_port(path, SETTING)
        fcntl.flock(theirs, fcntl.LOCK_UN)
        open_port(path, SETTING).close()
    finally:
        for end in (theirs, meter_side, master):
            os.close(end)


def test_a_folder_is_no_port(tmp_path: Path) -> None:
    """Something that is there and opens for nobody."""
    with pytest.raises(PortRefusedError, match="is not a serial port"):
        open_port(str(tmp_path), SETTING)


def test_a_link_says_that_someone_is_needed() -> None:
    """Beside its state; an absent port and one that went away do without."""
    time = StageTime()
    frames = ScriptedPort(time, [0.2, PortError("went away")])
    last = ScriptedPort(time, [0.2])
    stage = Stage(PortRefusedError("in use"), PortError("absent"), frames, last, time=time)
    items = played(stage.link(), last.played)
    lost = {c.detail: c.refused for c in changes(items) if c.state is LinkState.LOST}
    assert lost == {"in use": True, "absent": False, "went away": False}
