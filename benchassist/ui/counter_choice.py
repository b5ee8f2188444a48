"""What of the counter can be selected, what is at first, and what stands where nothing is."""

from benchassist.services.desk import CounterView
from benchassist.services.translation import _
from benchassist.ui.page import Turn


def selectable(view: CounterView) -> tuple[str, ...]:
    """Ids that Up and Down go through: of machines found, then of open visits."""
    machines = tuple(card.machine_id for card in view.machines)
    return (*machines, *(slip.visit_id for slip in view.slips))


def first_choice(view: CounterView) -> str:
    """The machine that fits best, else the first visit that nobody else has on; may be empty."""
    free = tuple(slip.visit_id for slip in view.slips if not slip.elsewhere)
    machines = tuple(card.machine_id for card in view.machines)
    return next(iter((*machines, *free, *selectable(view))), "")


def came_free(before: CounterView, now: CounterView) -> bool:
    """Whether what was refused may be possible by now: a visit is free, or the server is there."""
    if before.nothing_text and not now.nothing_text:
        return True
    held = {slip.visit_id for slip in before.slips if slip.elsewhere}
    return any(slip.visit_id in held and not slip.elsewhere for slip in now.slips)


def empty_text(view: CounterView, *, asked: str) -> str:
    """What stands where no machine shows."""
    if asked:
        return view.nothing_text or _("No machine found. F2 makes a new card.")
    return _("Scan a tag or type. The machine and its last visit show here.")


def file_of(view: CounterView, selected: str) -> Turn | str:
    """The file of the machine selected, or of the open visit's; else which machine to name."""
    machines = [card.machine_id for card in view.machines]
    if selected in machines:
        return Turn(page="machine", machine_id=selected)
    if selected:
        return Turn(page="machine", visit_id=selected)
    if len(machines) == 1:
        return Turn(page="machine", machine_id=machines[0])
    if machines:
        return _("Select the machine first: Down. Then F9 opens its file.")
    return _("No machine is shown. Type part of its tag, a name or a phone number.")
