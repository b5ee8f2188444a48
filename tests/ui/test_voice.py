import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from benchassist.ui.voice import POWERSHELL, SAID, Voice, voices
from tests.ui.player import Player, gone

pytestmark = pytest.mark.usefixtures("qtbot")


@pytest.fixture
def player(tmp_path: Path) -> Player:
    """Programs that write down what they were given."""
    return Player(tmp_path / "said")


@pytest.fixture
def found() -> list[tuple[str, ...]]:
    """The voices of this computer."""
    return []


@pytest.fixture
def voice(found: list[tuple[str, ...]]) -> Iterator[Voice]:
    """A voice over them."""
    made = Voice(found=lambda: found)
    yield made
    made.child.close()


def test_a_sentence_is_said(
    voice: Voice, found: list[tuple[str, ...]], player: Player, qtbot: QtBot
) -> None:
    """By the first voice that works, whole, whatever stands in it."""
    found += [player.badly("first"), player.well("second")]
    text = "minus 4 'kilo-ohms'; $(reboot), in band"
    assert voice.say(text)
    qtbot.waitUntil(lambda: len(player.lines) == 2)
    assert player.lines == [f"first {text}", f"second {text}"]


def test_a_newer_sentence_takes_the_place_of_one_being_said(
    voice: Voice, found: list[tuple[str, ...]], player: Player, qtbot: QtBot
) -> None:
    """The old one ends at once; nothing queues up."""
    found.append(player.forever("slow"))
    voice.say("four point three eight kilo-ohms, in band")
    qtbot.waitUntil(lambda: len(player.ids) == 1)
    voice.say("meter lost")
    qtbot.waitUntil(lambda: len(player.ids) == 2)
    qtbot.waitUntil(lambda: gone(player.ids[0]))
    assert not gone(player.ids[1])
    assert player.lines[1] == "slow meter lost"


def test_a_computer_without_a_voice_says_so(voice: Voice) -> None:
    """Nothing is started, nothing is logged."""
    assert not voice.say("in band")
    assert not voice.child.running


def test_a_voice_that_fails_is_silent(
    voice: Voice, found: list[tuple[str, ...]], player: Player, qtbot: QtBot
) -> None:
    """No device is no reason for a word."""
    found += [player.badly("first"), ("/nowhere/voice",)]
    assert voice.say("in band")
    qtbot.waitUntil(lambda: bool(player.lines) and not voice.child.running)


def test_voices_are_those_of_the_platform(monkeypatch: pytest.MonkeyPatch) -> None:
    """On PATH, in order; the options end, so that no text is taken for one."""
    there = {"espeak-ng": "/usr/bin/espeak-ng", "spd-say": "/usr/bin/spd-say"}
    monkeypatch.setattr("benchassist.ui.voice.shutil.which", there.get)
    if sys.platform != "win32":
        first, second = voices()
        assert first[0] == "/usr/bin/spd-say"
        assert second == ("/usr/bin/espeak-ng", "--")
        assert first[-1] == "--"


def test_windows_reads_the_text_from_the_environment(
    monkeypatch: pytest.MonkeyPatch, player: Player, qtbot: QtBot
) -> None:
    """There is no quoting to get wrong: the command is the same for every sentence."""
    monkeypatch.setattr("benchassist.ui.voice.sys.platform", "win32")
    voice = Voice(found=lambda: [player.well("own")])
    voice.say("it's $5; 'open'")
    qtbot.waitUntil(lambda: player.lines == ["own it's $5; 'open'"])
    qtbot.waitUntil(lambda: not voice.child.running)
    assert f"$env:{SAID}" in POWERSHELL[-1]
    monkeypatch.setattr("benchassist.ui.voice.shutil.which", lambda name: f"C:/{name}.exe")
    assert voices() == (("C:/powershell.exe", *POWERSHELL[1:]),)
