"""Tags for print: which machines, what labels, and nothing of the customer."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchassist.core.entry import Machine
from benchassist.core.label_stock import STOCKS, TagJob
from benchassist.core.tag import code_of
from benchassist.errors import InputError
from benchassist.services.job import Progress
from benchassist.services.slips.slips import slip_of
from benchassist.services.tags.print import TagPrint, tag_of, tells_customer
from tests.services.rig import ShopRig

CHOSEN = {"which": "every", "stock": "a4-3x7", "start": "1", "copies": "1"}


class FakeTagPrinter:
    """Keeps what it was given."""

    def __init__(self) -> None:
        self.written: list[tuple[TagJob, Path]] = []
        self.printed: list[tuple[object, TagJob]] = []

    def write_pdf(
        self, job: TagJob, path: Path, *, title: str = "", told: Progress | None = None
    ) -> None:
        """Keep it."""
        assert title == "Tags"
        assert told is not None
        self.written.append((job, path))

    def print_on(self, printer: object, job: TagJob) -> None:
        """Keep it."""
        self.printed.append((printer, job))


@pytest.fixture
def rig(tmp_path: Path) -> ShopRig:
    """A shop with an empty file."""
    return ShopRig(tmp_path)


def desk(rig: ShopRig, machine_id: str = "", paper: str = "a4") -> TagPrint:
    """The tags' desk over the shop's file."""
    return TagPrint(store=rig.store, printer=FakeTagPrinter(), paper=paper, machine_id=machine_id)


def kept(tags: TagPrint) -> Path:
    """The PDF under way, once it is kept."""
    while (path := tags.kept()) is None:
        assert tags.drawn is not None
    return path


def printed(job: TagJob) -> list[str]:
    """The payloads in order."""
    return [tag.payload for tag in job.tags]


# --- nothing personal ---------------------------------------------------------------------------


def test_the_payload_is_that_of_the_slip(rig: ShopRig) -> None:
    """A slip's code and a tag's open the same machine."""
    visit = rig.shop.visit(rig.shop.bench(rig.visit(rig.machine("TH-07"))).visit.header.id)
    machine = visit.header.machine
    slip = slip_of(visit, rig.shop.units)
    assert tag_of(machine).payload == slip.tag_payload == "TH-07"
    assert tag_of(machine).code == code_of("TH-07")


@given(
    customer=st.lists(st.sampled_from(["Tallow", "HILL", "Harrow", "Pell"]), min_size=1),
    before=st.sampled_from(["", "Rotary ", "old "]),
    end=st.sampled_from([" tiller", "’s tiller", "'s pump", ", tiller"]),
    phone=st.from_regex(r"\A0555 [0-9]{4}\Z"),
)
def test_words_on_a_tag_hold_nothing_of_the_customer(
    customer: list[str], before: str, end: str, phone: str
) -> None:
    """A name or number written into the machine's description stays off the tag."""
    name = " ".join(customer)
    machine = Machine(
        id="m",
        tag="M-014",
        customer=name,
        phone=phone,
        unit=f"{before}{customer[0].lower()}{end} {phone}",
        serial="S-33-17",
    )
    tag = tag_of(machine)
    on_it = f"{tag.payload} {tag.code} {tag.words}".casefold()
    for telling in (*customer, phone, phone[-4:], machine.serial):
        assert telling.casefold() not in on_it
    assert end.rsplit(maxsplit=1)[-1] in tag.words


@pytest.mark.parametrize(
    ("tag", "tells"),
    [
        ("TH-07", False),
        ("M-014", False),
        ("HARROW-2", True),
        ("XHARROW", True),
        ("KIM-1", True),
        ("0142-A", True),
        ("5550142", True),
    ],
)
def test_a_tag_that_tells_whose_it_is_is_known(tag: str, tells: bool) -> None:
    """Names and pieces of the phone number tell; initials and running numbers do not."""
    machine = Machine(id="m", tag=tag, customer="M. Harrow, Kim T.", phone="0555 0142")
    assert tells_customer(machine) is tells


def test_telling_tags_are_left_out_and_said(rig: ShopRig) -> None:
    """The others are printed; where none is left the reason stands alone."""
    rig.machine("M-001", customer="N. Moor")
    telling = rig.machine("HARROW", customer="M. Harrow")
    view = desk(rig).preview(CHOSEN)
    assert printed(view.job) == ["M-001"]
    assert view.note == "Not printed, the tag tells whose it is: HARROW"
    with pytest.raises(InputError, match="tells whose it is: HARROW"):
        desk(rig, telling).preview(CHOSEN | {"which": "this"})


# --- which, what, how many ----------------------------------------------------------------------


def test_this_machine_comes_first_where_there_is_one(rig: ShopRig) -> None:
    """Its tag names the choice; without one, open slips and all are left."""
    machine_id = rig.machine("M-007")
    which = desk(rig, machine_id).form()[0]
    assert [c.text for c in which.choices] == ["M-007", "Open slips", "All"]
    assert which.value == "this"
    assert [c.key for c in desk(rig).form()[0].choices] == ["open", "every"]
    assert desk(rig, machine_id).file_name() == "tags-M-007.pdf"
    assert desk(rig).file_name() == "tags.pdf"


def test_open_slips_are_one_tag_a_machine(rig: ShopRig) -> None:
    """Machines whose visit is open, in the order of their tags; the others stay out."""
    rig.machine("M-001")
    for tag in ("M-003", "M-002"):
        rig.shop.bench(rig.visit(rig.machine(tag)))
    rig.store.commit()
    assert printed(desk(rig).preview(CHOSEN | {"which": "open"}).job) == ["M-002", "M-003"]
    assert printed(desk(rig).preview(CHOSEN).job) == ["M-001", "M-002", "M-003"]


def test_copies_stand_beside_each_other(rig: ShopRig) -> None:
    """So many of each, from the first free label on, and how many sheets that takes."""
    rig.machine("M-001")
    rig.machine("M-002")
    view = desk(rig).preview(CHOSEN | {"copies": "2", "start": "19"})
    assert printed(view.job) == ["M-001", "M-001", "M-002", "M-002"]
    assert (view.job.start, view.pages, view.text) == (19, 2, "4 tags on 2 sheets")
    single = desk(rig).preview(CHOSEN | {"stock": "single-62x29", "start": "19"})
    assert (single.job.start, single.text) == (1, "2 labels")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheets_are_of_the_shops_paper(rig: ShopRig, paper: str) -> None:
    """Its own sheets and every single label, each with a number key."""
    stock = desk(rig, paper=paper).form()[1]
    keys = [c.key for c in stock.choices]
    assert keys == [s.key for s in STOCKS if s.key.startswith((paper, "single"))]
    assert len(keys) <= 9
    assert stock.choices[-1].text == "38 × 25 mm"


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("start", "22", "first free label: '22' is not a number from 1 to 21"),
        ("start", "", "first free label: '' is not a number from 1 to 21"),
        ("start", "²", "first free label: '²' is not a number from 1 to 21"),
        ("copies", "0", "of each tag: '0' is not a number from 1 to 200"),
        ("stock", "a5", "labels: choose one of the sizes"),
        ("which", "mine", "machines: choose which"),
        ("which", "open", "there is no machine to print a tag for"),
    ],
)
def test_a_wrong_choice_is_one_line(rig: ShopRig, field: str, text: str, said: str) -> None:
    """The field is named and what would be right."""
    rig.machine()
    with pytest.raises(InputError) as refused:
        desk(rig).preview(CHOSEN | {field: text})
    assert str(refused.value) == said


def test_what_was_shown_is_what_is_printed(rig: ShopRig, tmp_path: Path) -> None:
    """File and printer get the job of the preview."""
    rig.machine()
    printer = FakeTagPrinter()
    tags = TagPrint(store=rig.store, printer=printer, paper="a4")
    job = tags.preview(CHOSEN).job
    tags.write_pdf(CHOSEN, tmp_path / "tags.pdf")
    assert kept(tags) == tmp_path / "tags.pdf"
    tags.print_on(CHOSEN, "a printer")
    assert printer.written == [(job, tmp_path / "tags.pdf")]
    assert printer.printed == [("a printer", job)]
