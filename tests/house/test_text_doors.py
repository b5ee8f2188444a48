"""Text comes to the screen by doors that make it plain; nothing of the toolkit reads mark-up."""

import ast
from collections.abc import Iterator
from pathlib import Path

import benchassist

ROOT = Path(benchassist.__file__).parent
DOORS = {"paint/lettering.py", "paint/run_label.py"}
"""Where `drawText` is called, with text that was made plain."""
READ_MARK_UP = frozenset(
    {
        "QErrorMessage",
        "QInputDialog",
        "QLabel",
        "QMessageBox",
        "QStaticText",
        "QTextBrowser",
        "QTextDocument",
        "QTextEdit",
        "QToolTip",
        "QWhatsThis",
        "setHtml",
        "setStatusTip",
        "setToolTip",
        "setWhatsThis",
    }
)


def names_in(path: Path) -> Iterator[tuple[str, int]]:
    """Every name and attribute of a module, with its line."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Attribute):
            yield node.attr, node.lineno
        elif isinstance(node, ast.Name):
            yield node.id, node.lineno
        elif isinstance(node, ast.alias):
            yield node.name, 0


def test_text_is_drawn_by_its_doors_alone() -> None:
    """And each of them calls `plain`."""
    drawing = {
        str(path.relative_to(ROOT))
        for path in ROOT.rglob("*.py")
        if any(name == "drawText" for name, _line in names_in(path))
    }
    assert drawing == DOORS
    for door in DOORS:
        assert any(name == "plain" for name, _line in names_in(ROOT / door))


def test_nothing_reads_mark_up() -> None:
    """No widget that takes a text for HTML by itself, no tip, no dialog of the toolkit's own."""
    found = [
        f"{path.relative_to(ROOT)}:{line}: {name}"
        for path in ROOT.rglob("*.py")
        for name, line in names_in(path)
        if name in READ_MARK_UP
    ]
    assert not found
