"""The interview that opens a visit: one question a screen, answered by keys, any may be skipped."""

from PySide6.QtWidgets import QWidget

from benchassist.services.bench.view import KeyHint
from benchassist.services.desk import (
    COMPLAINT,
    CounterDesk,
    Field,
    FieldKind,
    MachineFileDesk,
)
from benchassist.services.translation import _
from benchassist.ui.answers import Answers
from benchassist.ui.bench_layout import MARGIN, Place
from benchassist.ui.bench_part import Heading, Title
from benchassist.ui.field_box import FieldBox, choices_of
from benchassist.ui.frame import Bar, Keys
from benchassist.ui.last_visit import LEAST, LastShown, LastVisit, last_of
from benchassist.ui.look import Look
from benchassist.ui.message import Message
from benchassist.ui.page import Page, Turn
from benchassist.ui.paper import Sheet, SheetShown
from benchassist.ui.slip_part import SLIP_SHARE

NOTHING = Field(key="", label="")


class InterviewPage(Page):
    """Questions on the right, what was said so far on the left."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk: CounterDesk | None = None
        self._machine_id = ""
        self._questions: tuple[Field, ...] = ()
        self._said: dict[str, str] = {}
        self._at = 0
        self._file: MachineFileDesk | None = None
        self.sheet = Sheet(self)
        self.last = LastVisit(self)
        self.title = Title(self)
        self.message = Message(self)
        self.box = FieldBox(NOTHING, self, px=34)
        self.answers = Answers(self)
        self.answers.chosen.connect(self.press)
        self.box.field.entered.connect(self._answer)
        self.box.field.left.connect(lambda: self.turned.emit(Turn(page="counter")))
        self.box.field.moved.connect(lambda by: self._skip() if by > 0 else self._back())

    @property
    def question(self) -> Field:
        """What is being asked."""
        return self._questions[self._at] if self._questions else NOTHING

    def open(self, desk: CounterDesk) -> None:
        """The desk behind the questions."""
        self._desk = desk

    def ask(self, machine_id: str, file: MachineFileDesk | None = None) -> None:
        """Begin the interview for a machine; its last visit shows beside the questions."""
        if self._desk is None:
            return
        self._file = file
        self.last.put(LastShown())
        self._machine_id, self._said, self._at, self.problem = machine_id, {}, 0, ""
        self._questions = self._desk.interview(machine_id, {})
        self._show()

    def entered(self) -> None:
        """Ready to answer."""
        self._show()

    def refresh(self) -> None:
        """Take in what the store says, and the machine's file once it is read."""
        if self._desk is not None:
            self._desk.tick()
        if self._file is not None:
            self._file.tick()
            last = last_of(self._file.view().file)
            if last != self.last.value:
                self.last.put(last)
                self.place()

    # --- answering -----------------------------------------------------------------------------

    def press(self, press: str) -> bool:
        """Keys while no field has the focus."""
        question = self.question
        choices = question.choices
        if press == "Esc":
            self.turned.emit(Turn(page="counter"))
        elif press in {"Left", "Up"}:
            self._back()
        elif press in {"Right", "Down", "Enter"}:
            self._skip()
        elif press.isdecimal() and 0 < int(press) <= len(choices):
            self._answer(choices[int(press) - 1].key)
        else:
            return False
        return True

    def perform(self, action: str) -> None:
        """The strip's keys."""
        match action:
            case "answer" if self.question.kind is not FieldKind.CHOICE:
                self._answer(self.box.field.text())
            case "skip":
                self._skip()
            case "before":
                self._back()

    def _answer(self, text: str) -> None:
        desk, question = self._desk, self.question
        if desk is None:
            return
        said = text.strip()
        if not said:
            self._said.pop(question.key, None)
            if not question.open_ended:
                self.problem = _("This one has to be answered.")
                self._show()
                return
        else:
            self._said[question.key] = said
        self.problem = ""
        if question.key == COMPLAINT:
            self._questions = desk.interview(self._machine_id, dict(self._said))
        self._next()

    def _skip(self) -> None:
        if self.question.kind is FieldKind.CHOICE:
            if not self.question.open_ended and self.question.key not in self._said:
                self.problem = _("This one has to be answered: press its number.")
                self._show()
                return
            self.problem = ""
            self._next()
        else:
            self._answer(self.box.field.text())

    def _next(self) -> None:
        if self._at + 1 < len(self._questions):
            self._at += 1
            self._show()
            return
        desk = self._desk
        if desk is None:
            return
        opened = self.outcome_of(lambda: desk.open_visit(self._machine_id, dict(self._said)))
        if opened is not None:
            self.turned.emit(Turn(page="bench", visit_id=opened))
        else:
            self._show()

    def _back(self) -> None:
        self.problem = ""
        if self._at:
            self._at -= 1
        self._show()

    # --- view ----------------------------------------------------------------------------------

    def _show(self) -> None:
        question = self.question
        choosing = question.kind is FieldKind.CHOICE
        count = len(self._questions)
        step = _("Question {n} of {count}").format(n=self._at + 1, count=count)
        self.title.put(Heading(question.label, step if count > 1 else _("First question")))
        said = self._said.get(question.key, question.value)
        hint = question.hint
        if question.kind is FieldKind.MINUTES:
            hint = hint or _("minutes")
        self.box.put(Field(key=question.key, label=hint or _("in the customer’s words")))
        if not choosing:
            self.box.field.setText(said)
        self.answers.put((question.hint, choices_of(question, said)) if choosing else ("", ()))
        pairs = tuple((q.label, self._shown(q)) for q in self._questions[: self._at + 1])
        self.sheet.put(SheetShown(title=_("New visit"), remark=_("goes on the slip"), pairs=pairs))
        self.message.put(self.problem)
        self.place()
        if choosing:
            self.setFocus()
        else:
            self.box.field.setFocus()
            self.box.field.selectAll()
        self._show_frame(choosing=choosing)

    def _shown(self, question: Field) -> str:
        said = self._said.get(question.key, "")
        if question.kind is FieldKind.CHOICE:
            return next((c.text for c in question.choices if c.key == said), "")
        if question.kind is FieldKind.MINUTES and said:
            return _("{n} min").format(n=said)
        return said

    def _show_frame(self, *, choosing: bool) -> None:
        last = self._at + 1 >= len(self._questions)
        enter = _("Open the visit") if last else _("Next")
        before = KeyHint(press="Up", text=_("Question before"), action="before")
        hints = [
            KeyHint(press="Enter", text=enter, action="answer", main=True),
            KeyHint(press="Down", text=_("Skip"), action="skip"),
            *((before,) if self._at else ()),
            KeyHint(press="Esc", text=_("Counter"), action="counter"),
            KeyHint(press="F1", text=_("Keys"), action="help"),
        ]
        if choosing:
            count = len(self.question.choices)
            hints[0] = KeyHint(press=f"1-{count}", text=_("Answer"), action="", main=True)
        note = "" if self.question.open_ended else _("Has to be answered")
        self.show_frame(Bar(place=_("New visit")), Keys(hints=tuple(hints), note=note))

    def place(self) -> None:
        """The question at the top, its answers or its line below."""
        look = self.look
        high = self.height() / look.s
        left = self.units_wide * SLIP_SHARE
        x, wide = left + MARGIN, self.units_wide - left - 2 * MARGIN
        free = high - self.sheet.needs(left)
        below = min(self.last.needs(left), free)
        below = below if below >= LEAST else 0.0
        self.last.setVisible(below > 0.0)
        self.last.setGeometry(look.rect(Place(0, high - below, left, max(1.0, below))))
        self.sheet.setGeometry(look.rect(Place(0, 0, left, high - below)))
        self.message.lay(Place(x, 4, wide, 32), spare=62)
        self.message.setVisible(bool(self.problem))
        self.title.setGeometry(look.rect(Place(x, 44, wide, 54)))
        choosing = self.question.kind is FieldKind.CHOICE
        self.answers.setVisible(choosing)
        self.answers.setGeometry(look.rect(Place(x, 116, wide, high - 116 - 24)))
        self.box.setVisible(not choosing)
        self.box.setGeometry(look.rect(Place(x, 124, wide, 98)))

    def dress(self, look: Look) -> None:
        """Dress every part and place it."""
        super().dress(look)
        for part in (self.sheet, self.last, self.title, self.message, self.box, self.answers):
            part.dress(look)
        self.place()
