"""Fields one after the other, whatever page they stand on: what is in them, which has the focus."""

from collections.abc import Callable, Mapping, Sequence

from benchassist.services.bench.view import KeyHint
from benchassist.services.translation import _
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


def wire(
    boxes: Sequence[Box],
    *,
    go: Callable[[int], object],
    leave: Callable[[], object],
    changed: Callable[[], object],
) -> None:
    """What boxes just made tell their page: to which place to `go`, to `leave`, what `changed`."""
    for i, box in enumerate(boxes):
        if isinstance(box, ChoiceBox):
            box.chosen.connect(lambda key, box=box: _choose(box, key, changed))
            continue
        box.field.entered.connect(lambda _text, i=i: go(i + 1))
        box.field.moved.connect(lambda by, i=i: go(max(0, i + by)))
        box.field.left.connect(leave)
        box.field.textChanged.connect(lambda _text: changed())


def _choose(box: ChoiceBox, key: str, changed: Callable[[], object]) -> None:
    """An answer that was clicked."""
    box.choose(key)
    box.setFocus()
    changed()


def column_hints(boxes: Sequence[Box], *, before: str, choose: str = "") -> tuple[KeyHint, ...]:
    """Keys that mean something at the field with the focus: its answers, the field before.

    `before` is the action of the second; `choose` what the first is called, if not that.
    """
    here = here_in(boxes)
    box = boxes[here] if here >= 0 else None
    answers = len(box.field.choices) if isinstance(box, ChoiceBox) else 0
    hints = (
        KeyHint(press=f"1-{min(answers, 9)}", text=choose or _("Choose"), action=""),
        KeyHint(press="Up", text=_("Field before"), action=before),
    )
    return tuple(h for h, there in zip(hints, (answers > 1, here > 0), strict=True) if there)


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
