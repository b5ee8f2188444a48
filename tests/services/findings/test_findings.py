"""The findings page's desk: keys and forms in, entries out, one view."""

from dataclasses import replace
from pathlib import Path

import pytest

from benchassist.core.claim import Claim
from benchassist.core.entry import (
    Decided,
    EvidenceSet,
    MovedTo,
    Noted,
    PartFitted,
    Proved,
    Serviced,
    SwapTried,
)
from benchassist.core.procedure import Caution
from benchassist.core.swap import Fitted, SwapResult
from benchassist.errors import InputError, StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.findings.findings import Findings
from benchassist.services.findings.view import FindingsAction, FindingsView, FormView, Room
from benchassist.services.receipt import Receipts
from benchassist.services.settings import Settings
from benchassist.units import UnitChoice
from tests.services.case import Told, bears, book, header
from tests.services.fakes import FakeStore
from tests.services.rig import BenchRig, ShopRig

Do = FindingsAction


class Desk:
    """The findings of a visit told so far, over a fake store."""

    def __init__(self, told: Told | None = None, *, at_once: bool = True) -> None:
        rig = BenchRig(meter=False)
        self.visit = (told or Told()).visit
        self.store = FakeStore(at_once=at_once)
        self.store.headers[self.visit.header.id] = self.visit.header
        self.store.entries[self.visit.header.id] = list(self.visit.entries)
        self.bench = Bench(
            self.visit,
            store=self.store,
            receipts=Receipts(self.store),
            clock=rig.clock,
            meter=rig.meter,
            settings=Settings(labour_rate=60.0),
            units=UnitChoice(),
        )
        self.desk = Findings(self.bench, lambda key: Caution(key=key, text=f"Care: {key}."))

    def press(self, action: FindingsAction, argument: str = "") -> FindingsView:
        """A key, then the view."""
        self.desk.act(action, argument)
        self.desk.tick()
        return self.view

    def fill(self, **fields: str) -> FindingsView:
        """The open form, filled in over what stands in it."""
        stands = {field.key: field.value for field in self.form.fields}
        self.desk.submit(stands | fields)
        self.desk.tick()
        return self.view

    @property
    def view(self) -> FindingsView:
        """The page."""
        return self.desk.view()

    @property
    def form(self) -> FormView:
        """The open form."""
        form = self.view.form
        assert form is not None
        return form

    def written(self, kind: type) -> list[object]:
        """Entries of a kind."""
        return [entry for entry in self.visit.entries if isinstance(entry, kind)]


def test_a_visit_just_opened_ranks_and_names_nobody() -> None:
    """All causes stand there, a test to start with, and none is named."""
    view = Desk().view
    assert {row.strength_text for row in view.rows} == {"Not tested"}
    assert not view.named
    assert view.named_text == "Nothing is known yet: no cause is named first."
    assert view.test is not None
    assert view.test.label == "Next best test"
    assert view.weights_text == "Shop judgement, not statistics"
    assert view.place_text == "Quits hot, restarts cold · findings"
    assert view.done_text == "0 of 8 done"


def test_the_view_is_the_same_value_until_something_changes() -> None:
    """Nothing is computed again at every tick; a reading on the bench makes it new."""
    desk = Desk()
    first = desk.view
    desk.desk.tick()
    assert desk.view is first
    desk.bench.pen.write(lambda stamp: Noted(stamp=stamp, text="hm"))
    assert desk.view is not first


def test_starting_the_next_test_goes_to_its_step() -> None:
    """The bench stands there, and a move is written."""
    desk = Desk(Told(how="sudden"))
    assert desk.view.test is not None
    assert desk.view.test.on_bench
    desk.press(Do.START_TEST)
    assert desk.visit.current.key == "fuel_vent"
    assert desk.written(MovedTo)


def test_a_test_of_no_step_asks_for_its_answer_here_with_its_cautions() -> None:
    """Bowl flow: answered by hand, no reason needed, and it ranks."""
    desk = Desk()
    desk.press(Do.START_TEST, "bowl_flow")
    assert desk.form.cautions == ("Care: fuel_open.",)
    view = desk.fill(outcome="fades")
    assert view.form is None
    row = next(r for r in view.rows if r.key == "vent_blocked")
    assert [mark.text for mark in row.speaks_for] == ["H"]


def test_overriding_a_reading_needs_a_reason_and_can_be_lifted() -> None:
    """Without one the form stays open; with one it counts, is said aloud, and is undone."""
    told = Told()
    told.read("coil_secondary", 8000.0)
    desk = Desk(told)
    desk.press(Do.ANSWER, "coil")
    with pytest.raises(InputError, match="why: say why"):
        desk.fill(outcome="open")
    assert desk.form.key == "answer"
    view = desk.fill(outcome="open", reason="other meter reads open")
    assert view.said_aloud
    (word,) = desk.written(EvidenceSet)
    assert isinstance(word, EvidenceSet)
    assert (word.outcome, word.reason) == ("open", "other meter reads open")
    evidence = next(row for row in view.evidence if row.key == "coil")
    assert (evidence.overruled, evidence.mark) == (True, "H")
    lifted = desk.press(Do.LIFT, "coil")
    assert lifted.said_aloud == ()
    assert lifted.message == "What was found counts again."
    with pytest.raises(StepError, match="no word was given"):
        desk.press(Do.LIFT, "coil")


def test_setting_evidence_aside_always_needs_a_reason() -> None:
    """It does not count, and the step is not offered again."""
    desk = Desk()
    desk.press(Do.ANSWER, "vent")
    with pytest.raises(InputError, match="why"):
        desk.fill(outcome="set_aside")
    view = desk.fill(outcome="set_aside", reason="cap is another machine’s")
    assert next(row for row in view.evidence if row.key == "vent").outcome_text == (
        "set aside by hand"
    )


def test_an_answer_that_is_none_is_refused() -> None:
    """It names the evidence and what there is."""
    desk = Desk()
    desk.press(Do.ANSWER, "vent")
    with pytest.raises(InputError, match="Vent: 'shut' is not one of free, blocked, set_aside"):
        desk.fill(outcome="shut")


def test_a_cause_opens_by_its_place_or_key() -> None:
    """Its share is explained as the shop’s weights; the claim says how far it goes."""
    desk = Desk(Told(how="sudden"))
    view = desk.press(Do.OPEN_CAUSE, "1")
    assert view.room is Room.CAUSE
    assert view.cause is not None
    assert "judgement, not statistics" in view.cause.share_text
    view = desk.press(Do.OPEN_CAUSE, "coil_hot")
    assert view.cause is not None
    assert view.cause.name == "Coil opens when hot"
    assert view.cause.cautions == ("Care: high_voltage.",)
    assert view.cause.claim_text.startswith("Precautionary. ")
    assert [row.selected for row in view.rows if row.key == "coil_hot"] == [True]
    with pytest.raises(StepError, match="no cause '9'"):
        desk.press(Do.OPEN_CAUSE, "9")
    assert desk.press(Do.BACK).room is Room.FRONT


def test_a_swap_is_tried_by_keys() -> None:
    """Set up with its share, then old, new, old: proved, each trial on disk."""
    desk = Desk()
    desk.press(Do.OPEN_SWAP, "coil")
    desk.press(Do.SWAP_SETUP)
    desk.fill(part="coil", share="50")
    desk.press(Do.OLD_FAULT)
    desk.press(Do.NEW_CLEAN, "3")
    view = desk.press(Do.OLD_FAULT)
    assert view.room is Room.SWAP
    assert view.swap is not None
    assert view.swap.result is SwapResult.PROVED
    assert "13 times in 100" in view.swap.odds
    trials = desk.written(SwapTried)
    assert [t.trial.fitted for t in trials if isinstance(t, SwapTried)] == [
        Fitted.OLD,
        Fitted.NEW,
        Fitted.OLD,
    ]
    assert {t.share for t in trials if isinstance(t, SwapTried)} == {0.5}
    assert view.claims[0].claim is Claim.CONFIRMED


def test_what_is_bundled_goes_with_the_new_part() -> None:
    """The card says at once that the cause is not separated, and the claim stays low."""
    desk = Desk()
    desk.press(Do.SWAP_SETUP)
    view = desk.fill(part="coil", bundled="plug, plug, lead")
    assert view.swap is not None
    assert view.swap.not_separated.startswith("Cause not separated: plug, lead")
    desk.press(Do.OLD_FAULT)
    desk.press(Do.NEW_CLEAN)
    view = desk.press(Do.OLD_FAULT)
    assert view.claims[0].claim is Claim.PRECAUTIONARY


@pytest.mark.parametrize("share", ["0", "-5", "101", "half", "nan"])
def test_a_share_that_cannot_be_is_refused(share: str) -> None:
    """Above none and up to all of a hundred."""
    desk = Desk()
    desk.press(Do.SWAP_SETUP)
    with pytest.raises(InputError, match="hot runs that show the fault"):
        desk.fill(part="coil", share=share)


@pytest.mark.parametrize("cycles", ["0", "-1", "2.5", "many", "1001"])
def test_hot_runs_are_whole(cycles: str) -> None:
    """One or more."""
    with pytest.raises(InputError, match="hot runs"):
        Desk().press(Do.OLD_FAULT, cycles)


def test_replace_or_keep_from_figures_to_the_customers_choice() -> None:
    """Figures, break-even, the choice with the stake and the chance it stood on."""
    desk = Desk(Told(how="sudden"))
    desk.press(Do.OPEN_STAKE, "coil")
    assert desk.view.stake is not None
    assert desk.view.stake.entered is False
    desk.press(Do.STAKE_FIGURES)
    view = desk.fill(part="74", labour_minutes="11", downtime="600", return_visit="150")
    assert view.stake is not None
    assert view.stake.break_even_text == "11 %"
    assert [row.name for row in view.stake.swings]
    desk.press(Do.DECIDE)
    assert next(f.value for f in desk.form.fields if f.key == "choice") == "replace"
    view = desk.fill(choice="keep", who="customer", reason="sells it")
    (made,) = desk.written(Decided)
    assert isinstance(made, Decided)
    assert made.stake is not None
    assert made.stake.part == 74.0
    assert view.stake is not None
    assert made.chance == view.stake.chance
    assert view.stake.choice == "Customer chose: keep (sells it)"


def test_figures_in_two_currencies_leave_the_form_open() -> None:
    """The line names the field; nothing is kept."""
    desk = Desk()
    desk.press(Do.OPEN_STAKE, "coil")
    desk.press(Do.STAKE_FIGURES)
    with pytest.raises(InputError, match=r"Return visit: .* one currency only"):
        desk.fill(part="74", return_visit="150 EUR")
    assert desk.form.key == "stake"
    assert desk.view.stake is not None
    assert desk.view.stake.entered is False


def test_the_repair_is_written_as_it_is_done() -> None:
    """A part, service, a run, a note: four entries, and what is still missing."""
    desk = Desk(Told(minutes_to_quit="1500"))
    assert desk.press(Do.OPEN_REPAIR).room is Room.REPAIR
    desk.press(Do.FIT_PART)
    desk.fill(part="coil", name="Ignition coil", cost="74")
    desk.press(Do.SERVICE)
    desk.fill(service="engine_oil", grade="SAE 30", quantity="0.6")
    desk.press(Do.PROVE)
    view = desk.fill(minutes="75", soak="yes")
    assert view.repair.missing == ("Soak restarts: 1 of 2.",)
    desk.press(Do.NOTE)
    with pytest.raises(InputError, match="note: type some words"):
        desk.fill(text=" ")
    desk.fill(text="old coil in the drawer")
    for kind in (PartFitted, Serviced, Proved, Noted):
        assert len(desk.written(kind)) == 1
    assert desk.store.entries[desk.visit.header.id] == list(desk.visit.entries)


def test_what_is_not_on_disk_is_said() -> None:
    """The store refuses: the entry counts, in pencil, and the banner says why."""
    desk = Desk()
    desk.store.why = "disk full"
    desk.press(Do.OLD_FAULT)
    assert desk.view.banner == "Not on disk yet: disk full"
    assert desk.view.swap is not None
    assert len(desk.view.swap.rows) == 1


def test_a_closed_visit_is_shown_and_takes_nothing() -> None:
    """Open it again first."""
    desk = Desk()
    desk.bench.close_now()
    assert desk.view.closed
    for action in (Do.OLD_FAULT, Do.FIT_PART, Do.NOTE):
        with pytest.raises(StepError, match="closed"):
            desk.press(action)


def test_nothing_to_submit_and_unknown_keys_are_refused_in_one_line() -> None:
    """No form, no such action, no such part, no such step."""
    desk = Desk()
    with pytest.raises(StepError, match="no form is open"):
        desk.desk.submit({})
    with pytest.raises(StepError, match="nothing to do for 'dance'"):
        desk.desk.act("dance")
    with pytest.raises(StepError, match="no part 'wheel'"):
        desk.press(Do.OPEN_SWAP, "wheel")
    with pytest.raises(StepError, match="no step 'wheel'"):
        desk.press(Do.GO_TO_STEP, "wheel")
    with pytest.raises(StepError, match="no evidence 'moon'"):
        desk.press(Do.ANSWER, "moon")


def test_a_visit_without_causes_keeps_its_other_cards() -> None:
    """Swap, repair and claims work; the ranking says why it is empty."""
    desk = Desk(Told(replace(header(), causes=None)))
    view = desk.view
    assert view.rows == ()
    assert view.empty_text == "The spec book has no causes for this complaint."
    with pytest.raises(StepError, match="no causes to rank"):
        desk.press(Do.OPEN_CAUSE, "1")
    desk.press(Do.SWAP_SETUP)
    desk.fill(part="coil")
    for action in (Do.OLD_FAULT, Do.NEW_CLEAN, Do.OLD_FAULT):
        view = desk.press(action)
    assert view.claims[0].claim is Claim.CONFIRMED


def test_causes_that_cannot_be_are_named_and_the_rest_goes_on() -> None:
    """A visit from a file with a strength too strong for its share."""
    cause = replace(book().causes[0], bearings=bears(heat_run__open=40.0))
    desk = Desk(Told(header(causes=replace(book(), causes=(cause,)))))
    assert "slip 0412 cannot be ranked" in desk.view.empty_text
    assert desk.view.rows == ()
    desk.press(Do.FIT_PART)
    assert desk.fill(part="coil").repair.fitted


def test_every_action_is_handled() -> None:
    """None is left for the catch-all: each does something or says why not, in its own words."""
    for action in Do:
        desk = Desk()
        said = ""
        try:
            desk.press(action, "coil" if action in {Do.ANSWER, Do.LIFT} else "")
        except (StepError, InputError) as error:
            said = str(error)
        assert "nothing to do for" not in said


def test_the_shop_hands_out_the_findings_of_the_bench(tmp_path: Path) -> None:
    """Both work on one visit; its causes were frozen in when it was opened."""
    rig = ShopRig(tmp_path)
    visit_id = rig.visit(how="sudden")
    desks = rig.shop.desks()
    assert desks.findings is not None
    findings = desks.findings(visit_id)
    assert {mark.text for row in findings.view().rows for mark in row.speaks_for} == {"C"}
    assert desks.findings(visit_id) is findings
    findings.act(Do.NOTE)
    findings.submit({"text": "said here"})
    assert rig.shop.bench(visit_id).visit.notes("") == ("said here",)
    findings.tick()
    kept, _entries = rig.store.visit(visit_id)
    assert kept.causes == book()


def test_settings_changed_make_the_findings_anew(tmp_path: Path) -> None:
    """The bench is another one, and so are they; the visit goes on."""
    rig = ShopRig(tmp_path)
    visit_id = rig.visit(how="sudden")
    before = rig.shop.findings(visit_id)
    rig.shop.findings(visit_id).act(Do.OLD_FAULT)
    rig.shop.settle()
    rig.shop.furnish(Settings(currency="EUR"))
    after = rig.shop.findings(visit_id)
    assert after is not before
    swap = after.view().swap
    assert swap is not None
    assert len(swap.rows) == 1
