"""A small book of causes and visits that speak for one or the other; all figures invented."""

from collections.abc import Iterable
from dataclasses import replace

from benchassist.core.cause import Bearing, Cause, CauseBook, Evidence, Outcome
from benchassist.core.entry import (
    Did,
    EvidenceSet,
    Interview,
    Looked,
    OptionChosen,
    PartFitted,
    RunEnded,
    Skipped,
    Struck,
    SwapTried,
    Taken,
)
from benchassist.core.procedure import Answer, Check, CheckKind, Leaning
from benchassist.core.quantity import Quantity
from benchassist.core.run import DrillStep, HeatedPart, RunKind, RunPlan
from benchassist.core.run_finding import (
    Doubt,
    DrillAnswer,
    DrillFinding,
    HeatEvent,
    HeatEventKind,
    HeatFinding,
)
from benchassist.core.swap import Fitted, Trial
from benchassist.core.visit import Visit, VisitHeader
from tests.core import entries

HEAT = RunPlan(kind=RunKind.HEAT)
DRILL = RunPlan(
    kind=RunKind.DRILL,
    drill=(
        DrillStep(key="spark", question="Spark?", answers=(("yes", "spark"), ("none", "no spark"))),
    ),
)


def evidence(
    key: str, source: str, *outcomes: tuple[str, float], minutes: float = 5.0, **more: object
) -> Evidence:
    """A piece of evidence; outcomes as key and share."""
    plain = Evidence(
        key=key,
        name=key.replace("_", " ").capitalize(),
        source=source,
        minutes=minutes,
        outcomes=tuple(
            Outcome(key=name, text=name.replace("_", " "), base=share) for name, share in outcomes
        ),
    )
    return replace(plain, **more)  # type: ignore[arg-type]


def bears(**outcomes: float) -> tuple[Bearing, ...]:
    """Bearings as evidence__outcome=ratio."""
    pairs = ((key.split("__"), ratio) for key, ratio in outcomes.items())
    return tuple(Bearing(evidence=e, outcome=o, ratio=ratio) for (e, o), ratio in pairs)


def book() -> CauseBook:
    """Coil, cap and vent, with everything a bench can say of them."""
    return CauseBook(
        complaint="quits_hot",
        version="1",
        note="Shop judgement, not statistics",
        other_weight=2.0,
        evidence=(
            evidence("how_it_quits", "question:how", ("sudden", 0.5), ("fading", 0.5), minutes=0.0),
            replace(
                evidence("soon", "question:minutes", ("early", 0.4), ("late", 0.6), minutes=0.0),
                outcomes=(
                    Outcome(key="early", text="within ten minutes", base=0.4, when=("under:600",)),
                    Outcome(key="late", text="later", base=0.6, when=("from:600 under:36000",)),
                ),
            ),
            evidence("vent", "look:fuel_vent", ("free", 0.9), ("blocked", 0.1), minutes=1.0),
            evidence(
                "coil",
                "reading:coil_secondary",
                ("in_band", 0.9),
                ("high", 0.05),
                ("open", 0.05),
                minutes=4.0,
            ),
            evidence(
                "cap",
                "reading:cap",
                ("in_band", 0.85),
                ("high", 0.1),
                ("open", 0.05),
                minutes=3.0,
            ),
            evidence(
                "heat_run",
                "run:heat_run",
                ("not_reproduced", 0.9),
                ("open", 0.05),
                ("departure", 0.05),
                minutes=90.0,
            ),
            evidence("spark", "drill:spark", ("yes", 0.6), ("none", 0.4), minutes=30.0),
            evidence(
                "swap_coil",
                "swap:coil",
                ("proved", 0.005),
                ("likely", 0.145),
                ("not_this_part", 0.85),
                minutes=60.0,
                cautions=("hot_engine",),
            ),
            evidence(
                "bowl_flow",
                "look:bowl_flow",
                ("steady", 0.8),
                ("fades", 0.2),
                minutes=3.0,
                by_hand=True,
                cautions=("fuel_open",),
            ),
        ),
        causes=(
            Cause(
                key="coil_hot",
                name="Coil opens when hot",
                weight=3.0,
                part="coil",
                test="heat_run",
                fix="Fit a coil.",
                cautions=("high_voltage",),
                bearings=bears(
                    how_it_quits__sudden=1.6,
                    spark__none=2.2,
                    coil__in_band=0.95,
                    coil__open=2.5,
                    heat_run__open=8.0,
                    heat_run__not_reproduced=0.6,
                    swap_coil__proved=100.0,
                    swap_coil__not_this_part=0.1,
                ),
            ),
            Cause(
                key="cap_bad",
                name="Plug cap or lead",
                weight=3.0,
                part="cap",
                test="cap",
                fix="Renew the cap.",
                bearings=bears(
                    how_it_quits__sudden=1.3,
                    spark__none=2.0,
                    cap__high=2.0,
                    cap__open=6.0,
                ),
            ),
            Cause(
                key="vent_blocked",
                name="Fuel cap vent blocked",
                weight=6.0,
                part="fuel cap",
                test="vent",
                fix="Renew the fuel cap.",
                bearings=bears(
                    how_it_quits__fading=1.6,
                    spark__none=0.2,
                    vent__blocked=7.0,
                    bowl_flow__fades=2.0,
                ),
            ),
        ),
    )


def header(*, causes: CauseBook | None = None, electronics: bool | None = False) -> VisitHeader:
    """A visit of a machine that quits hot, its causes frozen in."""
    plain = entries.header()
    usual = plain.procedure
    own = (
        Check(
            key="fuel_vent",
            title="Fuel cap vent",
            short="Vent",
            kind=CheckKind.LOOK,
            part="fuel cap",
            answers=(
                Answer(key="free", text="breathes freely", leaning=Leaning.SOUND),
                Answer(key="blocked", text="blocked", leaning=Leaning.SUSPECT),
                Answer(key="not_seen", text="cannot be told"),
            ),
        ),
        Check(
            key="quit_drill",
            title="Quit drill",
            short="Drill",
            kind=CheckKind.RUN,
            part="engine",
            run=DRILL,
        ),
    )
    steps = tuple(replace(c, part=PARTS.get(c.key, "")) for c in usual.checks)
    path = Check(
        key="path",
        title="Whole path, cap to core",
        short="Path",
        kind=CheckKind.MEASURE,
        quantity=Quantity.RESISTANCE,
        part="coil",
    )
    heat = Check(
        key="heat_run",
        title="Heat run",
        short="Heat run",
        kind=CheckKind.RUN,
        part="coil",
        run=HEAT,
    )
    return replace(
        plain,
        causes=book() if causes is None else causes,
        interview=Interview(complaint="Quits hot, restarts cold", words="quits after 25 min"),
        procedure=replace(usual, checks=(*own, *steps, path, heat), electronics=electronics),
    )


PARTS = {"coil_secondary": "coil", "cap": "cap", "stop_insulation": "stop circuit"}


class Told:
    """A visit told entry by entry."""

    def __init__(self, head: VisitHeader | None = None, **answers: str) -> None:
        head = head or header()
        kept = replace(head.interview, answers=tuple(answers.items()))
        self.visit = Visit(replace(head, interview=kept))

    def read(self, key: str, ohm: float | None, *, supersedes: str | None = None) -> Taken:
        """A reading taken."""
        taken = entries.taken(self.visit, key, ohm, supersedes=supersedes)
        self.visit.apply(taken)
        return taken

    def mark(self, group: str, key: str) -> None:
        """The marking that picks a band."""
        self.visit.apply(
            OptionChosen(stamp=entries.stamp(self.visit), option_group=group, option_key=key)
        )

    def look(self, key: str, answer: str) -> Looked:
        """A look answered."""
        looked = Looked(stamp=entries.stamp(self.visit), check_key=key, answer_key=answer)
        self.visit.apply(looked)
        return looked

    def skip(self, key: str) -> None:
        """A step passed over."""
        self.visit.apply(Skipped(stamp=entries.stamp(self.visit), check_key=key))

    def strike(self, entry: Taken | Looked | RunEnded) -> None:
        """Take it back."""
        self.visit.apply(
            Struck(
                stamp=entries.stamp(self.visit),
                check_key=entry.check_key,
                entry_id=entry.stamp.id,
            )
        )

    def heat(self, *events: HeatEvent, doubts: Iterable[Doubt] = ()) -> RunEnded:
        """A heat run of the coil that found these events."""
        finding = HeatFinding(
            part=HeatedPart.WINDING,
            reproduced=bool(events),
            departure_assessed=True,
            events=events,
            hottest=92.0,
            cycles=2,
            duration_s=3600.0,
            used=900,
            doubts=tuple(doubts),
        )
        ended = RunEnded(
            stamp=entries.stamp(self.visit),
            check_key="heat_run",
            run_id=f"r{self.visit.next_seq}",
            heat=finding,
        )
        self.visit.apply(ended)
        return ended

    def drill(self, *, late: bool = False, **answers: str) -> RunEnded:
        """A quit drill."""
        ended = RunEnded(
            stamp=entries.stamp(self.visit),
            check_key="quit_drill",
            run_id=f"r{self.visit.next_seq}",
            drill=DrillFinding(
                answers=tuple(
                    DrillAnswer(step=step, answer=answer, t_s=10.0)
                    for step, answer in answers.items()
                ),
                late=tuple(answers) if late else (),
            ),
        )
        self.visit.apply(ended)
        return ended

    def say(
        self, key: str, outcome: str | None, reason: str = "seen so", *, lifted: bool = False
    ) -> None:
        """A person's word on a piece of evidence."""
        self.visit.apply(
            EvidenceSet(
                stamp=entries.stamp(self.visit),
                evidence=key,
                outcome=outcome,
                reason=reason,
                lifted=lifted,
            )
        )

    def swap(
        self,
        *trials: tuple[str, bool],
        part: str = "coil",
        bundled: tuple[str, ...] = (),
        share: float | None = None,
        cycles: int = 1,
    ) -> None:
        """Trials as ('old', True): the old part in, the fault showed."""
        for fitted, fault in trials:
            self.visit.apply(
                SwapTried(
                    stamp=entries.stamp(self.visit),
                    part=part,
                    trial=Trial(fitted=Fitted(fitted), fault=fault, cycles=cycles),
                    bundled=bundled,
                    share=share,
                )
            )

    def fit(self, part: str = "coil", check_key: str = "") -> None:
        """A part fitted for good."""
        self.visit.apply(
            PartFitted(
                stamp=entries.stamp(self.visit), part=part, name=part.title(), check_key=check_key
            )
        )

    def work(self, key: str, text: str = "Cleaned") -> None:
        """Work done at a check."""
        self.visit.apply(Did(stamp=entries.stamp(self.visit), text=text, check_key=key))


def broke(*, again: bool = True) -> HeatEvent:
    """An open at 76 celsius that reclosed, or that never did."""
    return HeatEvent(
        kind=HeatEventKind.OPEN,
        start_s=1200.0,
        before=8000.0,
        end_s=1260.0 if again else None,
        celsius=76.0,
    )
