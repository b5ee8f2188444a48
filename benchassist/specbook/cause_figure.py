"""The weights and strengths of causes that a shop may change."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain

from benchassist.core.spec_entry import SpecKind, Stated
from benchassist.specbook.cause_binding import CauseBinder, pool
from benchassist.specbook.cause_sheet import CauseBookSheet, CauseSheet, Weight
from benchassist.specbook.fault import Where, _
from benchassist.specbook.figure import Figure
from benchassist.specbook.shelf import Shelf


def figures_of_causes(shelf: Shelf, translate: Callable[[str], str]) -> Iterator[Figure]:
    """Weights and strengths of every complaint's causes."""
    for complaint in sorted(shelf.complaints.values(), key=lambda f: f.sheet.order):
        filed = shelf.causes.get(complaint.sheet.key)
        if filed is None:
            continue
        book = filed.sheet
        texts = _outcome_texts(book, shelf, translate)
        other = _weight(
            book, ("other_weight",), book.other_weight, book.note, name=_("Something else")
        )
        of_causes = (_of_cause(book, n, cause, texts) for n, cause in enumerate(book.cause))
        for figure in chain((other,), *of_causes):
            yield replace(
                figure, sheet=translate(complaint.sheet.name), name=translate(figure.name)
            )


def _of_cause(
    book: CauseBookSheet, number: int, cause: CauseSheet, texts: dict[tuple[str, str], str]
) -> Iterator[Figure]:
    here: Where = ("cause", number)
    yield _weight(book, (*here, "weight"), cause.weight, cause.note, cause=cause)
    for engine, weight in cause.class_weight.items():
        where = (*here, "class_weight", engine)
        yield _weight(book, where, weight, cause.note, cause=cause)
    for place, one in enumerate(cause.bearings):
        where = (*here, "bearings", place)
        yield Figure(
            key=f"causes/{book.key}/{cause.key}/{one.evidence}:{one.outcome}",
            kind=SpecKind.STRENGTH,
            drawer="causes",
            sheet_key=book.key,
            where=where,
            field="strength",
            noted=where,
            number=True,
            sheet=book.key,
            name=cause.name,
            detail=texts.get((one.evidence, one.outcome), f"{one.evidence}: {one.outcome}"),
            stated=Stated(value=f"{one.strength:.12g}", note=one.note),
        )


def _weight(
    book: CauseBookSheet,
    where: Where,
    weight: Weight,
    note: str,
    *,
    cause: CauseSheet | None = None,
    name: str = "",
) -> Figure:
    own = [word for word in where if isinstance(word, str)]
    engine = _("class {key}").format(key=where[-1]) if "class_weight" in own else ""
    return Figure(
        key="/".join(("causes", book.key, cause.key if cause else "", *own)),
        kind=SpecKind.WEIGHT,
        drawer="causes",
        sheet_key=book.key,
        where=where[:-1],
        field=str(where[-1]),
        noted=where[:2] if cause else (),
        number=True,
        sheet=book.key,
        name=cause.name if cause else name,
        detail=engine,
        stated=Stated(
            value=str(weight) if isinstance(weight, str) else f"{weight:.12g}", note=note
        ),
        shared=cause is None or bool(cause.class_weight),
    )


def _outcome_texts(
    book: CauseBookSheet, shelf: Shelf, translate: Callable[[str], str]
) -> dict[tuple[str, str], str]:
    """'Fuel cap loosened after it quit: restarted', by evidence and outcome."""
    binder = CauseBinder(shelf, translate)
    bound = [binder.evidence(sheet) for sheet in pool(book, shelf).values()]
    return {(e.key, o.key): f"{e.name}: {o.text or o.key}" for e in bound for o in e.outcomes}
