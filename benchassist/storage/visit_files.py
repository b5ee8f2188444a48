"""All visits of a shop in a folder of numbered files, a visit in memory at a time.

Each file is an export by itself, small enough to be read back. The folder takes its name when all
of them are in it.
"""

import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from gettext import gettext as _
from pathlib import Path
from types import TracebackType
from typing import IO, Final, Self

from benchassist.core.entry import Entry
from benchassist.core.file_name import is_named
from benchassist.core.visit import VisitHeader
from benchassist.errors import BenchError, InputError
from benchassist.storage.codec import Plain
from benchassist.storage.exchange import BUNDLE_FORMAT, VERSION
from benchassist.storage.reading_sheet import sheets_of
from benchassist.storage.whole_file import UNFINISHED, sync

MOST_BYTES: Final = 64 * 2**20
"""Of a file; one visit alone may be larger."""

HEAD: Final = f'{{\n"format": "{BUNDLE_FORMAT}",\n"version": {VERSION},\n"visits": [\n'
FOOT: Final = "\n]\n}\n"

NAME: Final = "visits-{number:04d}.json"

Progress = Callable[[int, int], None]
"""Is told visits done and visits in all; what it raises ends the export."""


def write_files(
    visit_ids: Sequence[str],
    folder: Path,
    export: Callable[[str], Plain],
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write the export of every visit to numbered files in a new or empty folder.

    Raises InputError for a folder that is in use, BenchError where it cannot be written. What was
    begun is gone then.
    """
    with _finished_folder(folder) as fresh:
        with _Files(fresh) as files:
            for done, visit_id in enumerate(visit_ids, 1):
                files.add(json.dumps(export(visit_id), ensure_ascii=False, allow_nan=False))
                if progress is not None:
                    progress(done, len(visit_ids))
        names = files.names
    return tuple(folder / name for name in names)


def write_sheet(
    visit_ids: Sequence[str],
    file: Path,
    visit: Callable[[str], tuple[VisitHeader, tuple[Entry, ...]]],
    progress: Progress | None = None,
) -> None:
    """Write the taken readings of every visit to a CSV file. Raises BenchError."""
    fresh = file.with_name(f"{file.name}.{os.getpid()}{UNFINISHED}")
    try:
        try:
            with fresh.open("w", encoding="utf-8", newline="") as opened:
                for done, lines in enumerate(sheets_of(map(visit, visit_ids))):
                    opened.write(lines)
                    if progress is not None and done:
                        progress(done, len(visit_ids))
            sync(fresh)
            fresh.replace(file)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        raise _unwritten(file, error) from None


def files_of(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Return the files to import, of a folder those in it: the newest visits first.

    What was said last of a machine is then what stays. Raises InputError for an empty folder.
    """
    files = list[Path]()
    for path in paths:
        if not is_named(str(path)):
            raise InputError(
                _(
                    "{path}...: no file can have such a name, name one that 'visits export' wrote"
                ).format(path=str(path)[:40])
            )
        found = sorted(path.glob("*.json"), reverse=True) if path.is_dir() else [path]
        if not found:
            raise InputError(
                _("{folder}: there is no export in it; name one that 'visits export' wrote").format(
                    folder=path
                )
            )
        files += found
    return tuple(files)


@dataclass(slots=True)
class _Files:
    """The files of a folder, one of them open."""

    folder: Path
    names: list[str] = field(default_factory=list)
    _file: IO[bytes] | None = None
    _size: int = 0

    def add(self, text: str) -> None:
        """A visit goes into the file that is open, or into the next where that would be full."""
        data = text.encode()
        if self._file is not None and self._size + len(data) > MOST_BYTES:
            self._end()
        if self._file is None:
            self._begin()
        else:
            self._write(b",\n")
        self._write(data)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if error is None and not self.names:
            self._begin()
        self._end()

    def _begin(self) -> None:
        self.names.append(NAME.format(number=len(self.names) + 1))
        self._file = (self.folder / self.names[-1]).open("wb")
        self._size = 0
        self._write(HEAD.encode())

    def _end(self) -> None:
        if self._file is not None:
            self._write(FOOT.encode())
            self._file.flush()
            os.fsync(self._file.fileno())
            self._file.close()
            self._file = None

    def _write(self, data: bytes) -> None:
        assert self._file is not None  # noqa: S101 - `_begin` has seen to it
        self._file.write(data)
        self._size += len(data)


@contextmanager
def _finished_folder(folder: Path) -> Iterator[Path]:
    """Write into the folder that is handed out; at the end it takes its name."""
    above = folder.absolute().parent
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(
            _("{folder} is there already: name a new folder, or an empty one").format(folder=folder)
        )
    if not above.is_dir():
        raise InputError(
            _("there is no folder {folder}: make it first, or choose another").format(folder=above)
        )
    fresh = above / f"{folder.name}.{os.getpid()}{UNFINISHED}"
    try:
        fresh.mkdir()
        try:
            yield fresh
            if folder.exists():
                folder.rmdir()
            fresh.rename(folder)
            sync(above)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
    except OSError as error:
        raise _unwritten(folder, error) from None


def _unwritten(path: Path, error: OSError) -> BenchError:
    return BenchError(_("{path}: cannot be written ({why})").format(path=path, why=error.strerror))
