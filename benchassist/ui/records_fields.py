"""The fields of the records' page: what is written in them, and the way from one to another."""

from collections.abc import Mapping

from benchassist.services.desk import RecordsStage
from benchassist.services.record.records_view import TYPED
from benchassist.ui.choice_box import ChoiceBox
from benchassist.ui.field_box import FieldBox
from benchassist.ui.field_column import focus_on, here_in, key_of, values_of
from benchassist.ui.records_board import RecordsBoard


class RecordsFields(RecordsBoard):
    """The board with fields that are wired; what is done with them is the subclass's."""

    def submit(self) -> None:
        """Do what the fields ask for."""
        raise NotImplementedError

    def look_or_choose(self) -> None:
        """Enter in the search."""
        raise NotImplementedError

    def step(self, by: int) -> None:
        """The cursor of the list goes down, or up where negative."""
        raise NotImplementedError

    def leave(self) -> None:
        """One step back."""
        raise NotImplementedError

    def typed(self) -> None:
        """Something was written: what was wrong with it is old."""
        raise NotImplementedError

    def wire(self) -> None:
        """The fields that have just been taken up."""
        for i, box in enumerate(self.boxes):
            if isinstance(box, ChoiceBox):
                box.chosen.connect(lambda key, b=box: self._answer(b, key))
                continue
            box.field.setAcceptDrops(False)  # a file dropped on it is the page's
            box.field.entered.connect(lambda _text, i=i: self.enter(i))
            box.field.moved.connect(lambda by, i=i: self._moved(i, by))
            box.field.left.connect(self.leave)
            box.field.textChanged.connect(lambda _text: self.typed())

    def focus_moved(self) -> None:
        """Other keys mean something there."""
        self.show_keys()

    def focus(self) -> None:
        """The field that must be written; the others stand as they are most often wanted."""
        written = [i for i, box in enumerate(self.boxes) if isinstance(box, FieldBox)]
        confirming = [i for i in written if key_of(self.boxes[i]) == TYPED]
        if self.boxes:
            focus_on(self.boxes, next(iter(confirming or written), 0))
        else:
            self.setFocus()

    @property
    def values(self) -> Mapping[str, str]:
        """What is written and chosen."""
        return values_of(self.boxes)

    def enter(self, place: int) -> None:
        """Enter in a field: the next one, past the last do it; in the search, look or choose."""
        if self.shown.stage is RecordsStage.FIND:
            self.look_or_choose()
        elif not focus_on(self.boxes, place + 1):
            self.submit()

    def _moved(self, place: int, by: int) -> None:
        if self.shown.stage is RecordsStage.FIND:
            self.step(by)
        else:
            focus_on(self.boxes, max(0, min(place + by, len(self.boxes) - 1)))

    @staticmethod
    def _answer(box: ChoiceBox, key: str) -> None:
        box.choose(key)
        box.setFocus()

    def press_form(self, press: str) -> bool:
        """Keys that the field with the focus has no use for."""
        here = here_in(self.boxes)
        box = self.boxes[here] if here >= 0 else None
        if press == "Ctrl+Enter":
            self.submit()
        elif press == "Enter":
            self.enter(here)
        elif press in {"Up", "Down"}:
            step = here + (1 if press == "Down" else -1)
            focus_on(self.boxes, max(0, min(step, len(self.boxes) - 1)))
        else:
            return isinstance(box, ChoiceBox) and box.choose_by(press)
        return True
