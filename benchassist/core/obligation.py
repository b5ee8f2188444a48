"""What must be put back before a visit may close: a stop wire unplugged for a reading."""

from collections.abc import Callable, Iterable

from benchassist.core.entry import Entry, Looked, RunEnded, RunStarted, Taken
from benchassist.core.procedure import Check, Procedure

ANSWERS = (Taken, Looked, RunStarted, RunEnded)


def open_obligations(
    procedure: Procedure,
    entries: Iterable[Entry],
    latest: Callable[[str], Taken | Looked | RunEnded | None],
) -> tuple[Check, ...]:
    """Looks still to be answered by their first answer, after the last reading or run that obliges.

    A reading that was struck since obliges all the same: the wire was off.
    """
    answered_at = {e.check_key: e.stamp.seq for e in entries if isinstance(e, ANSWERS)}
    open_looks: list[Check] = []
    for check in procedure.checks:
        if not check.obliges or check.key not in answered_at:
            continue
        look = procedure.check(check.obliges)
        answer = latest(look.key)
        put_back = (
            isinstance(answer, Looked)
            and answer.answer_key == look.answers[0].key
            and answer.stamp.seq > answered_at[check.key]
        )
        if not put_back and look not in open_looks:
            open_looks.append(look)
    return tuple(open_looks)
