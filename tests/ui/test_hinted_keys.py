"""Every key that stands on a page does something there, in every state of every page."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from benchassist.ui import file_dialog, print_dialog
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.entry import EntryLine, LineField
from benchassist.ui.key_map import standard_press
from benchassist.ui.message import Message
from benchassist.ui.part import Target
from benchassist.ui.shell import Shell
from tests.ui.sitting import SECTIONS, Case, cases_of, sitting

DIALOGS = {file_dialog: "pick_", print_dialog: "print_"}
"""The modules that open the system's dialogs, and how their functions begin."""
SAID_ALREADY = {("keys-voiceless", "V"), ("bin-odd-no-reason", "Enter")}
"""Keys whose answer is the line that stands there already."""
OLDER = "what an earlier key could not do"

SLOW = frozenset({"findings", "page", "bin"})
"""Sections with so many states that they are looked at behind --long only."""


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The system's dialogs that were opened; each is left as it came."""
    opened: list[str] = []
    for module, beginning in DIALOGS.items():
        for name in (name for name in vars(module) if name.startswith(beginning)):

            def leave(*_given: object, name: str = name) -> tuple[str, ...]:
                opened.append(name)
                return ()

            monkeypatch.setattr(module, name, leave)
    return opened


@dataclass(frozen=True)
class Stand:
    """What can be seen of a window, and what its desks were asked for."""

    done: tuple[object, ...]
    parts: tuple[tuple[object, ...], ...]
    lines: tuple[str, ...]

    @property
    def old(self) -> set[object]:
        """Parts that only say what an earlier key could not do."""
        return {part[0] for part in self.parts if OLDER in str(part[2])}

    def without(self, parts: set[object]) -> "Stand":
        """The same without these parts."""
        return replace(self, parts=tuple(part for part in self.parts if part[0] not in parts))

    def without_lines(self) -> "Stand":
        """The same, whatever stands in lines that are typed."""
        return replace(self, lines=())


def stand_of(shell: Shell, asked: list[str]) -> Stand:
    """Compared before and after a key; what a key only clears of the problem line is nothing."""
    seen = [part for part in shell.findChildren(QWidget) if part.isVisible()]
    parts = (
        (id(part), part.geometry().getRect(), repr(getattr(part, "value", None)), part.hasFocus())
        for part in seen
        if not isinstance(part, Message)
    )
    lines = (f"{p.text()}|{p.selectedText()}" for p in seen if isinstance(p, QLineEdit))
    done = (id(shell.page), shell.isVisible(), *_said_to_desks(shell), len(asked))
    return Stand(done, tuple(parts), tuple(lines))


def _said_to_desks(shell: Shell) -> Iterator[object]:
    desks = shell.desks
    if desks is None:
        return
    for desk in (
        desks.counter,
        desks.meters,
        desks.bench("v1"),
        desks.printer("v1"),
        desks.findings("v1") if desks.findings else None,
        desks.settings,
        desks.log,
        desks.machine_file("m1") if desks.machine_file else None,
        desks.machine_edit("m1") if desks.machine_edit else None,
        desks.photos("m1", "") if desks.photos else None,
        *(desks.match, desks.match_thermometer, desks.thermometer),
    ):
        kept = vars(desk) if desk is not None else {}
        yield tuple(len(v) for k, v in kept.items() if isinstance(v, list) and k != "queries")


def hints_of(shell: Shell) -> tuple[str, ...]:
    """Presses that stand on the page and on its strip."""
    typing = isinstance(QApplication.focusWidget(), QLineEdit)  # tiles wait until it is left
    strip = [hint.press for hint in shell.strip.value.hints]
    tiles = [
        str(getattr(part.value, "press", ""))
        for part in shell.page.findChildren(Target)
        if part.isVisible() and _answers(part) and not typing
    ]
    return tuple(dict.fromkeys(p for p in (*strip, *tiles) if p))


def _answers(tile: Target[Any]) -> bool:
    """Whether its key is its own now: it is no answer given already, its question has the focus."""
    box = tile.parentWidget()
    asked = not isinstance(box, ChoiceBox) or box.hasFocus()
    return asked and not getattr(tile.value, "chosen", False)


def strokes_of(press: str) -> tuple[str, ...]:
    """'1-3' is any of three keys, 'U-W' too."""
    first, last = press[:1], press[-1:]
    if len(press) == 3 and press[1] in "-–":
        return tuple(chr(n) for n in range(ord(first), ord(last) + 1))
    return (standard_press(press),)


def stroke(shell: Shell, press: str) -> None:
    """Press a key where the focus is."""
    key = {"Space": "Space", "Esc": "Esc", "Enter": "Return"}.get(press, press)
    key = key.replace("+Enter", "+Return")
    sequence: Any = QKeySequence(key)  # its stub leaves out that it can be indexed
    combination = sequence[0]
    on = QApplication.focusWidget() or shell
    QTest.keyClick(on, combination.key(), combination.keyboardModifiers())


@pytest.mark.parametrize("section", [name for name in SECTIONS if name not in SLOW])
def test_every_hinted_key_does_something(qapp: object, asked: list[str], section: str) -> None:
    """A key that stands there changes something, is handed to the desk, or says why not.

    A state whose keys, parts and focus are those of another is looked at once.
    """
    assert qapp is not None
    assert not silent_in(section, asked, all_of_them=False)


@pytest.mark.long
@pytest.mark.timeout(1200)
@pytest.mark.parametrize("section", SECTIONS)
def test_every_hinted_key_of_every_case(qapp: object, asked: list[str], section: str) -> None:
    """The same for every case, however alike."""
    assert qapp is not None
    assert not silent_in(section, asked, all_of_them=True)


def silent_in(section: str, asked: list[str], *, all_of_them: bool) -> list[str]:
    """Keys of a section that come to nothing."""
    silent, known = list[str](), set[object]()
    for case in cases_of(section):
        with sitting(case) as shell:
            found = [(place, *hints_at(shell, place)) for place in range(count_places(shell))]
        for place, hints, kind in found:
            for press in hints:
                if (press, kind) in known and not all_of_them:
                    continue
                known.add((press, kind))
                faults = [fault_of(case, one, asked, place=place) for one in strokes_of(press)]
                if all(faults) and (case.name, press) not in SAID_ALREADY:
                    silent.append(f"{case.name}, focus {place}: {press}: {faults[0]}")
    return silent


def hints_at(shell: Shell, place: int) -> tuple[tuple[str, ...], object]:
    """What stands there, and what kind of state that is."""
    go_to(shell, place)
    return hints_of(shell), kind_of(shell)


def count_places(shell: Shell) -> int:
    """Where the focus may be besides where it is: on the page, and in lines to be typed into."""
    typing = isinstance(QApplication.focusWidget(), QLineEdit)
    if typing and not any(line.isVisible() for line in shell.findChildren(EntryLine)):
        return 1  # a form: its fields are alike
    return 2 + (0 if typing else len(_lines(shell)))


def go_to(shell: Shell, place: int) -> None:
    """Put the focus there: 0 is where it is, 1 the page, the others its lines."""
    if place:
        (shell.page if place == 1 else _lines(shell)[place - 2]).setFocus()


def _lines(shell: Shell) -> list[LineField]:
    return [line for line in shell.page.findChildren(LineField) if line.isVisible()]


def kind_of(shell: Shell) -> object:
    """What two states have to share to be alike: keys, what they are called, parts, the focus."""
    parts = {type(part) for part in shell.page.findChildren(QWidget) if part.isVisible()}
    where = type(QApplication.focusWidget())
    return type(shell.page), shell.strip.value.hints, frozenset(parts), where


def fault_of(case: Case, press: str, asked: list[str], *, place: int = 0) -> str:
    """Why a key comes to nothing, empty where it does something."""
    with sitting(case) as shell:
        go_to(shell, place)
        before = stand_of(shell, asked)
        page, typing = shell.page, isinstance(QApplication.focusWidget(), QLineEdit)
        page.problem = OLDER
        stroke(shell, press)
        if page.problem not in {OLDER, ""}:
            return ""
        after = stand_of(shell, asked)
        old = after.old
        before, after = before.without(old), after.without(old)
        if typing and before != after and before.without_lines() == after.without_lines():
            return "it only stands in the line"
        if after != before:
            return ""
        if old or any(part.isVisible() for part in page.findChildren(Message)):
            return "nothing"
        now = shell.grab().toImage()
    with sitting(case) as shell:  # what a plot shows is no value of it
        go_to(shell, place)
        return "nothing" if shell.grab().toImage() == now else ""
