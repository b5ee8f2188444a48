"""Fields one after the other, whatever page they stand on: what is in them, which has the focus."""

from collections.abc import Mapping, Sequence

from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox

Box = FieldBox | ChoiceBox


def key_of(box: Box) -> str:
    """The key of the field a box stands for."""
    return box.field.key if isinstance(box, ChoiceBox) else box.value.key


def answer_of(box: Box) -> str:
    """What is written or chosen in it."""
    return box.value.key if isinstance(box, ChoiceBox) else box.field.text().strip()


def hint_of(box: Box) -> str:
    """What its field is for."""
    return box.field.hint if isinstance(box, ChoiceBox) else box.value.hint


def values_of(boxes: Sequence[Box]) -> Mapping[str, str]:
    """What is written and chosen so far, by the fields' keys."""
    return {key_of(box): answer_of(box) for box in boxes}


def here_in(boxes: Sequence[Box]) -> int:
    """The place of the field that has the focus; -1 where none has."""
    return next((i for i, box in enumerate(boxes) if box.hasFocus()), -1)


def focus_on(boxes: Sequence[Box], to: int) -> bool:
    """Give the field at that place the focus, its text selected; False past the last one."""
    if to >= len(boxes):
        return False
    box = boxes[to]
    box.setFocus()
    if isinstance(box, FieldBox):
        box.field.selectAll()
    for each in boxes:
        each.update()
    return True
