"""Bar and key strip of the meters page, for either meter."""

from types import MappingProxyType
from typing import Final

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import MetersView
from benchassist.services.translation import _
from benchassist.ui.finding_panel import PRESSES
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.tile import Button

ACTIONS: Final = MappingProxyType(
    {
        "link": "Enter",
        "listen": "L",
        "zero": "Z",
        "match": "M",
        "accuracy": "T",
        "card": "K",
        "other": "S",
    }
)
"""The key that each hint stands for."""


def meters_frame(view: MetersView, *, second: bool, other: bool) -> tuple[Bar, Keys]:
    """What stands above and below. `second`: the thermometer shows; `other`: there are two."""
    linked, asked = view.connected, bool(view.question)
    ready = linked and not asked
    hints = [
        KeyHint(
            press="Enter",
            text=_("Unlink") if linked else _("Link it"),
            action="link",
            main=not linked,
        )
    ]
    if asked:
        keys = f"{PRESSES[0]}-{PRESSES[: len(view.answers)][-1:]}"
        hints.insert(0, KeyHint(press=keys, text=_("Answer"), action="", main=True))
    if view.listening or not linked:
        text = _("Stop listening") if view.listening else _("Listen")
        hints.append(KeyHint(press="L", text=text, action="listen"))
    if not second:
        hints.append(KeyHint(press="Z", text=_("Zero leads"), action="zero", main=ready))
    if linked:
        hints.append(KeyHint(press="M", text=_("Match"), action="match", main=second and ready))
    hints.append(KeyHint(press="T", text=_("Accuracy"), action="accuracy"))
    hints.append(KeyHint(press="K", text=_("Card"), action="card"))
    if other:
        name = _("Meter A") if second else _("Thermometer")
        hints.append(KeyHint(press="S", text=name, action="other"))
    hints += (
        KeyHint(press="Esc", text=_("Back"), action="back"),
        KeyHint(press="F1", text=_("Keys"), action="help"),
    )
    bar = Bar(place=meter_place(second=second), meter=view.meter_text, live=view.meter_live)
    return bar, Keys(hints=tuple(hints), note=_("A shop without a meter types"))


def match_button(view: MetersView) -> Button:
    """Match the display, or say that it is matched."""
    if view.matched:
        return Button(press="M", text=_("Match again"), note=_("display matched"))
    return Button(press="M", text=_("Match the display"))


def match_words(view: MetersView, *, second: bool) -> str:
    """What follows for a linked meter from its display being matched or not."""
    if not view.connected or second:
        return ""
    if view.matched:
        return _("Display matched: what is steady is taken by itself.")
    return _("Display not matched yet: a key takes. M changes that.")


def meter_place(*, second: bool) -> str:
    """Which meter shows, for the bar."""
    return _("Meters · B, thermometer") if second else _("Meters · A")
