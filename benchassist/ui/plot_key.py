"""The keys of a run's plot, for where the focus is on it, and what each does."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent


class PlotAct(StrEnum):
    """Everything a plot can be told to do."""

    BACK = "back"
    ON = "on"
    CURSOR_BACK = "cursor_back"
    CURSOR_ON = "cursor_on"
    CLOSER = "closer"
    WIDER = "wider"
    EVENT_BEFORE = "event_before"
    EVENT_AFTER = "event_after"
    WHOLE = "whole"
    NOW = "now"
    NO_CURSOR = "no_cursor"


_KEYS: Final[Mapping[Qt.Key, PlotAct]] = MappingProxyType(
    {
        Qt.Key.Key_Left: PlotAct.BACK,
        Qt.Key.Key_Right: PlotAct.ON,
        Qt.Key.Key_Plus: PlotAct.CLOSER,
        Qt.Key.Key_Equal: PlotAct.CLOSER,
        Qt.Key.Key_Minus: PlotAct.WIDER,
        Qt.Key.Key_PageUp: PlotAct.EVENT_BEFORE,
        Qt.Key.Key_PageDown: PlotAct.EVENT_AFTER,
        Qt.Key.Key_Home: PlotAct.WHOLE,
        Qt.Key.Key_End: PlotAct.NOW,
        Qt.Key.Key_Escape: PlotAct.NO_CURSOR,
    }
)
_SHIFTED: Final[Mapping[Qt.Key, PlotAct]] = MappingProxyType(
    {Qt.Key.Key_Left: PlotAct.CURSOR_BACK, Qt.Key.Key_Right: PlotAct.CURSOR_ON}
)
_OTHERS = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier


def act_of(event: QKeyEvent) -> PlotAct | None:
    """What a key does on a plot, None where it is the page's."""
    key, held = Qt.Key(event.key()), event.modifiers()
    if held & _OTHERS:
        return None
    if held & Qt.KeyboardModifier.ShiftModifier and key in _SHIFTED:
        return _SHIFTED[key]
    return _KEYS.get(key)
