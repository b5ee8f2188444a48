"""The findings of a visit: which causes remain, what to test next, replace or keep, what is proved.

It works on the bench's own visit and pen, so that what is said here is on the slip and on disk as a
reading is. What is costly is made anew only where the visit has grown.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from benchassist.core.entry import Entry, EvidenceSet, Stamp, SwapTried
from benchassist.core.plain_text import brief
from benchassist.core.ranking import NextTest
from benchassist.core.swap import Fitted, Trial
from benchassist.errors import InputError, StepError
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.screen import leads_text, meter_text
from benchassist.services.findings.case import (
    Case,
    case_of,
    check_for,
    fault_of,
    swapped_part,
    unusable,
)
from benchassist.services.findings.evidence_rows import evidence_of
from benchassist.services.findings.form import FormKey, Pressed
from benchassist.services.findings.keep import kept, suggested_of
from benchassist.services.findings.next_test import Words, offered_tests
from benchassist.services.findings.repair_form import parts_of
from benchassist.services.findings.screen import view_of
from benchassist.services.findings.view import FindingsAction, FindingsView, Room
from benchassist.services.translation import _

MOST_CYCLES: Final = 1000

TRIALS: Final[Mapping[FindingsAction, tuple[Fitted, bool]]] = MappingProxyType(
    {
        FindingsAction.OLD_FAULT: (Fitted.OLD, True),
        FindingsAction.OLD_CLEAN: (Fitted.OLD, False),
        FindingsAction.NEW_FAULT: (Fitted.NEW, True),
        FindingsAction.NEW_CLEAN: (Fitted.NEW, False),
    }
)
FORMS: Final[Mapping[FindingsAction, FormKey]] = MappingProxyType(
    {
        FindingsAction.SWAP_SETUP: FormKey.SWAP,
        FindingsAction.STAKE_FIGURES: FormKey.STAKE,
        FindingsAction.DECIDE: FormKey.DECIDE,
        FindingsAction.FIT_PART: FormKey.PART,
        FindingsAction.SERVICE: FormKey.SERVICE,
        FindingsAction.PROVE: FormKey.PROVE,
        FindingsAction.NOTE: FormKey.NOTE,
    }
)


class Findings:
    """One visit's findings; satisfies `desk.FindingsDesk`. `cautions` gives one by its key."""

    def __init__(self, bench: Bench, cautions: Words) -> None:
        self._bench = bench
        self._cautions = cautions
        self._pressed = Pressed()
        self._case: Case | None = None
        self._tests: tuple[NextTest, ...] = ()
        self._fault = ""
        self._view: tuple[object, FindingsView] | None = None
        """The view with what it was made from."""
        causes = bench.visit.header.causes
        self._book_fault = fault_of(causes) if causes is not None else ""
        self._known = -1
        """How many entries the case was made from."""
        self._look()

    # --- what shows ------------------------------------------------------------------------------

    def tick(self) -> None:
        """Take in acknowledgements; readings are let go by, none is taken from here."""
        self._bench.settle()
        self._bench.meter.take_in()
        if self._bench.run.on:
            self._bench.run.tick()

    def view(self) -> FindingsView:
        """What the findings page shows now; the same value while nothing has changed."""
        self._look()
        bench, pen = self._bench, self._bench.pen
        depends = (
            self._known,
            self._pressed,
            pen.pencilled,
            pen.trouble,
            meter_text(bench),
            bench.meter.link_state,
            leads_text(bench),
        )
        if self._view is None or self._view[0] != depends:
            view = view_of(
                bench,
                self._case,
                self._pressed,
                tests=self._tests,
                cautions=self._cautions,
                fault=self._fault,
            )
            self._view = depends, view
        return self._view[1]

    def _look(self) -> None:
        """Make the case anew if the visit has grown since."""
        visit = self._bench.visit
        if visit.next_seq == self._known:
            return
        self._known, self._fault = visit.next_seq, ""
        try:
            if why := self._book_fault:
                raise unusable(visit, why)
            self._case = case_of(visit)
            self._tests = offered_tests(self._case) if self._case is not None else ()
        except InputError as error:
            self._case, self._tests, self._fault = None, (), str(error)
        if not self._pressed.part:
            self._pressed = replace(self._pressed, part=self._usual_part())

    def _usual_part(self) -> str:
        """What was swapped last, else the part of the first cause that has one."""
        swapped = [e.part for e in self._bench.visit.entries if isinstance(e, SwapTried)]
        if swapped:
            return swapped[-1]
        if self._case is None:
            return ""
        parts = (self._case.cause(ranked).part for ranked in self._case.ranking.ranked)
        return next((part for part in parts if part), "")

    # --- keys ------------------------------------------------------------------------------------

    def act(self, action: str, argument: str = "") -> None:
        """Do what a key asked for. Raises BenchError where it cannot be done."""
        self._look()
        self._pressed = replace(self._pressed, message="")
        try:
            asked = FindingsAction(action)
        except ValueError:
            raise StepError(_("nothing to do for '{action}' here").format(action=action)) from None
        if asked in TRIALS:
            self._try(asked, argument)
        elif asked in FORMS:
            self._open_form(FORMS[asked])
        else:
            self._handlers()[asked](argument)

    def _handlers(self) -> Mapping[FindingsAction, Callable[[str], None]]:
        return {
            FindingsAction.START_TEST: self._start,
            FindingsAction.GO_TO_STEP: self._go_to,
            FindingsAction.OPEN_CAUSE: self._open_cause,
            FindingsAction.OPEN_EVIDENCE: lambda _key: self._enter(Room.EVIDENCE),
            FindingsAction.OPEN_SWAP: lambda part: self._enter_with(Room.SWAP, part),
            FindingsAction.OPEN_STAKE: lambda part: self._enter_with(Room.STAKE, part),
            FindingsAction.OPEN_REPAIR: lambda _key: self._enter(Room.REPAIR),
            FindingsAction.ANSWER: self._ask,
            FindingsAction.LIFT: self._lift,
            FindingsAction.BACK: lambda _key: self._back(),
        }

    def _enter(self, room: Room) -> None:
        self._pressed = replace(self._pressed, room=room, form=None)

    def _enter_with(self, room: Room, part: str) -> None:
        if part and part not in parts_of(self._bench.visit):
            raise StepError(_("this visit has no part '{part}'").format(part=part))
        self._enter(room)
        if part and part != self._pressed.part:
            self._pressed = replace(self._pressed, part=part, bundled=(), share=None, figures=None)

    def _back(self) -> None:
        if self._pressed.form is not None:
            self._pressed = replace(self._pressed, form=None)
        else:
            self._pressed = replace(self._pressed, room=Room.FRONT, cause="")

    def _ranked_case(self) -> Case:
        if self._case is None:
            raise StepError(self._fault or _("this visit has no causes to rank"))
        return self._case

    def _open_cause(self, argument: str) -> None:
        ranked = self._ranked_case().ranking.ranked
        keys = [one.cause for one in ranked]
        if argument.isdecimal() and 1 <= int(argument) <= len(keys):
            argument = keys[int(argument) - 1]
        if argument not in keys:
            raise StepError(_("no cause '{key}' in the ranking").format(key=argument))
        part = self._ranked_case().book.cause(argument).part
        self._pressed = replace(self._pressed, cause=argument, room=Room.CAUSE, form=None)
        if part and part != self._pressed.part:
            self._pressed = replace(self._pressed, part=part, bundled=(), share=None, figures=None)

    def _start(self, argument: str) -> None:
        case = self._ranked_case()
        if not argument and not self._tests:
            raise StepError(_("nothing left to test"))
        evidence = evidence_of(case, argument or self._tests[0].evidence)
        check = check_for(case.visit, evidence)
        if check is not None:
            self._go_to(check.key)
        elif part := swapped_part(evidence):
            self._enter_with(Room.SWAP, part)
        else:
            self._ask(evidence.key)

    def _go_to(self, check_key: str) -> None:
        try:
            check = self._bench.visit.procedure.check(check_key)
        except KeyError:
            raise StepError(_("this visit has no step '{key}'").format(key=check_key)) from None
        self._bench.move_to(check)

    def _ask(self, key: str) -> None:
        evidence_of(self._ranked_case(), key)
        self._open_form(FormKey.ANSWER, subject=key)

    def _lift(self, key: str) -> None:
        case = self._ranked_case()
        if key not in case.seen.by_hand:
            raise StepError(_("no word was given on '{key}'").format(key=key))
        self._write(lambda stamp: EvidenceSet(stamp=stamp, evidence=key, lifted=True))
        self._say(_("What was found counts again."))

    def _open_form(self, form: FormKey, *, subject: str = "") -> None:
        if self._bench.visit.closed:
            raise StepError(_("the visit is closed: open it again first"))
        if form in {FormKey.STAKE, FormKey.DECIDE} and not self._pressed.part:
            raise StepError(_("choose a cause with a part first"))
        suggested = suggested_of(self._pressed, self._case) if form is FormKey.DECIDE else ""
        self._pressed = replace(self._pressed, form=form, subject=subject, suggested=suggested)

    def _try(self, asked: FindingsAction, argument: str) -> None:
        """One trial of the swap test of the part that is open."""
        part = self._pressed.part
        if not part:
            raise StepError(_("set up the swap test first: which part"))
        text = argument.strip() or "1"
        if not text.isdecimal() or not 1 <= int(text) <= MOST_CYCLES:
            raise InputError(
                _("hot runs: '{text}' is not a whole number from 1 to {most}").format(
                    text=brief(text), most=MOST_CYCLES
                )
            )
        fitted, fault = TRIALS[asked]
        pressed = self._pressed
        self._write(
            lambda stamp: SwapTried(
                stamp=stamp,
                part=part,
                trial=Trial(fitted=fitted, fault=fault, cycles=int(text)),
                bundled=pressed.bundled if fitted is Fitted.NEW else (),
                share=pressed.share,
            )
        )
        self._pressed = replace(self._pressed, room=Room.SWAP)

    # --- forms -----------------------------------------------------------------------------------

    def submit(self, fields: Mapping[str, str]) -> None:
        """Keep the form that is open and close it. Raises InputError, which leaves it open."""
        self._look()
        form = self._pressed.form
        if form is None:
            raise StepError(_("no form is open"))
        draft, pressed = kept(
            form,
            fields,
            self._pressed,
            self._case,
            visit=self._bench.visit,
            settings=self._bench.settings,
        )
        if draft is not None:
            self._write(draft)
        self._pressed = replace(pressed, form=None, subject="")

    def _write(self, make: Callable[[Stamp], Entry]) -> None:
        """Write an entry; it counts at once, in pencil until it is on disk. Raises StepError."""
        if self._bench.visit.closed:
            raise StepError(_("the visit is closed: open it again first"))
        self._bench.pen.write(make)
        self._look()

    def _say(self, message: str) -> None:
        self._pressed = replace(self._pressed, message=message)
