"""What the findings page tells without being seen, and how large its targets are."""

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QApplication, QWidget

from benchassist.ui.page import Turn
from benchassist.ui.part import Part, Target
from tests.ui.conftest import OpenFindings, OpenWindow
from tests.ui.findings_views import (
    BOTH_WAYS,
    CAUSE,
    CROWDED,
    EVIDENCE,
    EVIDENCE_ROWS,
    FINDINGS_STATES,
    FIVE,
    NOTHING,
    REPAIR,
    REPAIR_ROOM,
    SERIES,
    STAKE,
    STAKE_ROOM,
    STILL_HOT,
    SWAP,
    SWAP_EMPTY,
    SWAP_LIKELY,
    UNNAMED,
    VOID,
)
from tests.ui.views import STEADYING


def said(widget: QWidget) -> str:
    """All accessible names of what is in sight of a widget, its own first."""
    parts = [widget, *widget.findChildren(QWidget)]
    return " | ".join(part.accessibleName() for part in parts if part.isVisibleTo(widget.window()))


def test_the_front_tells_itself(open_findings: OpenFindings) -> None:
    """Ranking with its evidence, whose weights, contradictions, next test, series, stake."""
    shell, _desk = open_findings(CROWDED)
    told = said(shell.findings)
    for text in (
        "First: Coil opens or shorts when hot. 1. Coil opens or shorts when hot. Strong",
        "for: For, much: Step 8, Heat run: opens at 76 °C and 81 °C",
        "against: Against: Step 1, Fuel cap vent: breathes freely",
        "(contradicted)",
        "Weights, shares and strengths: shop judgement, not statistics",
        "Complaint: fades slowly; yet step 8",
        "Next best test. Spark tester in line, run till it quits. 30 min",
        "Spark gone: ‘Tank vent blocked’ falls",
        STILL_HOT.rstrip("."),
        "coil 6.52, cap 4.38",
        "Pays if the chance of a comeback is above 4 %",
        "by the shop’s weights, not statistics",
        "W. Swap test. Likely the ignition coil",
        "Ignition coil: Confirmed",
    ):
        assert text in told, text


def test_while_none_may_be_named_it_says_so_and_no_row_is_large(
    open_findings: OpenFindings,
) -> None:
    """The headline stands above the ranking."""
    shell, desk = open_findings(UNNAMED)
    assert shell.findings.headline.isVisible()
    assert shell.findings.headline.accessibleName() == UNNAMED.named_text
    assert not any(t.value.row.named for t in shell.findings.causes.targets)
    desk.shown = FIVE
    shell.tick()
    assert not shell.findings.headline.isVisible()


def test_no_share_is_shown_without_whose_judgement_it_is(open_findings: OpenFindings) -> None:
    """A chance in hundredths stands beside the words for it, or not at all."""
    shell, desk = open_findings(STAKE_ROOM)
    assert STAKE.chance_text.rstrip(".") in said(shell.findings)
    desk.shown = CAUSE
    shell.tick()
    assert "by the shop’s own weights; judgement, not statistics" in said(shell.findings)


def test_rooms_tell_themselves(open_findings: OpenFindings) -> None:
    """Each says what it shows, signs included."""
    shell, desk = open_findings(EVIDENCE)
    assert f"{EVIDENCE_ROWS[0].name}. Step 8: opens hot" in said(shell.findings)
    for view, texts in (
        (replace(SWAP, swap=SWAP_LIKELY), ("Old part: fault, 1 hot run", "Cause not separated")),
        (SWAP, (SWAP_EMPTY.next_text, "1. Fault. old part in")),
        (STAKE_ROOM, ("Part half to half more: 28 % to 48 %", "Labour: 20 min at $84.00")),
        (
            REPAIR_ROOM,
            (
                "Clean run under load: 40 min / 75 min, not yet",
                "Confirmed: Ignition coil.",
                *REPAIR.serviced,
            ),
        ),
        (replace(FIVE, series=SERIES), ("path 10.93 ±0.11. Adds up",)),
        (replace(FIVE, series=VOID), ("Electronics are in the path",)),
        (replace(FIVE, said_aloud=(BOTH_WAYS,)), (BOTH_WAYS,)),
        (NOTHING, ("The spec book has no causes", "No cause to test for")),
    ):
        desk.shown = view
        shell.tick()
        for text in texts:
            assert text in said(shell.findings), text


@pytest.mark.parametrize("name", FINDINGS_STATES)
def test_every_part_in_sight_has_a_name(open_findings: OpenFindings, name: str) -> None:
    """Whatever is painted can be read aloud."""
    shell, _desk = open_findings(FINDINGS_STATES[name])
    QApplication.processEvents()
    silent = [
        type(part).__name__
        for kind in (Part, Target)
        for part in shell.findings.findChildren(kind)
        if part.isVisible() and not part.accessibleName()
    ]
    assert silent == []


def test_targets_are_large_enough(open_findings: OpenFindings) -> None:
    """44 units high wherever something is pressed."""
    shell, desk = open_findings(FIVE)
    small: list[tuple[str, str, int]] = []
    for name, view in FINDINGS_STATES.items():
        desk.shown = view
        shell.tick()
        QApplication.processEvents()
        small += [
            (name, type(target).__name__, target.height())
            for target in shell.findings.findChildren(Target)
            if target.isVisible() and target.height() / shell.look.s < 43.5
        ]
    assert small == []


def test_the_page_opens_on_the_bench_view_given(open_window: OpenWindow) -> None:
    """The slip on the left is the findings' own, with how much is done."""
    shell = open_window(bench=STEADYING, findings=FIVE)
    shell.turn(Turn(page="bench", visit_id="v1"))
    shell.turn(Turn(page="findings"))
    slip = shell.findings.slip
    assert slip.value.hint == "8 of 9 done"
    assert "Heat run, coil secondary 2 breaks Opens hot" in slip.accessibleName()
