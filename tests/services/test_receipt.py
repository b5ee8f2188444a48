"""Receipts: one store, several writers, and every answer reaches the one who asked."""

from benchassist.core.entry import Machine
from benchassist.core.record import Refused, Stored
from benchassist.services.receipt import Receipts
from tests.services.fakes import FakeStore


def test_an_answer_waits_for_the_one_who_asked() -> None:
    """Claimed by another first, it is still there; claimed once, it is gone."""
    store = FakeStore()
    receipts = Receipts(store)
    mine = store.submit_machine(Machine(id="a", tag="A"))
    store.why = "the disk is full"
    other = store.submit_machine(Machine(id="b", tag="B"))
    assert receipts.claim([other]) == (Refused(other, "the disk is full"),)
    assert receipts.claim([mine]) == (Stored(mine),)
    assert receipts.claim([mine, other]) == ()


def test_answers_come_in_the_order_of_the_tickets_asked_for() -> None:
    """However the store said them."""
    store = FakeStore()
    receipts = Receipts(store)
    tickets = [store.submit_machine(Machine(id=str(i), tag=str(i))) for i in range(3)]
    store._said.reverse()
    assert [said.ticket for said in receipts.claim(tickets)] == tickets


def test_what_is_not_answered_yet_is_asked_again() -> None:
    """No answer is no answer, not a refusal."""
    store = FakeStore(at_once=False)
    receipts = Receipts(store)
    ticket = store.submit_machine(Machine(id="a", tag="A"))
    assert receipts.claim([ticket]) == ()
    store.commit()
    assert receipts.claim([ticket]) == (Stored(ticket),)
