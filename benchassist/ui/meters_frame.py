"""Bar and key strip of the meters page, for either meter."""

from types import MappingProxyType
from typing import Final

from benchassist.services.bench_view import KeyHint
from benchassist.services.desk import MetersView
from benchassist.services.translation import _
from benchassist.ui.frame import Bar, Keys

ACTIONS: Final = MappingProxyType(
    {"link": "Enter", "zero": "Z", "match": "M", "accuracy": "T", "card": "K", "other": "S"}
)
"""The key that each hint stands for."""


def meters_frame(view: MetersView, *, second: bool, other: bool) -> tuple[Bar, Keys]:
    """What stands above and below. `second`: the thermometer shows; `other`: there are two."""
    linked = view.connected
    hints = [
        KeyHint(
            press="Enter",
            text=_("Unlink") if linked else _("Link it"),
            action="link",
            main=not linked,
        )
    ]
    if not second:
        hints.append(KeyHint(press="Z", text=_("Zero leads"), action="zero", main=linked))
    hints.append(KeyHint(press="M", text=_("Match"), action="match", main=second and linked))
    if not second:
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


def meter_place(*, second: bool) -> str:
    """Which meter shows, for the bar."""
    return _("Meters · B, thermometer") if second else _("Meters · A")
