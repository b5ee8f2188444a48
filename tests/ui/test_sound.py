import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from benchassist.ui.cue import Cue
from benchassist.ui.sound import Sounds, players
from tests.ui.player import Player, gone

pytestmark = pytest.mark.usefixtures("qtbot")


@pytest.fixture
def player(tmp_path: Path) -> Player:
    """Programs that write down what they were given."""
    return Player(tmp_path / "played")


class Room:
    """Sounds over players of the test's choice, and a count of beeps."""

    def __init__(self, folder: Path) -> None:
        self.found: list[tuple[str, ...]] = []
        self.beeps = 0
        self.sounds = Sounds(folder, found=lambda: self.found, beep=self.beep)

    def beep(self) -> None:
        """Count it."""
        self.beeps += 1


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    """Nothing found yet."""
    made = Room(tmp_path / "cache")
    yield made
    made.sounds.child.close()


def test_a_cue_is_played_from_its_file(room: Room, player: Player, qtbot: QtBot) -> None:
    """The first player that works gets the WAV file; the others nothing."""
    room.found = [player.well("first"), player.well("second")]
    room.sounds.play(Cue.IN_BAND)
    qtbot.waitUntil(lambda: not room.sounds.child.running)
    (line,) = player.lines
    name, path = line.split(" ", 1)
    assert name == "first"
    assert Path(path).read_bytes()[:4] == b"RIFF"
    assert room.beeps == 0


def test_a_player_without_a_device_is_passed_over(room: Room, player: Player, qtbot: QtBot) -> None:
    """One that ends badly, one that is not there, then one that plays."""
    room.found = [player.badly("first"), ("/nowhere/player",), player.well("third")]
    room.sounds.play(Cue.REFUSED)
    qtbot.waitUntil(lambda: len(player.lines) == 2)
    assert [line.split()[0] for line in player.lines] == ["first", "third"]
    qtbot.waitUntil(lambda: not room.sounds.child.running)
    assert room.beeps == 0


def test_no_player_at_all_beeps(room: Room, player: Player, qtbot: QtBot) -> None:
    """None found, or none that works: the system's beep, and not a word."""
    room.sounds.play(Cue.TAKEN)
    assert room.beeps == 1
    room.found = [player.badly("first"), ("/nowhere/player",)]
    room.sounds.play(Cue.TAKEN)
    qtbot.waitUntil(lambda: room.beeps == 2)
    assert not room.sounds.child.running


def test_a_cache_that_cannot_be_written_beeps(tmp_path: Path) -> None:
    """A file where the folder should be stops nothing."""
    (tmp_path / "cache").write_text("a file", "utf-8")
    room = Room(tmp_path / "cache")
    room.sounds.play(Cue.TAKEN)
    assert room.beeps == 1


def test_a_newer_sound_ends_the_one_before(room: Room, player: Player, qtbot: QtBot) -> None:
    """A player that never ends gives way; it is not waited for."""
    room.found = [player.forever("first")]
    room.sounds.play(Cue.LINK_LOST)
    qtbot.waitUntil(lambda: len(player.lines) == 1)
    room.found = [player.well("second")]
    room.sounds.play(Cue.IN_BAND)
    qtbot.waitUntil(lambda: len(player.lines) == 2 and not room.sounds.child.running)
    qtbot.waitUntil(lambda: gone(player.ids[0]))
    assert room.beeps == 0


def test_closing_leaves_no_player_behind(room: Room, player: Player, qtbot: QtBot) -> None:
    """The window goes, and what still sounds goes with it."""
    room.found = [player.forever("first")]
    room.sounds.play(Cue.LINK_LOST)
    qtbot.waitUntil(lambda: len(player.ids) == 1)
    room.sounds.child.close()
    assert gone(player.ids[0])
    assert not room.sounds.child.running


def test_a_player_that_hangs_is_ended(room: Room, player: Player, qtbot: QtBot) -> None:
    """A device that never opens holds no process for ever."""
    room.sounds.child._patience.setInterval(50)
    room.found = [player.forever("first")]
    room.sounds.play(Cue.LINK_LOST)
    qtbot.waitUntil(lambda: not room.sounds.child.running)
    assert room.beeps == 0


def test_players_are_those_of_the_platform(monkeypatch: pytest.MonkeyPatch) -> None:
    """On PATH, in order, with their options; on Windows the interpreter itself plays."""
    there = {"pw-play": "/usr/bin/pw-play", "aplay": "/usr/bin/aplay"}
    monkeypatch.setattr("benchassist.ui.sound.shutil.which", there.get)
    if sys.platform != "win32":
        assert players() == (("/usr/bin/pw-play",), ("/usr/bin/aplay", "-q"))
    monkeypatch.setattr("benchassist.ui.sound.sys.platform", "win32")
    ((program, *options),) = players()
    assert program == sys.executable
    compile(options[-1], "player", "exec")
