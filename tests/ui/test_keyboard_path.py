"""Every page by keys alone: it is left, every part is reached, and the focus can be seen."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from benchassist.services.desk import Action, FindingsAction, RecordsStage
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.frame import KeyTarget
from benchassist.ui.page import Page
from benchassist.ui.part import Target
from benchassist.ui.scroll_list import ScrollList
from benchassist.ui.shell import Shell
from tests.ui.sitting import SECTIONS, cases_of, sitting

MOST_STOPS = 120
MOST_STEPS = 6
"""Presses of Esc from the deepest room to the counter."""
ROUND = 24
"""Pixels around a part in which its focus shows."""


@pytest.fixture
def steady(qapp: QApplication) -> Iterator[None]:
    """A caret that does not blink."""
    before = qapp.cursorFlashTime()
    qapp.setCursorFlashTime(0)
    yield
    qapp.setCursorFlashTime(before)


def focus() -> QWidget | None:
    """The part that has the focus."""
    return QApplication.focusWidget()


@pytest.mark.parametrize("section", SECTIONS)
def test_all_of_it_goes_by_keys(steady: None, section: str) -> None:
    """Tab leads to every part and shows where it is; Esc leads back, in the end to the counter."""
    assert steady is None
    faults, looked_at = list[str](), set[tuple[type, ...]]()
    for case in cases_of(section):
        with sitting(case) as shell:
            stops = [*stops_of()]
            faults += [f"{case.name}: not reached: {told(part)}" for part in missed(shell, stops)]
            for stop in stops:
                kind = (type(shell.page), type(stop.parentWidget()), type(stop))
                if kind not in looked_at and not is_seen(shell, stop):
                    faults.append(f"{case.name}: looks the same with the focus: {told(stop)}")
                looked_at.add(kind)
            if not is_left(shell):
                faults.append(f"{case.name}: cannot be left")
    assert not faults, "\n" + "\n".join(faults)


def told(part: QWidget) -> str:
    """A part by its kind and its words."""
    return f"{type(part).__name__} {part.accessibleName()[:40]}"


def stops_of() -> Iterator[QWidget]:
    """Where the focus is, and the parts that Tab goes to from there, each once."""
    begun: list[QWidget] = []
    for _stop in range(MOST_STOPS):
        now = focus()
        assert now is not None
        if now in begun:
            return
        begun.append(now)
        yield now
        QTest.keyClick(now, Qt.Key.Key_Tab)
    raise AssertionError(f"Tab goes on and on: {begun[-3:]}")


def missed(shell: Shell, stops: list[QWidget]) -> list[QWidget]:
    """What can be clicked or typed into and neither Tab leads to nor the keys of its list."""
    return [
        part
        for part in shell.findChildren(QWidget)
        if isinstance(part, Target | QLineEdit | ChoiceBox)
        and part.isVisible()
        and not is_reached(part, stops)
    ]


def is_reached(part: QWidget, stops: list[QWidget]) -> bool:
    """Whether Tab comes to it, or to the list or question it is an answer of, or it has a key."""
    around = part.parentWidget()
    if isinstance(part, KeyTarget) or isinstance(around, ScrollList):
        return True  # by its own key; by the cursor that the page's keys move
    return part in stops or (isinstance(around, ChoiceBox) and around in stops)


def is_seen(shell: Shell, stop: QWidget) -> bool:
    """Whether it looks other than without the focus; the page itself has a cursor of its own."""
    if isinstance(stop, Page | Shell):
        return True
    stop.setFocus(Qt.FocusReason.TabFocusReason)
    where = QRect(stop.mapTo(shell, stop.rect().topLeft()), stop.size())
    where.adjust(-ROUND, -ROUND, ROUND, ROUND)
    with_it = shell.grab(where).toImage()
    shell.page.setFocus()
    if focus() is stop:  # the page hands the focus on to it
        shell.setFocus()
    return bool(shell.grab(where).toImage() != with_it)


def is_left(shell: Shell) -> bool:
    """Whether Esc leads to the counter, step by step.

    Where the desk decides what Esc leads to, it is asked; work that has begun is told to end.
    """
    for _step in range(MOST_STEPS):
        if shell.page is shell.counter:
            return True
        QTest.keyClick(focus() or shell, Qt.Key.Key_Escape)
        shell.page.refresh()
    return shell.page is shell.counter or _asked_to_go_back(shell)


def _asked_to_go_back(shell: Shell) -> bool:
    """An invented desk shows what it is set to show, and writes down what it was asked."""
    desks = shell.desks
    assert desks is not None
    if shell.page is shell.records:
        return shell.records.shown.stage is RecordsStage.WORK
    asked = (desks.bench("v1"), desks.findings("v1") if desks.findings else None)
    acts = [name for desk in asked for name, _ in getattr(desk, "acts", ())]
    return bool({Action.CANCEL, FindingsAction.BACK} & set(acts))
