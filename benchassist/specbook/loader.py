"""Profile files to sheets: the shipped folder first, then the shop's own, which replaces by key.

A file is parsed by the standard library; tomlkit comes in only when a fault needs its line.
"""

import re
import tomllib
from collections.abc import Container, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from benchassist.core.plain_text import brief
from benchassist.errors import ProfileError
from benchassist.specbook.cause_sheet import CauseBookSheet, EvidenceSheet
from benchassist.specbook.fault import Fault, Where, _, unknown
from benchassist.specbook.sheet import (
    CautionSheet,
    CheckSheet,
    ComplaintSheet,
    EngineSheet,
    MeterSheet,
    ProcedureSheet,
    QuestionSheet,
    Sheet,
)
from benchassist.specbook.shelf import Drawer, Filed, Shelf
from benchassist.specbook.structure import structured

MOST_BYTES: Final = 4 * 2**20
"""Of one file; none that is shipped has a hundredth of it."""

KINDS: Final[Mapping[str, type[Sheet]]] = MappingProxyType(
    {
        "engines": EngineSheet,
        "checks": CheckSheet,
        "procedures": ProcedureSheet,
        "complaints": ComplaintSheet,
        "questions": QuestionSheet,
        "meters": MeterSheet,
        "cautions": CautionSheet,
        "evidence": EvidenceSheet,
        "causes": CauseBookSheet,
    }
)
"""Folder to what its files hold."""

LISTS: Final = MappingProxyType(
    {
        "checks": "check",
        "questions": "question",
        "cautions": "caution",
        "evidence": "evidence",
    }
)
"""Folders whose files hold many: `[[caution]]` and so on."""


def shipped_folder() -> Path:
    """The profiles that came with the program: inside an installed package, beside a source tree.

    Raises ProfileError where neither is there.
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "profiles", package.parent / "profiles"):
        if (folder / "procedures").is_dir():
            return folder
    missing = _("the profiles that belong to the program are missing: install it again")
    raise ProfileError((f"{package / 'profiles'}:1: {missing}",))


def gathered(shipped: Path, own: Path | None = None, *, leave_out: Container[Path] = ()) -> Shelf:
    """Every sheet under `shipped`, with those of the shop's folder or file put over them.

    Faults stay on the shelf; a faulty file leaves its other sheets usable.
    """
    shelf = Shelf()
    for path in _files(shipped, shelf):
        _read(path, shelf, own=False)
    return shelf if own is None else laid_over(shelf, own, leave_out=leave_out)


def laid_over(
    shipped: Shelf,
    own: Path,
    *,
    leave_out: Container[Path] = (),
    instead: Mapping[Path, str | None] = MappingProxyType({}),
) -> Shelf:
    """A shelf with the sheets of the shop's folder or file put over it; `shipped` stays as it is.

    `instead` holds what a file is to say in place of what it says on disk; None: it is not there.
    """
    shelf = shipped.copy()
    there = [own] if own.is_file() else _files(own, shelf) if own.is_dir() else []
    for path in sorted({*there, *instead}):
        text = instead.get(path)
        if path not in leave_out and not (path in instead and text is None):
            _read(path, shelf, own=True, text=text)
    return shelf


def _files(folder: Path, shelf: Shelf) -> list[Path]:
    """The TOML files of the known folders; a file anywhere else is a fault, not a silence."""
    found: list[Path] = []
    for path in sorted(folder.rglob("*.toml")):
        kind = path.relative_to(folder).parts[0]
        if kind in KINDS and path.parent == folder / kind:
            found.append(path)
        else:
            message = unknown(_("folder"), path.parent.name, KINDS)
            if path.parent == folder:
                message = _("put it into one of the folders {names}").format(names=", ".join(KINDS))
            shelf.faults.append(Fault(path, (), message))
    return found


def _read(path: Path, shelf: Shelf, *, own: bool, text: str | None = None) -> None:
    kind = path.parent.name
    if kind not in KINDS:
        shelf.faults.append(Fault(path, (), unknown(_("folder"), kind, KINDS)))
        return
    parsed = _parsed(path, shelf, text)
    if parsed is None:
        return
    drawer: Drawer[Any] = getattr(shelf, kind)
    for where, table in _tables(path, kind, parsed, shelf):
        sheet = structured(table, KINDS[kind])
        if isinstance(sheet, tuple):
            shelf.faults += [Fault(path, (*where, *inner), told) for inner, told in sheet]
            continue
        filed: Filed[Sheet] = Filed(sheet, path, where, own)
        before = drawer.get(sheet.key)
        if before is not None and before.own is own:
            message = _("the key '{key}' is already used in {file}").format(
                key=brief(sheet.key), file=before.path.name
            )
            shelf.faults.append(filed.fault(message, "key"))
            continue
        drawer[sheet.key] = filed


def _tables(
    path: Path, kind: str, parsed: dict[str, Any], shelf: Shelf
) -> Iterator[tuple[Where, object]]:
    """The tables of a file that are sheets of their own."""
    name = LISTS.get(kind)
    if name is None:
        yield (), parsed
        return
    for key in parsed:
        if key != name:
            shelf.faults.append(Fault(path, (key,), unknown(_("key"), key, [name])))
    tables = parsed.get(name, [])
    if not isinstance(tables, list):
        message = _("must be written [[{name}]]").format(name=name)
        shelf.faults.append(Fault(path, (name,), message))
        return
    for number, table in enumerate(tables):
        yield (name, number), table


def _parsed(path: Path, shelf: Shelf, text: str | None) -> dict[str, Any] | None:
    shelf.texts[path] = ""
    if text is None and (fault := _no_sheet(path)):
        shelf.faults.append(Fault(path, (), fault, line=1))
        return None
    try:
        text = path.read_text(encoding="utf-8") if text is None else text
    except UnicodeDecodeError:
        shelf.faults.append(Fault(path, (), _("is not UTF-8 text: save it as UTF-8"), line=1))
        return None
    except OSError as error:
        message = _("cannot be read: {why}").format(why=error.strerror or error)
        shelf.faults.append(Fault(path, (), message, line=1))
        return None
    shelf.texts[path] = text
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        shelf.faults.append(_syntax_fault(path, text, str(error)))
        return None
    except (ValueError, RecursionError):  # a number or a nesting that the parser itself gives up on
        message = _("cannot be read: a number is too long, or lists are nested too deep")
        shelf.faults.append(Fault(path, (), message, line=1))
        return None


def _no_sheet(path: Path) -> str:
    """Why a file is not even opened; empty where it may be. A pipe would be waited at for ever."""
    try:
        if path.exists() and not path.is_file():
            return _("cannot be read: it is no file")
        if path.exists() and path.stat().st_size > MOST_BYTES:
            return _("cannot be read: it is larger than {n} MB").format(n=MOST_BYTES // 2**20)
    except OSError as error:
        return _("cannot be read: {why}").format(why=error.strerror or error)
    return ""


def _syntax_fault(path: Path, text: str, message: str) -> Fault:
    """The parser's words, its position taken out and made the fault's line."""
    position = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", message)
    line = text.count("\n") + 1
    if position and position[1]:
        line = int(position[1])
    said = message[: position.start()] if position else message
    if said.startswith(("Cannot overwrite", "Cannot declare")):
        said = _("this key or table stands here twice")
    return Fault(path, (), _("is not TOML: {said}").format(said=said), line=line)
