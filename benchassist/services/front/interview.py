"""The interview that opens a visit: which questions are asked, and what is kept of the answers."""

from collections.abc import Mapping, Sequence

from benchassist.core.entry import Interview
from benchassist.core.plain_text import brief
from benchassist.core.procedure import Complaint, Question
from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.services.desk import COMPLAINT, Field, FieldChoice, FieldKind
from benchassist.services.translation import _
from benchassist.services.typed_line import LONGEST_WORDS, line_of

WORDS = "words"
LONGEST_MINUTES = 100_000.0


def fields_of(complaints: Sequence[Complaint], answers: Mapping[str, str]) -> tuple[Field, ...]:
    """The complaint alone until it is answered, then the words and the complaint's questions."""
    first = Field(
        key=COMPLAINT,
        label=_("What does it do?"),
        kind=FieldKind.CHOICE,
        choices=tuple(FieldChoice(key=c.key, text=c.name) for c in complaints),
        value=answers.get(COMPLAINT, ""),
        open_ended=False,
    )
    chosen = _chosen(complaints, answers)
    if chosen is None:
        return (first,)
    words = Field(
        key=WORDS,
        label=_("In the customer’s words"),
        hint=_("such as: quits after about 25 min, restarts when cool"),
        value=answers.get(WORDS, ""),
    )
    return (first, words, *(_field(question, answers) for question in chosen.questions))


def _chosen(complaints: Sequence[Complaint], answers: Mapping[str, str]) -> Complaint | None:
    return next((c for c in complaints if c.key == answers.get(COMPLAINT)), None)


def _field(question: Question, answers: Mapping[str, str]) -> Field:
    kind = FieldKind.WORDS
    if question.answers:
        kind = FieldKind.CHOICE
    elif question.quantity is Quantity.DURATION:
        kind = FieldKind.MINUTES
    return Field(
        key=question.key,
        label=question.text,
        kind=kind,
        choices=tuple(FieldChoice(key=a.key, text=a.text) for a in question.answers),
        value=answers.get(question.key, ""),
    )


def interview_of(
    complaints: Sequence[Complaint], answers: Mapping[str, str]
) -> tuple[Complaint, Interview]:
    """The complaint and what the visit keeps. Raises InputError naming the answer that is wrong."""
    complaint = _chosen(complaints, answers)
    if complaint is None:
        raise InputError(_("choose what the machine does: press its number"))
    given = {q.key: answers.get(q.key, "").strip() for q in complaint.questions}
    kept = tuple((q.key, _kept(q, given[q.key])) for q in complaint.questions if given[q.key])
    words = line_of(answers.get(WORDS, ""), _("In the customer’s words"), LONGEST_WORDS)
    return complaint, Interview(complaint=complaint.name, words=words, answers=kept)


def _kept(question: Question, answer: str) -> str:
    """An answer as it is kept: a key, seconds as text, or the words."""
    if question.answers:
        keys = [a.key for a in question.answers]
        if answer not in keys:
            raise InputError(
                _("{question}: '{answer}' is not one of {keys}").format(
                    question=question.text, answer=brief(answer), keys=", ".join(keys)
                )
            )
        return answer
    if question.quantity is Quantity.DURATION:
        return f"{60.0 * _minutes(question, answer):g}"
    return line_of(answer, question.text, LONGEST_WORDS)


def _minutes(question: Question, answer: str) -> float:
    try:
        minutes = float(answer.replace(",", "."))
    except ValueError:
        minutes = -1.0
    if not 0.0 <= minutes <= LONGEST_MINUTES:
        raise InputError(
            _("{question}: '{answer}' is not a number of minutes").format(
                question=question.text, answer=brief(answer)
            )
        )
    return minutes
