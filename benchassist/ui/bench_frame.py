"""What stands around the work on the bench: top bar, key strip, lines of instruction."""

from benchassist.services.bench.view import Ask, BenchView, KeyHint
from benchassist.services.translation import _
from benchassist.ui.bench_part import Instructions
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.key_map import hint_for


def instructions_of(view: BenchView) -> Instructions:
    """What to set and where to touch."""
    pairs = ((view.setting_label, view.setting), (view.touch_label, view.touch))
    return Instructions(tuple(pair for pair in pairs if pair[1]))


def frame_of(view: BenchView) -> tuple[Bar, Keys]:
    """The bar above and the keys below; the help key is always among them."""
    hints = view.keys
    if hint_for("F1", hints) is None:
        hints = (*hints, KeyHint(press="F1", text=_("Keys"), action="help"))
    if view.ask is not Ask.TEXT and hint_for("F", hints) is None:
        hints = (*hints, KeyHint(press="F", text=_("Findings"), action="findings"))
    if view.ask is not Ask.TEXT and hint_for("H", hints) is None:
        hints = (*hints, KeyHint(press="H", text=_("History"), action="machine"))
    bar = Bar(
        place=view.place_text,
        meter=view.meter_text,
        live=view.meter_live,
        note=view.leads_text,
    )
    keys = Keys(
        hints=hints,
        note=view.keys_note,
        pedal=bool(view.keys_note) and any(hint.pedal for hint in hints),
    )
    return bar, keys
