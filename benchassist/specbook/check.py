"""`specs check`: every fault of the shipped profiles, or of a shop's over them."""

from pathlib import Path

from benchassist.errors import InputError
from benchassist.specbook.audit import faults_of
from benchassist.specbook.fault import _, told
from benchassist.specbook.loader import gathered, shipped_folder


def check(path: Path | None = None) -> tuple[str, ...]:
    """Every fault as `file:line: message`; empty where there is none.

    `path` is a folder of profiles, or one file in a folder such as engines/, read over the shipped
    profiles so that it may refer to them. Without it the shipped ones are checked. Raises
    InputError where there is nothing at `path`.
    """
    if path is not None and not path.exists():
        message = _("{path}: there is no such file or folder of profiles").format(path=path)
        raise InputError(message)
    shelf = gathered(shipped_folder(), path)
    return told(faults_of(shelf), shelf.texts)
