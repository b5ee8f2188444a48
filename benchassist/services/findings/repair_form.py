"""Parts fitted, service done and acceptance runs as forms, and what is kept of them."""

from collections.abc import Callable, Mapping
from typing import Final

from benchassist.core.cause import CauseBook
from benchassist.core.entry import Entry, PartFitted, Proved, Service, Serviced, Stamp
from benchassist.core.plain_text import brief
from benchassist.core.visit import Visit
from benchassist.errors import InputError
from benchassist.services.findings.fluid import read_fluid, read_grade
from benchassist.services.findings.money import read_amount
from benchassist.services.findings.repair import SERVICE
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.runs.tank_text import is_us
from benchassist.services.settings import Settings
from benchassist.services.translation import _
from benchassist.units import UnitChoice

Draft = Callable[[Stamp], Entry]
"""Makes an entry, once it has its number."""

YES: Final = "yes"
NO: Final = "no"
NOT_TRIED: Final = "not_tried"
OILS: Final = frozenset({Service.ENGINE_OIL, Service.PUMP_OIL})
MOST_MINUTES: Final = 10_000.0
_YES_NO: Final = (FieldChoice(key=YES, text=_("Yes")), FieldChoice(key=NO, text=_("No")))


def parts_of(visit: Visit) -> tuple[str, ...]:
    """Every part that a cause or a step of the visit names, causes first."""
    book = visit.header.causes
    named = [cause.part for cause in book.causes] if isinstance(book, CauseBook) else []
    named += [check.part for check in visit.procedure.checks]
    return tuple(dict.fromkeys(part for part in named if part))


def part_fields(visit: Visit, settings: Settings, part: str) -> tuple[Field, ...]:
    """The part, what is printed on it, what it costs, where the old one went."""
    currency = settings.currency or _("the shop’s currency")
    return (
        Field(
            key="part",
            label=_("Part"),
            kind=FieldKind.CHOICE,
            value=part,
            choices=tuple(FieldChoice(key=one, text=_(one)) for one in parts_of(visit)),
            open_ended=False,
        ),
        Field(key="name", label=_("Name"), hint=_("as it stands on the bill")),
        Field(key="number", label=_("Part number")),
        Field(key="lot", label=_("Lot")),
        Field(key="cost", label=_("Cost"), hint=currency),
        _yes_no("old_kept", _("Old part kept, labelled"), YES),
    )


def read_part(fields: Mapping[str, str], visit: Visit, settings: Settings) -> Draft:
    """The part fitted. Raises InputError naming the field."""
    part = fields.get("part", "")
    if part not in parts_of(visit):
        raise InputError(
            _("part '{part}': choose one of this visit’s parts").format(part=brief(part))
        )
    typed = fields.get("cost", "").strip()
    cost = read_amount(typed, _("Cost"), settings) if typed else None
    kept = _answer(fields, "old_kept", _("Old part kept"), {YES, NO}) == YES
    given = {key: fields.get(key, "").strip() for key in ("name", "number", "lot")}

    def make(stamp: Stamp) -> Entry:
        return PartFitted(
            stamp=stamp,
            part=part,
            name=given["name"] or part,
            number=given["number"],
            lot=given["lot"],
            cost=cost,
            currency=settings.currency if cost is not None else "",
            old_kept=kept,
        )

    return make


def service_fields(units: UnitChoice) -> tuple[Field, ...]:
    """What was done; grade and quantity for oil."""
    example = _("20 oz") if is_us(units) else _("0.6 L")
    return (
        Field(
            key="service",
            label=_("Service"),
            kind=FieldKind.CHOICE,
            choices=tuple(FieldChoice(key=s.value, text=text) for s, text in SERVICE.items()),
            open_ended=False,
        ),
        Field(key="grade", label=_("Oil grade"), hint=_("SAE 30, 10W-30 or ISO VG 100")),
        Field(key="quantity", label=_("Oil filled"), hint=example),
        Field(key="text", label=_("Words")),
    )


def read_service(fields: Mapping[str, str], units: UnitChoice) -> Draft:
    """The service done. Raises InputError naming the field."""
    given = fields.get("service", "")
    try:
        service = Service(given)
    except ValueError:
        raise InputError(_("service: choose what was done")) from None
    grade, quantity = fields.get("grade", "").strip(), fields.get("quantity", "").strip()
    text = fields.get("text", "").strip()
    if service not in OILS and (grade or quantity):
        raise InputError(
            _("{service}: grade and quantity are for oil only").format(service=SERVICE[service])
        )
    if service is Service.OTHER and not text:
        raise InputError(_("words: say what was done"))
    kept_grade = read_grade(grade, _("Oil grade")) if grade else ""
    filled = read_fluid(quantity, _("Oil filled"), units) if quantity else None

    def make(stamp: Stamp) -> Entry:
        return Serviced(stamp=stamp, service=service, grade=kept_grade, quantity=filled, text=text)

    return make


def prove_fields() -> tuple[Field, ...]:
    """How long it ran under load, whether it quit, whether it restarted from a soak."""
    return (
        Field(
            key="minutes",
            label=_("Minutes run under load"),
            kind=FieldKind.MINUTES,
            open_ended=False,
        ),
        _yes_no("fault", _("Did the fault show?"), NO),
        Field(
            key="soak",
            label=_("Restart after a soak"),
            kind=FieldKind.CHOICE,
            value=NOT_TRIED,
            choices=(
                FieldChoice(key=NOT_TRIED, text=_("Not tried")),
                FieldChoice(key=YES, text=_("It restarted")),
                FieldChoice(key=NO, text=_("It did not")),
            ),
            open_ended=False,
        ),
    )


def read_prove(fields: Mapping[str, str]) -> Draft:
    """A run of the repaired machine. Raises InputError naming the field."""
    text = fields.get("minutes", "").strip()
    try:
        minutes = float(text.replace(",", "."))
    except ValueError:
        minutes = float("nan")
    if not 0.0 < minutes <= MOST_MINUTES:
        raise InputError(
            _("minutes run: '{text}' is not a number of minutes above 0").format(text=brief(text))
        )
    fault = _answer(fields, "fault", _("Did the fault show"), {YES, NO}) == YES
    soak = _answer(fields, "soak", _("Restart after a soak"), {YES, NO, NOT_TRIED})

    def make(stamp: Stamp) -> Entry:
        return Proved(
            stamp=stamp,
            seconds=60.0 * minutes,
            fault=fault,
            soak_restart=None if soak == NOT_TRIED else soak == YES,
        )

    return make


def _yes_no(key: str, label: str, value: str) -> Field:
    return Field(
        key=key, label=label, kind=FieldKind.CHOICE, value=value, choices=_YES_NO, open_ended=False
    )


def _answer(fields: Mapping[str, str], key: str, label: str, allowed: set[str]) -> str:
    given = fields.get(key, "")
    if given not in allowed:
        raise InputError(
            _("{label}: '{given}' is not one of {allowed}").format(
                label=label, given=brief(given), allowed=", ".join(sorted(allowed))
            )
        )
    return given
