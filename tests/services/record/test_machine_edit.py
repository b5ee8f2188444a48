"""A machine's particulars are changed; what was written before keeps what it said."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.entry import Machine
from benchassist.errors import InputError, NotFoundError, StepError
from benchassist.services.receipt import Receipts
from benchassist.services.record.machine_edit import MachineEdit
from benchassist.storage import open_store
from tests.services.fakes import FakeStore
from tests.services.rig import FakeBook
from tests.storage.case import header, machine, settled

KEPT = Machine(
    id="m1", tag="TH-07", customer="Tallow Orchard", phone="0555", unit="Pump", engine_class="A"
)
GIVEN = {
    "tag": "TH-08",
    "customer": " Wick Farm ",
    "phone": "0555 0199",
    "unit": "Pump",
    "engine": "C-210",
    "serial": "88",
    "engine_class": "A",
}


@pytest.fixture
def store() -> FakeStore:
    """Return a store with two machines."""
    kept = FakeStore()
    for one in (KEPT, Machine(id="m2", tag="BW-02", unit="Mower")):
        kept.submit_machine(one)
    kept.acknowledgements()
    return kept


def edit_of(store: FakeStore) -> MachineEdit:
    """Return the form of the first machine."""
    return MachineEdit("m1", store=store, receipts=Receipts(store), book=FakeBook())


def test_the_form_holds_what_stands(store: FakeStore) -> None:
    """Every field has its value."""
    form = {field.key: field.value for field in edit_of(store).form()}
    assert form == {
        "tag": "TH-07",
        "customer": "Tallow Orchard",
        "phone": "0555",
        "unit": "Pump",
        "engine": "",
        "serial": "",
        "engine_class": "A",
    }


def test_particulars_are_kept_once_they_are_on_disk(store: FakeStore) -> None:
    """Not before; the id stays."""
    store.at_once = False
    edit = edit_of(store)
    edit.keep(GIVEN)
    edit.tick()
    assert not edit.kept
    store.commit()
    edit.tick()
    assert edit.kept
    assert store.machine("m1") == replace(
        KEPT,
        tag="TH-08",
        customer="Wick Farm",
        phone="0555 0199",
        engine="C-210",
        serial="88",
    )


def test_a_refused_write_says_why_and_can_be_tried_again(store: FakeStore) -> None:
    """The form stays as it was typed."""
    edit = edit_of(store)
    store.why = "the disk is full"
    edit.keep(GIVEN)
    edit.tick()
    assert (edit.kept, edit.trouble) == (False, "not saved: the disk is full")
    store.why = ""
    edit.keep(GIVEN)
    edit.tick()
    assert (edit.kept, edit.trouble) == (True, "")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"tag": ""}, "tag ''"),
        ({"tag": "A B"}, "no space"),
        ({"tag": "bw-02"}, "is another machine's"),
        ({"customer": "", "unit": "", "engine": "", "serial": ""}, "name the customer"),
        ({"engine_class": "steam"}, "ignition 'steam'"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_written(
    store: FakeStore, change: Mapping[str, str], words: str
) -> None:
    """As on the form of a new machine; its own tag is free to it."""
    edit = edit_of(store)
    with pytest.raises(InputError, match=words):
        edit.keep({**GIVEN, **change})
    assert store.machine("m1") == KEPT
    edit.keep({**GIVEN, "tag": "th-07"})
    edit.tick()
    assert edit.kept


def test_nothing_changed_is_kept_at_once(store: FakeStore) -> None:
    """And writes nothing."""
    edit = edit_of(store)
    store.why = "it would be refused"
    edit.keep({field.key: field.value for field in edit.form()})
    assert edit.kept


def test_what_another_bench_changed_is_not_overwritten(store: FakeStore) -> None:
    """The form is to be opened again."""
    edit = edit_of(store)
    store.submit_machine(replace(KEPT, phone="0777"))
    with pytest.raises(StepError, match="changed on another bench"):
        edit.keep(GIVEN)
    assert store.machine("m1") == replace(KEPT, phone="0777")


def test_a_machine_that_is_not_there_is_none(store: FakeStore) -> None:
    """It says so."""
    with pytest.raises(NotFoundError, match="no machine"):
        MachineEdit("m9", store=store, receipts=Receipts(store), book=FakeBook())


def test_visits_written_before_keep_what_they_said(tmp_path: Path) -> None:
    """The header of a visit is what it was; the machine is found by its new words."""
    with open_store(tmp_path / "shop.sqlite") as kept:
        own = machine("K7")
        settled(kept, kept.submit_visit(header("0001", of=own)))
        edit = MachineEdit(own.id, store=kept, receipts=Receipts(kept), book=FakeBook())
        edit.keep({**GIVEN, "tag": "K8"})
        while not edit.kept:
            edit.tick()
        assert kept.visit("0001")[0].machine == own
        assert [m.tag for m in kept.find("wick", 9).machines] == ["K8"]
        assert kept.find("ada", 9).machines == ()
