"""Every case of the gallery, opened alone and as often as wanted: a window that may be spoilt."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any, Self, cast

import pytest
from PySide6.QtCore import QEvent, QSize
from PySide6.QtWidgets import QApplication

from benchassist.ui.look import Theme
from benchassist.ui.shell import Shell
from tests.ui import gallery
from tests.ui.records_views import records_desk
from tests.ui.spec_shop import spec_desk

Shots = Callable[[QSize, Theme], Iterator[tuple[str, Shell]]]

SECTIONS: dict[str, Shots] = {
    name.removesuffix("_shots"): shots
    for name, shots in vars(gallery).items()
    if name.endswith("_shots") and name != "form_shots"  # a part of the pages
}
SMALL = QSize(1366, 768)


@dataclass(frozen=True, slots=True)
class Case:
    """A case of the gallery: its section, which window of it, its name."""

    section: str
    window: int
    name: str


@cache
def cases_of(section: str) -> tuple[Case, ...]:
    """All of them."""
    cases, opened = list[Case](), set[Shell]()
    with _windows(-1) as numbers:
        for name, shell in SECTIONS[section](SMALL, Theme.LIGHT):
            cases.append(Case(section, numbers[-1], name))
            opened.add(shell)
    for shell in opened:
        _put_away(shell)
    return tuple(cases)


@contextmanager
def sitting(case: Case) -> Iterator[Shell]:
    """A window of its own that shows the case; other windows of its section are not made."""
    with _windows(case.window) as numbers:
        shots = SECTIONS[case.section](SMALL, Theme.LIGHT)
        shell = next(s for name, s in shots if name == case.name and numbers[-1] == case.window)
        shell._timer.stop()
        shell.activateWindow()
        QApplication.processEvents()
        assert shell.isActiveWindow(), case
        yield shell
        shots.close()  # type: ignore[attr-defined]
        _put_away(shell)


def _put_away(shell: Shell) -> None:
    shell.close()
    shell.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


class _Nothing:
    """Stands for a window that is not wanted: whatever is done with it, it is still that."""

    def __getattr__(self, _name: str) -> Self:
        return self

    def __setattr__(self, _name: str, _value: object) -> None:
        pass

    def __getitem__(self, _key: object) -> Self:
        return self

    def __call__(self, *_given: object, **_named: object) -> Self:
        return self


@contextmanager
def _windows(wanted: int) -> Iterator[list[int]]:
    """Number the windows that the gallery opens; where one is wanted the others are nothing."""
    numbers = [-1]
    made = (gallery.window, Shell)

    def counted(make: Callable[..., Shell]) -> Callable[..., Shell]:
        def one(*given: object, **named: object) -> Shell:
            numbers.append(numbers[-1] + 1)
            if wanted not in {-1, numbers[-1]}:
                return cast("Shell", _Nothing())
            shell = make(*given, **named)
            shell._painted = True  # the gallery loads it; a timer would come when it is gone
            return shell

        return one

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gallery, "window", _alone(counted(made[0]), made[1]))
        patch.setattr(gallery, "Shell", counted(made[1]))

        def desk(*visits: Any) -> object:  # noqa: ANN401 - handed on as they come
            return spec_desk(*visits) if wanted in {-1, numbers[-1] + 1} else _Nothing()

        patch.setattr(gallery, "spec_desk", desk)
        with _records(patch):
            yield numbers


@contextmanager
def _records(patch: pytest.MonkeyPatch) -> Iterator[None]:
    """Work on the records that a case left under way is let go, and ends."""
    desks: list[tuple[Any, Any]] = []

    def made(**given: Any) -> tuple[Any, Any]:  # noqa: ANN401 - handed on
        desks.append(records_desk(**given))
        return desks[-1]

    patch.setattr(gallery, "records_desk", made)
    yield
    for desk, keeping in desks:
        keeping.go.set()
        desk.close()


def _alone(make: Callable[..., Shell], shell: type[Shell]) -> Callable[..., Shell]:
    """`window` makes a `Shell` itself: that one is not counted again."""

    def one(*given: object, **named: object) -> Shell:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(gallery, "Shell", shell)
            return make(*given, **named)

    return one
