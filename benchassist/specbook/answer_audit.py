"""What a set of answers must hold: no key twice, so that an answer on file means one thing."""

from collections.abc import Iterator, Sequence

from benchassist.core.plain_text import brief
from benchassist.specbook.fault import Fault, Where, _
from benchassist.specbook.sheet import ChoiceSheet
from benchassist.specbook.shelf import Filed, SheetT


def faults_of_answers(
    filed: Filed[SheetT], where: Where, answers: Sequence[ChoiceSheet]
) -> Iterator[Fault]:
    """Answers whose key an earlier one carries; `where` leads to what has the answers."""
    keys = [answer.key for answer in answers]
    for number, key in enumerate(keys):
        if key in keys[:number]:
            message = _("the answer '{key}' stands here twice").format(key=brief(key))
            yield filed.fault(message, *where, "answers", number, "key")
