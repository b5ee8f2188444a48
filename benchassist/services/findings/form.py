"""The forms of the findings page: what is asked, with what stands in it at first."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchassist.core.plain_text import brief
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.findings.case import Case, check_for
from benchassist.services.findings.evidence_rows import answer_fields, evidence_of
from benchassist.services.findings.next_test import Words, cautions_of
from benchassist.services.findings.repair_form import (
    part_fields,
    parts_of,
    prove_fields,
    service_fields,
)
from benchassist.services.findings.stake_form import StakeFigures, decision_fields, stake_fields
from benchassist.services.findings.view import FormView, Room
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.settings import Settings
from benchassist.services.translation import _


class FormKey(StrEnum):
    """Which form is open."""

    ANSWER = "answer"
    SWAP = "swap"
    STAKE = "stake"
    DECIDE = "decide"
    PART = "part"
    SERVICE = "service"
    PROVE = "prove"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """What was pressed and typed since the page was opened; nothing of it is on disk yet.

    `subject` is the evidence that the open form answers. `bundled` and `share` go with the next
    trial of a swap test, `figures` with the next decision.
    """

    room: Room = Room.FRONT
    cause: str = ""
    part: str = ""
    form: FormKey | None = None
    subject: str = ""
    bundled: tuple[str, ...] = ()
    share: float | None = None
    figures: StakeFigures | None = None
    suggested: str = ""
    message: str = ""


def form_of(
    visit: Visit, case: Case | None, pressed: Pressed, settings: Settings, cautions: Words
) -> FormView | None:
    """The form that is open, if any."""
    match pressed.form:
        case FormKey.ANSWER if case is not None:
            evidence = evidence_of(case, pressed.subject)
            check = check_for(visit, evidence)
            return FormView(
                key=FormKey.ANSWER,
                title=evidence.name,
                fields=answer_fields(case, pressed.subject),
                submit_text=_("Count it so"),
                hint=_("Your word counts in place of what was found; the slip says so."),
                cautions=tuple(cautions_of(evidence, check, cautions)),
            )
        case FormKey.SWAP:
            return FormView(
                key=FormKey.SWAP,
                title=_("Swap test"),
                fields=swap_fields(visit, pressed),
                submit_text=_("Set up"),
                hint=_("Change one part only: what is changed with it is not separated."),
            )
        case FormKey.STAKE:
            return FormView(
                key=FormKey.STAKE,
                title=_("Replace or keep: the figures"),
                fields=stake_fields(settings, pressed.figures),
                submit_text=_("Work it out"),
            )
        case FormKey.DECIDE:
            return FormView(
                key=FormKey.DECIDE,
                title=_("Replace or keep: the choice"),
                fields=decision_fields(pressed.suggested),
                submit_text=_("Record the choice"),
            )
        case FormKey.PART:
            return FormView(
                key=FormKey.PART,
                title=_("Part fitted"),
                fields=part_fields(visit, settings, pressed.part),
                submit_text=_("Fitted"),
            )
        case FormKey.SERVICE:
            return FormView(
                key=FormKey.SERVICE,
                title=_("Service done"),
                fields=service_fields(settings.units),
                submit_text=_("Done"),
            )
        case FormKey.PROVE:
            return FormView(
                key=FormKey.PROVE,
                title=_("Acceptance run"),
                fields=prove_fields(),
                submit_text=_("Keep it"),
                hint=_("Under load, hot, with everything back on."),
            )
        case FormKey.NOTE:
            return FormView(
                key=FormKey.NOTE,
                title=_("Note"),
                fields=(Field(key="text", label=_("Note"), open_ended=False),),
                submit_text=_("Keep it"),
                hint=_("It stands on the slip."),
            )
        case _:
            return None


def swap_fields(visit: Visit, pressed: Pressed) -> tuple[Field, ...]:
    """Which part, what else is changed with it, how often the fault shows."""
    return (
        Field(
            key="part",
            label=_("Part"),
            kind=FieldKind.CHOICE,
            value=pressed.part,
            choices=tuple(FieldChoice(key=one, text=_(one)) for one in parts_of(visit)),
            open_ended=False,
        ),
        Field(
            key="bundled",
            label=_("Changed with it"),
            hint=_("with commas between; empty: nothing else"),
            value=", ".join(pressed.bundled),
        ),
        Field(
            key="share",
            label=_("The fault shows on … of 100 hot runs"),
            hint=_("as the customer says; empty: not stated"),
            value=f"{100.0 * pressed.share:g}" if pressed.share is not None else "",
        ),
    )


def read_swap(fields: Mapping[str, str], visit: Visit) -> tuple[str, tuple[str, ...], float | None]:
    """Part, what is bundled, the share (above 0, up to 1). Raises InputError naming the field."""
    part = fields.get("part", "")
    if part not in parts_of(visit):
        raise InputError(
            _("part '{part}': choose one of this visit’s parts").format(part=brief(part))
        )
    names = (name.strip() for name in fields.get("bundled", "").split(","))
    text = fields.get("share", "").strip()
    share = None
    if text:
        try:
            share = float(text.replace(",", ".").rstrip(" %")) / 100.0
        except ValueError:
            share = float("nan")
        if not 0.0 < share <= 1.0:
            raise InputError(
                _("hot runs that show the fault: '{text}' is not above 0 and up to 100").format(
                    text=brief(text)
                )
            )
    return part, tuple(dict.fromkeys(name for name in names if name)), share


def read_note(fields: Mapping[str, str]) -> str:
    """The words. Raises InputError where there are none."""
    text = fields.get("text", "").strip()
    if not text:
        raise InputError(_("note: type some words"))
    return text
