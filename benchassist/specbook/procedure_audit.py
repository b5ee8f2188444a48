"""What the checks of a procedure must hold together: all there, each once, and put back in time."""

from collections.abc import Iterator, Mapping
from itertools import chain

from benchassist.core.plain_text import brief
from benchassist.core.procedure import CheckKind
from benchassist.specbook.check_audit import faults_of_check
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.fitting import picked
from benchassist.specbook.sheet import CheckSheet, ProcedureSheet
from benchassist.specbook.shelf import Filed, Shelf


def faults_of_library(filed: Filed[CheckSheet], shelf: Shelf) -> Iterator[Fault]:
    """Every fault of a check that procedures pick: its own, and names that stand for no check."""
    check = filed.sheet
    yield from faults_of_check(filed, (), check, shelf)
    named: list[tuple[Where, str]] = [
        (("sum_of", number), key) for number, key in enumerate(check.sum_of)
    ]
    if check.obliges:
        named.append((("obliges",), check.obliges))
    for where, key in named:
        if key not in shelf.checks:
            yield filed.fault(unknown(_("check"), key, shelf.checks), *where)


def faults_of_procedure(filed: Filed[ProcedureSheet], shelf: Shelf) -> Iterator[Fault]:
    """Every fault of a procedure: its own checks, what it picks, and what one asks of another."""
    procedure = filed.sheet
    if not procedure.check and not procedure.checks:
        message = _("a procedure needs at least one check: name it in checks, or write [[check]]")
        yield filed.fault(message, "checks")
    seen: set[str] = set()
    for number, check in enumerate(procedure.check):
        if check.key in seen:
            message = _("the check '{key}' stands here twice").format(key=brief(check.key))
            yield filed.fault(message, "check", number, "key")
        seen.add(check.key)
        yield from faults_of_check(filed, ("check", number), check, shelf)
    library = shelf.library()
    yield from _faults_of_picking(filed, library)
    checks = {check.key: check for check in picked(procedure, library)}
    for check in checks.values():
        yield from _faults_of_asking(filed, check, checks)


def _faults_of_picking(
    filed: Filed[ProcedureSheet], library: Mapping[str, CheckSheet]
) -> Iterator[Fault]:
    """Names that stand for nothing or stand twice, and checks that nobody picks."""
    names = filed.sheet.checks
    own = [check.key for check in filed.sheet.check]
    for number, key in enumerate(names):
        if key in names[:number]:
            message = _("the check '{key}' stands here twice").format(key=brief(key))
            yield filed.fault(message, "checks", number)
        if key not in own and key not in library:
            message = unknown(_("check"), key, chain(own, library))
            yield filed.fault(message, "checks", number)
    for number, key in enumerate(own):
        if names and key not in names:
            message = _("'{key}' is never worked: name it in checks").format(key=brief(key))
            yield filed.fault(message, "check", number, "key")


def _faults_of_asking(
    filed: Filed[ProcedureSheet], check: CheckSheet, checks: Mapping[str, CheckSheet]
) -> Iterator[Fault]:
    """What a check asks of the others: a look that comes later, two parts of a sum."""
    if check.obliges:
        where = _place(filed.sheet, check.key, "obliges")
        obliged = checks.get(check.obliges)
        order = [*checks]
        if obliged is None:
            yield filed.fault(_not_here(check, check.obliges, checks), *where)
        elif obliged.kind is not CheckKind.LOOK:
            message = _("'{key}' is no look: only a look can be obliged")
            yield filed.fault(message.format(key=brief(obliged.key)), *where)
        elif order.index(obliged.key) < order.index(check.key):
            message = _("'{key}' must come after the check that obliges it: '{check}'")
            yield filed.fault(
                message.format(key=brief(obliged.key), check=brief(check.key)), *where
            )
    for number, key in enumerate(check.sum_of):
        if key not in checks:
            where = _place(filed.sheet, check.key, "sum_of", number)
            yield filed.fault(_not_here(check, key, checks), *where)


def _not_here(check: CheckSheet, key: str, checks: Mapping[str, CheckSheet]) -> str:
    message = _("'{check}' needs '{key}' in the same procedure").format(
        check=brief(check.key), key=brief(key)
    )
    return f"{message}; {unknown(_('check'), key, checks)}"


def _place(procedure: ProcedureSheet, key: str, *within: str | int) -> Where:
    """Where to point for a check: into the procedure's own one, else at the name that picks it."""
    for number, check in enumerate(procedure.check):
        if check.key == key:
            return ("check", number, *within)
    return ("checks", procedure.checks.index(key))
