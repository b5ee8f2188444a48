"""`log`: its refusals, and the port it ends without; readings are in tests/end_to_end."""

import fcntl
import os
import socket
import termios
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchassist.cli import main
from tests.cli.program import CONNECTED, Program

NOWHERE = ("--port", "/dev/no-such-port", "--protocol", "text-line")


@pytest.fixture
def pty() -> Iterator[tuple[int, str]]:
    """A pseudo-terminal: the meter's end, and the path of the other."""
    meter, port = os.openpty()
    tty.setraw(port)
    yield meter, os.ttyname(port)
    os.close(meter)
    os.close(port)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ((), ("--port",)),
        (("--port", "/dev/no-such-port"), ("--protocol",)),
        (("--port", "", "--protocol", "scpi"), ("port",)),
        (("--port", "/dev/no-such-port", "--protocol", "morse"), ("morse", "scpi", "nibble-14")),
        (("--port", "ftp://192.0.2.7", "--protocol", "scpi"), ("ftp://192.0.2.7", "socket://")),
        (("--port", "socket://192.0.2.7", "--protocol", "scpi"), ("socket://192.0.2.7", "number")),
        ((*NOWHERE, "--line", "fast"), ("fast", "2400-7O1")),
        ((*NOWHERE, "--line", "9600-9N1"), ("9600-9N1",)),
        ((*NOWHERE, "--baud", "-1"), ("-1",)),
        ((*NOWHERE, "--baud", "many"), ("--baud",)),
        ((*NOWHERE, "--count", "0"), ("0", "1 or more")),
        ((*NOWHERE, "--count", "1.5"), ("--count",)),
        ((*NOWHERE, "--seconds", "0"), ("0",)),
        ((*NOWHERE, "--seconds", "nan"), ("nan",)),
        ((*NOWHERE, "--seconds", "inf"), ("inf",)),
        ((*NOWHERE, "--function", "weight"), ("weight", "resistance")),
        ((*NOWHERE, "--temperature-port", "x"), ("--temperature-protocol",)),
        ((*NOWHERE, "--temperature-protocol", "scpi"), ("--temperature-port",)),
        ((*NOWHERE, "--out", "/no/such/folder/x.csv"), ("/no/such/folder/x.csv",)),
    ],
)
def test_wrong_input_is_one_line(
    capsys: pytest.CaptureFixture[str], given: tuple[str, ...], words: tuple[str, ...]
) -> None:
    """Exit 2, before any port is opened."""
    assert main(["log", *given]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    (line,) = said.err.splitlines()
    assert all(word in line for word in words), line


def test_wrong_input_is_one_line_from_the_program(program: Program) -> None:
    """The same from a process."""
    program("log", *NOWHERE, "--count", "0").refused("0", "1 or more")


def test_a_port_that_is_absent_or_none_is_named(program: Program, tmp_path: Path) -> None:
    """Exit 1 at once, and one line that says what to do."""
    program("log", *NOWHERE).refused("/dev/no-such-port", "plug", code=1)
    file = tmp_path / "letter.txt"
    file.write_text("a letter", "utf-8")
    program("log", "--port", file, "--protocol", "scpi").refused(str(file), code=1)
    program("log", "--port", tmp_path, "--protocol", "scpi").refused(str(tmp_path), code=1)


def test_a_busy_port_is_named(program: Program, pty: tuple[int, str]) -> None:
    """Another program has it."""
    _meter, port = pty
    other = os.open(port, os.O_RDWR | os.O_NOCTTY)
    try:
        fcntl.ioctl(other, termios.TIOCEXCL)
        fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
        program("log", "--port", port, "--protocol", "text-line").refused(port, code=1)
    finally:
        os.close(other)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the system's own account")
def test_a_forbidden_port_is_named(program: Program, pty: tuple[int, str]) -> None:
    """The system does not let this user."""
    _meter, port = pty
    Path(port).chmod(0)
    program("log", "--port", port, "--protocol", "text-line").refused(port, code=1)


def test_a_silent_meter_is_told(program: Program, pty: tuple[int, str]) -> None:
    """The time is up and nothing came: exit 1 and a hint."""
    done = program("log", "--port", pty[1], "--protocol", "text-line", "--seconds", "0.3")
    assert (done.code, done.out) == (1, "")
    assert "No reading came" in done.err.splitlines()[-1]


def test_it_connects_only_to_the_port_it_is_given(program: Program) -> None:
    """The guard of these tests ends a process that connects anywhere else."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        number = server.getsockname()[1]
        port = ("--port", f"socket://127.0.0.1:{number}", "--protocol", "text-line")
        assert program("log", *port, "--seconds", "0.3").code == CONNECTED
        allowed = program("log", *port, "--seconds", "0.3", allowed=f"127.0.0.1:{number}")
        assert allowed.code == 1
        assert "No reading came" in allowed.err
