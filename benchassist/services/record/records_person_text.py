"""A customer's personal data in words: what is held, what goes, what stays, what has it still."""

from datetime import datetime

from benchassist.core.holding import Holding, Mention, PersonalData
from benchassist.core.trace import ERASED
from benchassist.services.record.records_need import ErasedReport
from benchassist.services.record.records_text import moment_text, named, short, visits_text
from benchassist.services.record.records_view import RecordRow, SheetView
from benchassist.services.translation import _, ngettext


def person_row(holding: Holding) -> RecordRow:
    """A machine of a customer who was looked for."""
    machine = holding.machine
    return RecordRow(
        key=machine.id,
        title=short(", ".join(holding.names)) or _("nobody named"),
        detail=short(" · ".join(t for t in (machine.unit, machine.engine, *holding.phones) if t)),
        value=_("tag {tag}").format(tag=machine.tag),
        note=visits_text(holding.visits),
    )


def held_sheet(holding: Holding, elsewhere: tuple[Mention, ...]) -> SheetView:
    """What goes and what stays."""
    on_file = _("{n} of {all} visits name them").format(n=holding.headers, all=holding.visits)
    goes = [
        (_("Name"), short(", ".join(holding.names)) or _("none")),
        (_("Phone"), short(", ".join(holding.phones)) or _("none")),
        (_("On file"), on_file),
        (_("In words people typed"), _mentions_text(holding.mentions)),
        (
            _("Photos"),
            ngettext("{n} photo", "{n} photos", holding.photos).format(n=holding.photos),
        ),
    ]
    if elsewhere:
        goes.append((_("Named at other machines’ visits"), _mentions_text(elsewhere)))
    goes.append(
        (_("Stays"), _("tag, machine, engine, serial number, every reading, verdict and date"))
    )
    tag = _("tag {tag}").format(tag=holding.machine.tag)
    return SheetView(title=_("Held of them"), remark=tag, pairs=tuple(goes))


def _mentions_text(mentions: tuple[Mention, ...]) -> str:
    if not mentions:
        return _("nowhere")
    places = dict.fromkeys(m.slip_number or _("the machine’s card") for m in mentions)
    texts = ngettext("{n} text", "{n} texts", len(mentions)).format(n=len(mentions))
    return f"{texts}: {named(tuple(places))}"


def found_text(words: str, found: PersonalData | None) -> str:
    """How many machines of theirs there are."""
    if found is None:
        return _("A name or a phone number, or part of it. Enter looks")
    count = len(found.holdings)
    if not count:
        return _("Nobody of that name or number: ‘{words}’").format(words=short(words))
    return ngettext("{n} machine", "{n} machines", count).format(n=count)


def erased_lines(report: ErasedReport, now: datetime) -> tuple[str, ...]:
    """What was erased, and what still holds it."""
    erased = report.erased
    visits = visits_text(erased.visits)
    texts = ngettext("{n} text", "{n} texts", erased.words).format(n=erased.words)
    lines = [
        _("Erased at {visits}; {texts} now read {mark}").format(
            visits=visits, texts=texts, mark=ERASED
        )
    ]
    if erased.photos:
        lines.append(
            ngettext("{n} photo removed", "{n} photos removed", len(erased.photos)).format(
                n=len(erased.photos)
            )
        )
    if erased.shared:
        lines.append(
            ngettext(
                "{n} photo stays: another machine has it too",
                "{n} photos stay: another machine has them too",
                erased.shared,
            ).format(n=erased.shared)
        )
    lines += report.notes
    lines += backup_lines(report, now)
    lines.append(unreached_text())
    return tuple(lines)


def backup_lines(report: ErasedReport, now: datetime) -> list[str]:
    """Which backups were removed, and which still hold it, by name and date."""
    lines = list[str]()
    if report.removed:
        lines.append(
            ngettext(
                "{n} backup from before is removed, one of now is made",
                "{n} backups from before are removed, one of now is made",
                report.removed,
            ).format(n=report.removed)
        )
    lines += [
        _("Still in the backup of {moment}, until newer ones push it out: {file}").format(
            moment=moment_text(backup.moment, now), file=backup.file.name
        )
        for backup in report.backups
    ]
    return lines


def unreached_text() -> str:
    """What no erasure here reaches."""
    return _(
        "Not reached: slips and exports given away, copies elsewhere that are not named, photos "
        "and journals on other benches’ computers"
    )
