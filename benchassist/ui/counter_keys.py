"""The keys of the counter's strip. What has a button on the page has none here."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import CounterView
from benchassist.services.translation import _

PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "F2": "new_machine",
        "F3": "practice",
        "F4": "meters",
        "F5": "settings",
        "F6": "log",
        "F7": "spec",
        "F10": "records",
    }
)
"""Keys that turn to a page, whatever is selected."""


def counter_hints(
    view: CounterView, selected: str, *, typed: bool, keeps: bool
) -> Iterator[KeyHint]:
    """What Enter does now, the file of what is selected, and the other pages.

    `typed`: there is something in the box to clear. `keeps`: there are records to look after.
    """
    if main := _main_text(view, selected):
        yield KeyHint(press="Enter", text=main, action="enter", main=True)
    if selected or view.machines:
        yield KeyHint(press="F9", text=_("History"), action="machine")
    if keeps:
        yield KeyHint(press="F10", text=_("Records"), action="records")
    yield KeyHint(press="F5", text=_("Settings"), action="settings")
    yield KeyHint(press="F7", text=_("Spec book"), action="spec")
    yield KeyHint(press="F8", text=_("Tags"), action="tags")
    if typed:
        yield KeyHint(press="Esc", text=_("Clear"), action="clear")
    yield KeyHint(press="F1", text=_("Keys"), action="help")


def waiting_hints(*, opening: bool) -> Iterator[KeyHint]:
    """While there is no shop: other pages come with the first moment after the first paint."""
    if not opening:
        yield KeyHint(press="F1", text=_("Keys"), action="help")


def _main_text(view: CounterView, selected: str) -> str:
    machine = next((m for m in view.machines if m.machine_id == selected), None)
    if selected:
        return _("Open a new visit") if machine and not machine.open_visit_id else _("Go on")
    return _("Look at the closest") if view.machines else ""
