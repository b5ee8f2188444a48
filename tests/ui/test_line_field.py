"""A field: what is typed or pasted into it, and what was only put there."""

import pytest
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from benchassist.core.plain_text import is_kept, plain
from benchassist.ui.entry import LineField
from tests.hostile import HOSTILE


@pytest.fixture
def field(qtbot: QtBot) -> LineField:
    """Return a field."""
    made = LineField()
    qtbot.addWidget(made)
    return made


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_pasted_comes_out_on_one_line(field: LineField, name: str) -> None:
    """Without what cannot be seen, and as it is otherwise."""
    QGuiApplication.clipboard().setText(HOSTILE[name])
    field.paste()
    field.insert("!")
    said = field.text()
    assert "\n" not in said
    assert is_kept(said)
    if len(said) < 1000 and name != "marks":
        assert plain(said) == said


@pytest.mark.parametrize("name", HOSTILE)
def test_what_was_put_in_and_not_touched_comes_out_as_it_was(field: LineField, name: str) -> None:
    """To the last sign, however long; what is seen of it is plain."""
    field.setText(HOSTILE[name])
    assert field.text() == HOSTILE[name]
    assert field.displayText() == plain(HOSTILE[name])
    field.setText("")
    assert field.text() == ""
