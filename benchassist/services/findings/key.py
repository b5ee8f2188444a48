"""The keys on the strip of the findings page, by what is open."""

from benchassist.services.bench.view import KeyHint
from benchassist.services.findings.form import Pressed
from benchassist.services.findings.view import FindingsAction, Room
from benchassist.services.translation import _


def keys_of(pressed: Pressed, *, closed: bool, has_test: bool) -> tuple[KeyHint, ...]:
    """The keys on the strip; a form has its own."""
    back = _hint("Esc", _("Back"), FindingsAction.BACK)
    if pressed.form is not None or closed:
        return (back,)
    match pressed.room:
        case Room.FRONT:
            first = (_hint("Enter", _("Start next test"), FindingsAction.START_TEST, main=True),)
            return (
                *(first if has_test else ()),
                _hint("1–9", _("Open a cause"), FindingsAction.OPEN_CAUSE),
                _hint("E", _("Evidence"), FindingsAction.OPEN_EVIDENCE),
                _hint("W", _("Swap test"), FindingsAction.OPEN_SWAP),
                _hint("R", _("Replace or keep"), FindingsAction.OPEN_STAKE),
                _hint("F", _("Repair"), FindingsAction.OPEN_REPAIR),
                _hint("N", _("Note"), FindingsAction.NOTE),
            )
        case Room.SWAP:
            return (
                _hint("1", _("Old part, fault"), FindingsAction.OLD_FAULT),
                _hint("2", _("New part, clean"), FindingsAction.NEW_CLEAN),
                _hint("3", _("New part, fault"), FindingsAction.NEW_FAULT),
                _hint("4", _("Old part, clean"), FindingsAction.OLD_CLEAN),
                _hint("S", _("Set up"), FindingsAction.SWAP_SETUP),
                back,
            )
        case Room.STAKE:
            return (
                _hint("Enter", _("Figures"), FindingsAction.STAKE_FIGURES, main=True),
                _hint("D", _("Record the choice"), FindingsAction.DECIDE),
                back,
            )
        case Room.REPAIR:
            return (
                _hint("P", _("Part fitted"), FindingsAction.FIT_PART),
                _hint("S", _("Service done"), FindingsAction.SERVICE),
                _hint("A", _("Acceptance run"), FindingsAction.PROVE),
                _hint("N", _("Note"), FindingsAction.NOTE),
                back,
            )
        case Room.CAUSE | Room.EVIDENCE:
            return (_hint("1–9", _("Open a cause"), FindingsAction.OPEN_CAUSE), back)


def _hint(press: str, text: str, action: FindingsAction, *, main: bool = False) -> KeyHint:
    return KeyHint(press=press, text=text, action=action, main=main)
