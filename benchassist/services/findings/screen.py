"""What the findings page shows, put together from the visit, its case and what was pressed."""

from dataclasses import replace

from benchassist.core.ranking import NextTest
from benchassist.core.reading import LinkState
from benchassist.core.strength import strength
from benchassist.core.visit import Standing
from benchassist.services.bench.bench import Bench
from benchassist.services.bench.screen import leads_text, meter_text
from benchassist.services.bench.slip import head_of
from benchassist.services.findings.cards import CauseSheet, StakeCard
from benchassist.services.findings.case import Case
from benchassist.services.findings.claims import Subject, claim_row, claims_of
from benchassist.services.findings.evidence_rows import evidence_rows
from benchassist.services.findings.form import Pressed, form_of
from benchassist.services.findings.key import keys_of
from benchassist.services.findings.next_test import SOON, Words, card_of, moot_rows
from benchassist.services.findings.repair import repair_card
from benchassist.services.findings.rows import (
    STRENGTH_TEXT,
    marks_of,
    named_text,
    other_text,
    rows_of,
    said_aloud,
    weights_text,
)
from benchassist.services.findings.series_check import series_card
from benchassist.services.findings.stake_card import chance_of, choice_of, stake_card, stated_chance
from benchassist.services.findings.swap_card import swap_card
from benchassist.services.findings.view import FindingsView
from benchassist.services.slips.line import lines_of
from benchassist.services.translation import _


def view_of(
    bench: Bench,
    case: Case | None,
    pressed: Pressed,
    *,
    tests: tuple[NextTest, ...],
    cautions: Words,
    fault: str = "",
) -> FindingsView:
    """The whole page. `fault` says why the causes cannot be used, if they cannot."""
    visit, settings, units = bench.visit, bench.settings, bench.units
    part = pressed.part
    done = sum(visit.standing(c.key) is not Standing.TO_DO for c in visit.procedure.checks)
    complaint = visit.header.interview.complaint or visit.procedure.title
    plain = FindingsView(
        head=head_of(bench),
        lines=tuple(lines_of(visit, units, bench.pen.pencilled)),
        done_text=_("{n} of {steps} done").format(n=done, steps=len(visit.procedure.checks)),
        place_text=_("{complaint} · findings").format(complaint=complaint),
        meter_text=meter_text(bench),
        meter_live=bench.meter.link_state is LinkState.LIVE,
        leads_text=leads_text(bench),
        title=_("What the readings say"),
        legend=_("number = step, C = complaint, S = swap, H = by hand"),
        cause_label=_("Likely cause"),
        against_label=_("against"),
        for_label=_("for"),
        strength_label=_("Weight"),
        rows=(),
        empty_text=fault or _("The spec book has no causes for this complaint."),
        no_test_text=_("No cause to test for."),
        room=pressed.room,
        series=series_card(visit, units),
        swap=swap_card(visit, part, settings, share=pressed.share, bundled=pressed.bundled)
        if part
        else None,
        stake=_stake(bench, case, pressed),
        claims=claims_of(visit, case, units),
        repair=repair_card(visit, settings),
        form=form_of(visit, case, pressed, settings, cautions),
        message=pressed.message,
        banner=_banner(bench),
        keys=keys_of(pressed, closed=visit.closed, has_test=bool(tests)),
        closed=visit.closed,
    )
    return (
        plain
        if case is None
        else _ranked(plain, bench, case, pressed, tests=tests, cautions=cautions)
    )


def _banner(bench: Bench) -> str:
    if bench.pen.barred:
        return bench.pen.barred
    if bench.pen.trouble:
        return _("Not on disk yet: {why}").format(why=bench.pen.trouble)
    return bench.notice()


def _ranked(
    plain: FindingsView,
    bench: Bench,
    case: Case,
    pressed: Pressed,
    *,
    tests: tuple[NextTest, ...],
    cautions: Words,
) -> FindingsView:
    """The same with what the case has to say."""
    units = bench.units
    moot = moot_rows(case)
    return replace(
        plain,
        rows=rows_of(case, units, selected=pressed.cause),
        other_text=other_text(case),
        named=case.ranking.named is not None,
        named_text=named_text(case),
        weights_text=weights_text(case),
        said_aloud=said_aloud(case, units),
        empty_text="",
        cause=_sheet(bench, case, pressed.cause, cautions) if pressed.cause else None,
        evidence=evidence_rows(case, units, cautions),
        test=card_of(case, tests[0], cautions) if tests else None,
        no_test_text="" if tests else _("Nothing left to test that would tell the causes apart."),
        other_tests=tuple(
            card_of(case, test, cautions, best=False) for test in tests[1 : 1 + SOON]
        ),
        moot=moot,
        moot_text=_("May be passed over; it can always be done:") if moot else "",
    )


def _stake(bench: Bench, case: Case | None, pressed: Pressed) -> StakeCard | None:
    if not pressed.part:
        return None
    figures, made = pressed.figures, choice_of(bench.visit, pressed.part)
    stake = figures.stake if figures is not None else (made.stake if made is not None else None)
    stated = figures.chance if figures is not None else None
    chance = stated_chance(stated) if stated is not None else chance_of(case, pressed.part)
    return stake_card(
        bench.visit,
        pressed.part,
        bench.settings,
        stake=stake,
        chance=chance,
        life=figures.life if figures is not None else None,
    )


def _sheet(bench: Bench, case: Case, key: str, cautions: Words) -> CauseSheet:
    """A cause that is open."""
    ranked, cause = case.ranking.of(key), case.book.cause(key)
    total = sum(one.weight for one in case.book.causes) + case.book.other_weight
    subject = Subject(part=cause.part, cause=cause, name=cause.name)
    claim = claim_row(bench.visit, case, subject, bench.units)
    test = next((e for e in case.book.evidence if e.key == cause.test), None)
    return CauseSheet(
        key=key,
        name=cause.name,
        strength_text=STRENGTH_TEXT[strength(case.book, case.ranking, ranked)],
        share_text=_(
            "About {n} in 100 by the shop’s own weights; judgement, not statistics."
        ).format(n=_hundredths(ranked.share)),
        marks=marks_of(case, ranked, bench.units),
        prior_text=_("Before anything was known: about {n} in 100.").format(
            n=_hundredths(cause.weight / total)
        ),
        test_text=_("Quickest test: {name}, {minutes:g} min").format(
            name=test.name, minutes=test.minutes
        )
        if test is not None
        else "",
        fix_text=cause.fix,
        claim_text=_("{claim}. {grounds} {limit}")
        .format(claim=claim.claim_text, grounds=claim.grounds, limit=claim.limit)
        .strip(),
        cautions=tuple(cautions(one).text for one in cause.cautions),
    )


def _hundredths(share: float) -> str:
    """A share of the whole; never none and never all of it."""
    n = round(100.0 * share)
    if n < 1:
        return _("less than 1")
    return _("more than 99") if n > 99 else str(n)
