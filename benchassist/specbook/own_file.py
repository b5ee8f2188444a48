"""The shop's files on disk: read, and replaced in one step."""

import os
from pathlib import Path

from benchassist.errors import StoreError
from benchassist.specbook.fault import _


def changed_elsewhere(path: Path) -> str:
    """What to say of a file that is not as it was read."""
    message = _("{file} was changed elsewhere and is read anew: look at it, then do it again")
    return message.format(file=path)


def read_file(path: Path) -> str | None:
    """What a file says; None where there is none, nothing where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError):
        return ""


def replace_file(path: Path, text: str | None) -> None:
    """Put a text in the place of a file in one step, or take the file away. Raises StoreError."""
    try:
        if text is None:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_name(f".{path.name}.new")
        with fresh.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        message = _("{file} cannot be written ({why})")
        raise StoreError(message.format(file=path, why=error.strerror)) from None
