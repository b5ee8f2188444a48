"""What is handed to the writer's thread."""

from dataclasses import dataclass
from gettext import gettext as _

from benchassist.storage.ledger import Work
from benchassist.storage.passing import Loss


@dataclass(frozen=True, slots=True)
class Submission:
    """What was handed in together, and its ticket."""

    ticket: int
    work: Work


@dataclass(frozen=True, slots=True)
class Lost:
    """The server is there no more, or not for this program, as somebody has found out."""

    error: Loss


def as_it_is(work: Work) -> Work:
    """Work that goes where it was meant to."""
    return work


def fault(error: Exception) -> str:
    """What an error that nobody foresaw is told as."""
    return _("the program could not write this ({error}): its log says more").format(
        error=type(error).__name__
    )
