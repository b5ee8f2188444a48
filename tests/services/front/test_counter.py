"""The counter: machines found and made, the interview, visits opened and come back to."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.entry import Did, PartFitted, PhotoAdded, PhotoRemoved
from benchassist.core.record import Found
from benchassist.core.slip import Ink
from benchassist.core.visit import Visit
from benchassist.errors import InputError, NotFoundError
from benchassist.services.bench.pen import RETRY_AFTER
from benchassist.services.desk import FieldKind
from benchassist.services.front.counter import MOST_SHOWN
from benchassist.services.settings import Settings
from tests.core.entries import stamp, taken
from tests.services.fakes import FakeStore
from tests.services.rig import ShopRig, names


@pytest.fixture
def rig(tmp_path: Path) -> ShopRig:
    """A shop with an empty file."""
    return ShopRig(tmp_path)


# --- search -------------------------------------------------------------------------------------


def test_an_empty_box_finds_nothing_and_counts_nothing(rig: ShopRig) -> None:
    """Before anything is typed the counter shows open slips alone."""
    rig.machine()
    view = rig.shop.counter.view("  ")
    assert view.machines == ()
    assert view.found_text == ""


@pytest.mark.parametrize("query", ["TH-07", "tallow", "press orch", "33-17", "0142"])
def test_tag_name_serial_and_phone_find_a_machine(rig: ShopRig, query: str) -> None:
    """One box takes a tag, a name, a fragment of the serial or the tail of the phone."""
    rig.machine("X-1", customer="Quarry Lane Stables")
    rig.machine(
        "TH-07", customer="Tallow Press Orchard", phone="0555 0142", serial="33-17", unit="Pump"
    )
    view = rig.shop.counter.view(query)
    assert [card.tag_text for card in view.machines] == ["tag TH-07"]
    assert view.found_text == "1 machine found"


def test_every_word_narrows_and_the_rest_is_counted(rig: ShopRig) -> None:
    """Three cards at most; the count says how many there are."""
    for number in range(MOST_SHOWN + 2):
        rig.machine(f"P-{number}", customer="Nether Moor Dairy", unit=f"Pump {number}")
    view = rig.shop.counter.view("nether pump")
    assert len(view.machines) == MOST_SHOWN
    assert view.found_text == "5 machines found, the best 3 here"
    assert rig.shop.counter.view("nether 3").found_text == "1 machine found"
    assert rig.shop.counter.view("nether anvil").found_text == "0 machines found"


def test_machines_that_are_only_close_are_told_as_such(rig: ShopRig) -> None:
    """The window selects none of them by itself."""
    rig.machine("TH-07", customer="Tallow Hill")
    rig.store.near = [*rig.store.kept_machines.values()]
    view = rig.shop.counter.view("talow")
    assert [card.tag_text for card in view.machines] == ["tag TH-07"]
    assert view.close
    assert view.found_text == "No machine has exactly these words. Close to them: 1"
    assert not rig.shop.counter.view("tallow").close


class Crowded(FakeStore):
    """A store that stopped counting."""

    def find(self, words: str, limit: int) -> Found:
        return replace(super().find(words, limit), count=153, more=True)


def test_words_at_too_many_places_ask_for_more(tmp_path: Path) -> None:
    """The best are shown, and that it is worth typing on."""
    rig = ShopRig(tmp_path, store=Crowded())
    rig.machine("TH-07")
    view = rig.shop.counter.view("t")
    assert len(view.machines) == 1
    assert view.found_text == "At least 153 machines found. Type on to narrow it"


# --- cards --------------------------------------------------------------------------------------


def test_a_card_tells_what_was_done_fitted_and_photographed(rig: ShopRig) -> None:
    """Visits since the first, parts and photos of all of them, work of the last one."""
    machine = rig.machine("TH-07")
    close(rig, rig.visit(machine, words="no spark"))
    rig.clock.pass_by(400 * 86400.0)
    visit = Visit(rig.shop.bench(rig.visit(machine, words="quits hot")).visit.header)
    rig.store.entries[visit.header.id] = []
    photo = PhotoAdded(stamp=stamp(visit), digest="a" * 64, media="image/jpeg", width=2, height=1)
    visit.apply(photo)
    visit.apply(taken(visit, "coil_secondary", 9100.0))
    visit.apply(PartFitted(stamp=stamp(visit), part="coil", name="coil, later type"))
    visit.apply(Did(stamp=stamp(visit), text="carb clean"))
    visit.apply(replace(photo, stamp=stamp(visit), digest="b" * 64))
    rig.store.submit(*visit.entries)
    card = rig.shop.counter.view("th-07").machines[0]
    assert card.visits_text == "2 visits on file since 2026"
    assert card.parts_text == "1 part fitted, 2 photos"
    assert card.last_title == "Last visit, 14 Jul 2027: new coil, later type, carb clean"
    removed = PhotoRemoved(stamp=stamp(visit), entry_id=photo.stamp.id)
    visit.apply(removed)
    rig.store.submit(removed)
    assert rig.shop.counter.view("th-07").machines[0].parts_text == "1 part fitted, 1 photo"


def test_a_card_is_made_once_until_something_is_written(rig: ShopRig) -> None:
    """The next letter typed finds the same machines and makes no card of theirs again."""
    store = rig.store
    visit = Visit(rig.shop.bench(rig.visit(rig.machine("TH-07"))).visit.header)
    store.entries[visit.header.id] = []
    first = taken(visit, "coil_secondary", 9100.0)
    visit.apply(first)
    store.submit(first)
    card = rig.shop.counter.view("th").machines[0]
    assert rig.shop.counter.view("th-").machines[0] is card
    again = taken(visit, "coil_secondary", 9200.0, supersedes=first.stamp.id)
    visit.apply(again)
    store.submit(again)
    assert rig.shop.counter.view("th-0").machines[0].last_lines[0].value == "9.20 kΩ"


# --- new machine --------------------------------------------------------------------------------


def test_a_free_tag_is_suggested(rig: ShopRig) -> None:
    """One that no machine carries, made a moment ago or long since."""
    assert rig.shop.counter.machine_form()[0].value == "M-001"
    rig.store.at_once = False
    rig.machine("m-002")
    assert rig.shop.counter.machine_form()[0].value == "M-003"


def test_a_bench_with_a_letter_is_offered_tags_of_its_own(rig: ShopRig) -> None:
    """Two benches that make a card at the same time are not offered the same one."""
    rig.machine("MA-002")
    rig.shop.furnish(Settings(bench_letter="A"))
    assert rig.shop.counter.machine_form()[0].value == "MA-003"
    rig.shop.furnish(Settings(bench_letter="B"))
    assert rig.shop.counter.machine_form()[0].value == "MB-002"


def test_a_tag_that_is_taken_names_a_free_one(rig: ShopRig) -> None:
    """Another bench may have been quicker with the one that was offered."""
    rig.machine("M-001")
    free = rig.shop.counter.machine_form()[0].value
    with pytest.raises(InputError, match=f"^tag 'M-001' is another machine's: {free} is free$"):
        rig.machine("M-001")


def test_a_new_machine_is_found_with_all_that_was_said(rig: ShopRig) -> None:
    """Blanks around the words are dropped."""
    machine_id = rig.machine(" A-1 ", customer=" Parish Allotments ", engine_class="a")
    found = rig.store.find("parish", 9).machines
    assert [m.id for m in found] == [machine_id]
    assert (found[0].tag, found[0].customer, found[0].engine_class) == (
        "A-1",
        "Parish Allotments",
        "a",
    )


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"tag": "", "unit": "Pump"}, "up to 16 letters"),
        ({"tag": "A 1", "unit": "Pump"}, "no space"),
        ({"tag": "A" * 17, "unit": "Pump"}, "up to 16"),
        ({"tag": "A-1"}, "name the customer"),
        ({"tag": "A-1", "customer": "   "}, "name the customer"),
        ({"tag": "A-1", "unit": "Pump", "engine_class": "steam"}, "'steam' is not one of a, "),
    ],
)
def test_a_faulty_machine_is_one_line_and_is_not_kept(
    rig: ShopRig, fields: dict[str, str], says: str
) -> None:
    """The line names the field and what would be right."""
    with pytest.raises(InputError, match=says) as refused:
        rig.shop.counter.new_machine(fields)
    assert "\n" not in str(refused.value)
    assert rig.store.kept_machines == {}


@pytest.mark.parametrize("at_once", [True, False])
def test_a_tag_is_one_machines_alone(rig: ShopRig, at_once: bool) -> None:
    """Whatever its case, and also while the other machine is still on its way to disk."""
    rig.store.at_once = at_once
    rig.machine("TH-07")
    with pytest.raises(InputError, match="another machine"):
        rig.machine("th-07")


def test_a_machine_that_was_refused_is_tried_again_and_said_so(rig: ShopRig) -> None:
    """The reason stands in the banner until it is on disk; a full disk is not asked every tick."""
    rig.store.why = "the disk is full"
    machine_id = rig.machine("TH-07")
    for _ in range(10):
        rig.shop.counter.tick()
    assert rig.shop.counter.view("").banner == "Machine TH-07 is not saved: the disk is full"
    assert rig.store._ticket == 1
    rig.store.why = ""
    rig.clock.pass_by(RETRY_AFTER)
    rig.shop.counter.tick()
    rig.shop.counter.tick()
    assert rig.shop.counter.view("").banner == ""
    assert machine_id in rig.store.kept_machines


def test_faults_of_the_shops_own_profiles_are_told_after_what_is_urgent(rig: ShopRig) -> None:
    """The first fault and how many more; a machine that is not saved comes before it."""
    rig.shop.counter.tell_faults(("a.toml:3: no such band", "b.toml:9: twice", "c.toml:1: empty"))
    assert rig.shop.counter.view("").banner == "Left out: a.toml:3: no such band (and 2 more)"
    rig.store.why = "the disk is full"
    rig.machine("TH-07")
    rig.shop.counter.tick()
    assert "not saved" in rig.shop.counter.view("").banner
    rig.store.why = ""
    rig.shop.counter.tell_faults(())
    rig.clock.pass_by(RETRY_AFTER)
    rig.shop.counter.tick()
    rig.shop.counter.tick()
    assert rig.shop.counter.view("").banner == ""


# --- interview ----------------------------------------------------------------------------------


def test_the_complaint_comes_first_and_decides_the_rest(rig: ShopRig) -> None:
    """One question, then the words and those of the complaint, answers kept in their fields."""
    machine = rig.machine()
    first = rig.shop.counter.interview(machine, {})
    assert [field.key for field in first] == ["complaint"]
    assert [choice.text for choice in first[0].choices] == [
        "Quits hot, restarts cold",
        "Does not start",
    ]
    fields = rig.shop.counter.interview(machine, {"complaint": "quits_hot", "minutes": "25"})
    assert [(f.key, f.kind) for f in fields] == [
        ("complaint", FieldKind.CHOICE),
        ("words", FieldKind.WORDS),
        ("minutes", FieldKind.MINUTES),
        ("how", FieldKind.CHOICE),
        ("touched", FieldKind.WORDS),
    ]
    assert fields[2].value == "25"
    assert all(f.open_ended for f in fields[1:])
    short = rig.shop.counter.interview(machine, {"complaint": "no_start"})
    assert [f.key for f in short] == ["complaint", "words"]


def test_what_was_answered_is_kept_with_the_visit(rig: ShopRig) -> None:
    """Minutes as seconds, a choice as its key, words as they are, empty not at all."""
    visit_id = rig.visit(words=" quits hot ", minutes="2,5", how="sudden", touched="  ")
    told = rig.shop.bench(visit_id).visit.header.interview
    assert told.complaint == "Quits hot, restarts cold"
    assert told.words == "quits hot"
    assert told.answers == (("minutes", "150"), ("how", "sudden"))


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"complaint": ""}, "choose what the machine does"),
        ({"complaint": "sings"}, "choose what the machine does"),
        ({"minutes": "soon"}, "Minutes until it quits.*'soon' is not a number of minutes"),
        ({"minutes": "-1"}, "not a number of minutes"),
        ({"minutes": "nan"}, "not a number of minutes"),
        ({"minutes": "1e9"}, "not a number of minutes"),
        ({"how": "loudly"}, "How does it quit.*'loudly' is not one of sudden, fading"),
    ],
)
def test_a_faulty_answer_opens_no_visit(rig: ShopRig, answers: dict[str, str], says: str) -> None:
    """One line that names the question and what would be right."""
    with pytest.raises(InputError, match=says) as refused:
        rig.visit(**answers)
    assert "\n" not in str(refused.value)
    assert rig.store.headers == {}


def test_a_machine_that_is_not_there_is_said(rig: ShopRig) -> None:
    """Neither asked about nor put on the bench."""
    with pytest.raises(NotFoundError, match="no machine 'gone'"):
        rig.shop.counter.interview("gone", {})
    with pytest.raises(NotFoundError, match="no machine 'gone'"):
        rig.shop.counter.open_visit("gone", {"complaint": "quits_hot"})


# --- visits -------------------------------------------------------------------------------------


def test_a_visit_freezes_what_the_shop_had_set(rig: ShopRig) -> None:
    """Slip number, visit of this machine, procedure of its engine class, coverage factor."""
    machine = rig.machine(engine_class="a")
    header = rig.shop.bench(rig.visit(machine)).visit.header
    assert (header.slip_number, header.visit_of_machine, header.k) == ("0001", 1, 2.0)
    assert header.procedure.engine_class == "a"
    assert header.opened_at == rig.clock.now()
    again = rig.shop.bench(rig.visit(machine)).visit.header
    assert (again.slip_number, again.visit_of_machine) == ("0002", 2)


def test_two_visits_opened_on_a_full_disk_get_two_numbers(rig: ShopRig) -> None:
    """Neither is refused for the other's number once the disk is free, and nothing is lost."""
    machine = rig.machine()
    rig.store.why = "the disk is full"
    opened = [rig.visit(machine), rig.visit(machine)]
    benches = [rig.shop.bench(visit_id) for visit_id in opened]
    assert [b.visit.header.slip_number for b in benches] == ["0001", "0002"]
    assert [b.visit.header.visit_of_machine for b in benches] == [1, 2]
    rig.store.why = ""
    for _ in range(3):
        rig.clock.pass_by(RETRY_AFTER)
        rig.shop.counter.tick()
    assert all(b.pen.all_in_ink for b in benches)
    assert [rig.store.headers[visit_id].slip_number for visit_id in opened] == ["0001", "0002"]


def test_an_open_visit_stands_at_the_counter_and_is_come_back_to(rig: ShopRig) -> None:
    """Its slip says where it stands; its machine's card leads to it; the bench is the same one."""
    machine = rig.machine("TH-07", customer="Tallow Hill Cider Orchard", engine="C-210")
    visit_id = rig.visit(machine, words="quits hot")
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    bench.act("skip")
    bench.tick()
    view = rig.shop.counter.view("tallow")
    slip, card = view.slips[0], view.machines[0]
    assert (slip.visit_id, slip.slip_text, slip.customer) == (
        visit_id,
        "slip 0001",
        "Tallow Hill Cider Orchard",
    )
    assert (slip.unit_text, slip.said) == ("Yard washer, C-210", "“quits hot”")
    assert (slip.done, slip.steps, slip.place_text) == (1, 4, "step 2 of 4")
    assert (card.open_visit_id, card.open_visit_text) == (visit_id, "slip 0001 is open")
    assert card.visits_text == "1 visit on file"
    assert rig.shop.bench(visit_id) is bench


def close(rig: ShopRig, visit_id: str) -> None:
    """Close a visit with nothing undone."""
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    bench.act("skip")
    bench.act("skip")
    bench.act("close_visit")
    bench.tick()


def test_a_closed_visit_is_counted_for_a_week(rig: ShopRig) -> None:
    """It leaves the open slips at once."""
    close(rig, rig.visit())
    view = rig.shop.counter.view("")
    assert (view.slips, view.closed_text) == ((), "Closed this week: 1")
    rig.clock.pass_by(8 * 86400.0)
    assert rig.shop.counter.view("").closed_text == "Closed this week: 0"


def test_an_answered_slip_is_ready_to_print(rig: ShopRig) -> None:
    """Every step answered or passed over."""
    visit_id = rig.visit()
    bench = rig.shop.bench(visit_id)
    bench.act("submit", "")
    for _ in range(5):
        bench.act("skip")
    bench.act("goto", "stop_wire_back")
    bench.act("choose", "1")
    bench.tick()
    assert rig.shop.counter.view("").slips[0].place_text == "ready to print"


def test_the_last_visit_stands_beside_the_machine_that_came_back(rig: ShopRig) -> None:
    """What was measured, with band and verdict; what has no band or number is left out."""
    machine = rig.machine("TH-07")
    first = Visit(rig.shop.bench(rig.visit(machine, words="no spark")).visit.header)
    rig.store.entries[first.header.id] = []
    for key, value in (("coil_secondary", 9100.0), ("cap", 4900.0), ("stop_insulation", None)):
        first.apply(taken(first, key, value))
    rig.store.submit(*first.entries)
    card = rig.shop.counter.view("th-07").machines[0]
    assert card.last_title == "Last visit, 9 Jun 2026: no spark"
    assert [(line.name, line.verdict_text) for line in card.last_lines] == [
        ("Coil secondary", "In band"),
        ("Stop wire, unplugged", "Meter can’t tell"),
    ]
    assert all(line.ruler is not None for line in card.last_lines)
    assert card.last_lines[0].value == "9.10 kΩ"


def test_a_machine_without_answers_has_no_last_visit(rig: ShopRig) -> None:
    """An interview alone is no evidence."""
    machine = rig.machine("TH-07")
    rig.shop.bench(rig.visit(machine))
    card = rig.shop.counter.view("th-07").machines[0]
    assert (card.last_title, card.last_lines) == ("", ())


def test_the_counter_says_how_the_meter_stands(rig: ShopRig) -> None:
    """Not linked: in words, and not live."""
    view = rig.shop.counter.view("")
    assert (view.meter_text, view.meter_live) == ("No meter", False)


def test_a_visit_left_in_pencil_turns_to_ink_at_the_counter(tmp_path: Path) -> None:
    """The counter's tick settles the bench that is not in front."""
    rig = ShopRig(tmp_path, store=FakeStore(at_once=False))
    bench = rig.shop.bench(rig.visit())
    bench.act("submit", "")
    bench.act("note")
    bench.act("submit", "lead end green")
    assert names(bench.visit.entries) == ["TemperatureSet", "Noted"]
    rig.store.commit()
    rig.shop.counter.tick()
    assert bench.pen.all_in_ink
    assert bench.view().lines[0].ink is Ink.TO_DO
    assert stamp(bench.visit).seq == 3
