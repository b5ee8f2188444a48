"""Tags of machines for print: which, on what labels, how many, and nothing of the customer."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Protocol

from benchassist.core.entry import Machine
from benchassist.core.file_name import file_part
from benchassist.core.label_stock import STOCKS, LabelStock, TagJob, pages_of
from benchassist.core.plain_text import brief
from benchassist.core.tag import Tag, code_of
from benchassist.errors import InputError
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.job import Progress
from benchassist.services.needs import Store
from benchassist.services.tags.pdf_work import PdfWork
from benchassist.services.tags.view import COPIES, START, STOCK, WHICH, TagPreview
from benchassist.services.translation import _, ngettext

MOST_COPIES = 200
TELLING_LETTERS, TELLING_PART, TELLING_DIGITS = 4, 3, 4
"""How long a name inside the tag, a name that is a part of its own of the tag, or a piece of the
phone number must be to tell whose machine it is; initials do not.
"""
THIS, OPEN, EVERY = "this", "open", "every"


class TagPrinter(Protocol):
    """Draws tags on labels."""

    def write_pdf(self, job: TagJob, path: Path, *, title: str = "", told: Progress = ...) -> None:
        """Write a PDF; `told` how many pages are drawn. PrintError if it cannot be written."""
        ...

    def print_on(self, printer: Any, job: TagJob) -> None:  # noqa: ANN401 - a class of the window's toolkit
        """Draw the pages on a printer of the window's toolkit. Raises PrintError."""
        ...


def tag_of(machine: Machine) -> Tag:
    """What a machine's tag holds: the payload is that of its slips."""
    return Tag(payload=machine.tag, code=code_of(machine.tag), words=unit_words(machine))


def unit_words(machine: Machine) -> str:
    """What the machine is, without a word of its customer's name or digits of the phone."""
    own = set(_words(machine.customer))
    kept = [
        word
        for word in machine.unit.split()
        if not (own & set(_words(word)) or _tells_phone(word, machine.phone))
    ]
    return " ".join(kept)


def tells_customer(machine: Machine) -> bool:
    """Whether the tag itself holds a part of the customer's name or phone number."""
    tag = machine.tag.casefold()
    parts = {part for part in _words(tag) if len(part) >= TELLING_PART}
    return any(
        name in parts or (len(name) >= TELLING_LETTERS and name in tag)
        for name in _words(machine.customer)
    ) or _tells_phone(tag, machine.phone)


def _words(text: str) -> list[str]:
    """The words of a text, without a possessive's end."""
    plain = text.casefold().replace("’s", " ").replace("'s", " ")
    return "".join(c if c.isalnum() else " " for c in plain).split()


def _tells_phone(text: str, phone: str) -> bool:
    digits, given = (_digits(t) for t in (phone, text))
    ends = range(len(given) - TELLING_DIGITS + 1)
    return any(given[i : i + TELLING_DIGITS] in digits for i in ends)


def _digits(text: str) -> str:
    return "".join(c for c in text if c.isdecimal())


def stock_text(stock: LabelStock) -> str:
    """'62 x 29 mm', or 'A4: 24 of 70 x 37 mm' for a sheet."""
    size = f"{stock.width_mm:g} × {stock.height_mm:g} mm"
    if not stock.is_sheet:
        return size
    paper = _("Letter") if stock.key.startswith("letter") else _("A4")
    return _("{paper}: {count} of {size}").format(paper=paper, count=stock.count, size=size)


class TagPrint:
    """Satisfies `tags.view.TagDesk`."""

    def __init__(
        self,
        *,
        store: Store,
        printer: TagPrinter,
        paper: str,
        machine_id: str = "",
        work: PdfWork | None = None,
    ) -> None:
        """`machine_id` is the machine in front, empty where none is; `paper` is the shop's.

        `work` is the shop's, where a PDF may be under way already.
        """
        self._store, self._printer, self._paper = store, printer, paper
        self._work = work or PdfWork()
        self._this = store.machine(machine_id) if machine_id else None
        self._found: dict[str, tuple[tuple[Tag, ...], tuple[str, ...]]] = {}
        """What a choice of machines stands for, read once: the form is looked at at every key."""

    def form(self) -> tuple[Field, ...]:
        """Which machines, which labels, the first free label, how many of each."""
        which = [FieldChoice(key=OPEN, text=_("Open slips")), FieldChoice(key=EVERY, text=_("All"))]
        if self._this is not None:
            which.insert(0, FieldChoice(key=THIS, text=self._this.tag))
        stocks = self._stocks()
        return (
            Field(
                key=WHICH,
                label=_("Machines"),
                kind=FieldKind.CHOICE,
                choices=tuple(which),
                value=which[0].key,
            ),
            Field(
                key=STOCK,
                label=_("Labels"),
                kind=FieldKind.CHOICE,
                choices=tuple(FieldChoice(key=s.key, text=stock_text(s)) for s in stocks),
                value=stocks[0].key,
            ),
            Field(key=START, label=_("First free label"), value="1", hint=_("1 on a new sheet")),
            Field(key=COPIES, label=_("Of each tag"), value="1", hint=_("how many")),
        )

    def _stocks(self) -> tuple[LabelStock, ...]:
        """The sheets of the shop's paper, then single labels."""
        return tuple(s for s in STOCKS if not s.is_sheet or s.key.startswith(self._paper))

    def preview(self, fields: Mapping[str, str]) -> TagPreview:
        """What these choices print. Raises InputError naming the field."""
        stock = next((s for s in self._stocks() if s.key == fields.get(STOCK)), None)
        if stock is None:
            raise InputError(_("labels: choose one of the sizes"))
        start = 1
        if stock.is_sheet:
            start = _whole(_("first free label"), fields.get(START, ""), stock.count)
        copies = _whole(_("of each tag"), fields.get(COPIES, ""), MOST_COPIES)
        silent, telling = self._tags(fields.get(WHICH, ""))
        note = ""
        if telling:
            note = _("Not printed, the tag tells whose it is: {tags}").format(
                tags=", ".join(telling)
            )
        if not silent:
            raise InputError(note or _("there is no machine to print a tag for"))
        tags = tuple(tag for tag in silent for _copy in range(copies))
        job = TagJob(stock=stock, tags=tags, start=start)
        return TagPreview(job=job, pages=len(pages_of(job)), text=_amount(job), note=note)

    def _tags(self, which: str) -> tuple[tuple[Tag, ...], tuple[str, ...]]:
        """Tags to print, and those that would tell whose they are."""
        if which not in self._found:
            machines = self._machines(which)
            telling = {m.id: m.tag for m in machines if tells_customer(m)}
            silent = tuple(tag_of(m) for m in machines if m.id not in telling)
            self._found[which] = silent, tuple(telling.values())
        return self._found[which]

    def _machines(self, which: str) -> tuple[Machine, ...]:
        if which == THIS and self._this is not None:
            return (self._this,)
        if which == OPEN:
            by_id = {v.machine.id: v.machine for v in self._store.visits(open_only=True)}
            return tuple(sorted(by_id.values(), key=lambda machine: machine.tag))
        if which == EVERY:
            return tuple(sorted(self._store.machines(), key=lambda machine: machine.tag))
        raise InputError(_("machines: choose which"))

    def write_pdf(self, fields: Mapping[str, str], path: Path) -> None:
        """Have a PDF written beside the window. Raises InputError, StepError."""
        job = self.preview(fields).job
        self._work.begin(
            path,
            lambda told: self._printer.write_pdf(job, path, title=_("Tags"), told=told),
        )

    @property
    def drawn(self) -> float | None:
        """How much of a PDF is drawn, 0 to 1; None while none is being made."""
        return self._work.share

    def kept(self) -> Path | None:
        """The PDF, once it is kept. Raises PrintError, once, where it cannot be."""
        return self._work.news()

    def print_on(self, fields: Mapping[str, str], printer: object) -> None:
        """Draw on a printer of the window's toolkit. Raises InputError, PrintError."""
        self._printer.print_on(printer, self.preview(fields).job)

    def file_name(self) -> str:
        """A file name for the PDF: 'tags-M-014.pdf'."""
        if self._this is None:
            return "tags.pdf"
        return f"tags-{file_part(self._this.tag)}.pdf"


def _whole(name: str, text: str, most: int) -> int:
    given = text.strip()
    if given.isascii() and given.isdecimal() and len(given) < 6 and 1 <= int(given) <= most:
        return int(given)
    raise InputError(
        _("{name}: '{text}' is not a number from 1 to {most}").format(
            name=name, text=brief(given), most=most
        )
    )


def _amount(job: TagJob) -> str:
    """'3 tags on 1 sheet' or '3 labels'."""
    count = len(job.tags)
    if not job.stock.is_sheet:
        return ngettext("{n} label", "{n} labels", count).format(n=count)
    pages = len(pages_of(job))
    tags = ngettext("{n} tag", "{n} tags", count).format(n=count)
    sheets = ngettext("{n} sheet", "{n} sheets", pages).format(n=pages)
    return _("{tags} on {sheets}").format(tags=tags, sheets=sheets)
