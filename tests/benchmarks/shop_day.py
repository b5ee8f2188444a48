"""A drawn visit from its opening to its hand-over, entry by entry, as the bench writes it."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Final

from benchassist.core.band import Band, Verdict
from benchassist.core.entry import (
    Closed,
    Did,
    Entry,
    LeadsZeroed,
    Looked,
    Noted,
    OptionChosen,
    PartFitted,
    PartMarked,
    RunEnded,
    RunMarked,
    RunStarted,
    Service,
    Serviced,
    Skipped,
    Struck,
    Taken,
    TemperatureSet,
)
from benchassist.core.estimate import PartTemperature
from benchassist.core.obligation import ANSWERS
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.run import MarkKind, RunHeader, RunKind
from benchassist.core.stamp import Stamp
from benchassist.core.visit import VisitHeader
from tests.benchmarks import shop_part, shop_words
from tests.benchmarks.shop_part import PartState
from tests.benchmarks.shop_plan import FIRST_DAY
from tests.benchmarks.shop_run import ENGINE, HEAT, RunLog, run_log

FITTED: Final = ("coil", "cap", "plug")


@dataclass(frozen=True, slots=True)
class DrawnRun:
    """A run and the log whose samples it holds."""

    header: RunHeader
    log: RunLog


class VisitDay:
    """Writes one visit's entries."""

    def __init__(
        self,
        chance: Random,
        header: VisitHeader,
        parts: dict[str, PartState],
        options: dict[str, str],
    ) -> None:
        self.entries: list[Entry] = []
        self.runs: list[DrawnRun] = []
        self._chance, self._header, self._parts, self._options = chance, header, parts, options
        self._at: datetime = header.opened_at
        self._years = (header.opened_at - FIRST_DAY).days / 365.25
        self._shop = round(chance.uniform(14.0, 26.0), 1)

    def work(self, readings: int, run: int, *, is_open: bool) -> None:
        """The whole visit; one still open ends half-way through its checks."""
        chance, checks = self._chance, self._header.procedure.checks
        shop = PartTemperature(celsius=self._shop)
        self._write(TemperatureSet(stamp=self._stamp(), temperature=shop, shop=True))
        zero = shop_part.ZERO
        self._write(
            LeadsZeroed(stamp=self._stamp(), channel="A", zero=zero, meter=shop_part.HAND_HELD)
        )
        self._choose_options()
        measured = [c for c in checks if c.kind in {CheckKind.MEASURE, CheckKind.GAUGE}]
        times = dict.fromkeys((c.key for c in measured), 1)
        for _ in range(readings - len(measured)):
            times[chance.choice(measured).key] += 1
        for check in reversed(measured):
            if sum(times.values()) > readings:
                times[check.key] = 0
        faulty = chance.choice(measured).key if chance.random() < 0.35 else ""
        half = len(checks) // 2
        for place, check in enumerate(checks):
            if check.kind is CheckKind.LOOK:
                if not is_open or place < half:
                    self._look(check)
            elif check.kind is CheckKind.RUN:
                run = self._run(check, run)
            elif times[check.key]:
                self._measure(check, times[check.key], worked=check.key == faulty)
        self._remarks()
        if not is_open:
            self._hand_over()

    def _choose_options(self) -> None:
        groups = {c.option_group: c for c in self._header.procedure.checks if c.options}
        for group, check in groups.items():
            keys = [option.key for option in check.options]
            key = self._options.setdefault(group, keys[0])
            if key not in keys:
                key = keys[0]
            self._write(OptionChosen(stamp=self._stamp(), option_group=group, option_key=key))

    def _band(self, check: Check) -> Band | None:
        if not check.options:
            return check.band
        keys = {option.key: option for option in check.options}
        chosen = self._options[check.option_group]
        return (keys.get(chosen) or check.options[0]).band

    def _look(self, check: Check) -> None:
        if self._chance.random() < 0.1 and check.key != "stop_wire_back":
            self._write(Skipped(stamp=self._stamp(), check_key=check.key, reason="not this time"))
            return
        sound = check.key == "stop_wire_back" or self._chance.random() < 0.8
        answer = check.answers[0] if sound else self._chance.choice(check.answers)
        self._write(Looked(stamp=self._stamp(), check_key=check.key, answer_key=answer.key))

    def _measure(self, check: Check, times: int, *, worked: bool) -> None:
        """Readings of a check: some redone, some struck, with work between two of them."""
        chance, band, last = self._chance, self._band(check), None
        state = self._parts.get(check.key)
        if state is None:
            state = self._parts[check.key] = shop_part.new_part(chance, check, band)
        for n in range(times):
            if worked and n == times // 2 and n:
                self._repair(check, band)
                state, last = self._parts[check.key], None
            redo = last is not None and chance.random() < 0.15
            last = self._take(check, band, state, supersedes=last if redo else None)
            if chance.random() < 0.02 and n + 1 < times:
                self._write(Struck(stamp=self._stamp(), check_key=check.key, entry_id=last))
                last = None

    def _take(
        self, check: Check, band: Band | None, state: PartState, *, supersedes: str | None
    ) -> str:
        copper = band is not None and band.copper
        celsius = self._shop + (self._chance.uniform(0.0, 25.0) if copper else 0.0)
        stamp = self._stamp()
        reading = shop_part.shown(
            self._chance,
            check,
            state.after(self._years),
            copper=copper,
            celsius=celsius,
            t_s=round((stamp.at - self._header.opened_at).total_seconds(), 3),
        )
        entry = shop_part.taken(
            stamp,
            check,
            band,
            reading,
            temperature=PartTemperature(celsius=round(celsius, 1)),
            supersedes=supersedes,
        )
        self._write(entry)
        return stamp.id

    def _repair(self, check: Check, band: Band | None) -> None:
        """Work at a check, or its part renewed; either way it is another value after."""
        chance = self._chance
        if check.part in FITTED and chance.random() < 0.7:
            self._write(
                PartFitted(
                    stamp=self._stamp(),
                    part=check.part,
                    name=f"{check.part}, new",
                    number=shop_words.serial(chance),
                    cost=round(chance.uniform(4.0, 70.0), 2),
                    currency="EUR",
                    old_kept=chance.random() < 0.3,
                    check_key=check.key,
                )
            )
        else:
            text = chance.choice(shop_words.WORK)
            self._write(Did(stamp=self._stamp(), text=text, check_key=check.key))
        self._parts[check.key] = shop_part.new_part(chance, check, band)

    def _run(self, check: Check, run: int) -> int:
        """A run where one is due and this check logs one; else the check is passed over."""
        chosen = self._options.get(check.option_group, "")
        option = next((o for o in check.options if o.key == chosen), None)
        plan = check.plan(option)
        kinds = {RunKind.HEAT: HEAT, RunKind.ENGINE: ENGINE}
        if run < 0 or plan is None or plan.kind not in kinds:
            if self._chance.random() < 0.5:
                self._write(Skipped(stamp=self._stamp(), check_key=check.key))
            return run
        logs = kinds[plan.kind]
        log = run_log(logs[run % len(logs)])
        header = RunHeader(
            id=uuid(self._chance), visit_id=self._header.id, check_key=check.key, kind=plan.kind
        )
        self.runs.append(DrawnRun(header, log))
        self._write(
            RunStarted(
                stamp=self._stamp(),
                check_key=check.key,
                run_id=header.id,
                plan=plan,
                meter=shop_part.HAND_HELD,
                thermometer="typed" if plan.kind is RunKind.HEAT else "",
                accuracy=shop_part.STATED,
            )
        )
        for mark in log.marks:
            self._write(
                RunMarked(
                    stamp=self._stamp(),
                    check_key=check.key,
                    run_id=header.id,
                    t_s=mark.t_s,
                    kind=MarkKind.TEMPERATURE,
                    value=mark.celsius,
                    resolution=1.0,
                )
            )
        self._write(
            RunEnded(
                stamp=self._stamp(),
                check_key=check.key,
                run_id=header.id,
                heat=log.heat,
                engine=log.engine,
            )
        )
        return -1

    def _remarks(self) -> None:
        chance = self._chance
        if chance.random() < 0.4:
            self._write(Noted(stamp=self._stamp(), text=chance.choice(shop_words.NOTES)))
        if chance.random() < 0.3:
            service = chance.choice(list(Service))
            self._write(Serviced(stamp=self._stamp(), service=service, grade="SAE 30"))

    def _hand_over(self) -> None:
        """Put back what was undone, close, and now and then mark a part as known to be good."""
        procedure = self._header.procedure
        done = {e.check_key: e.stamp.seq for e in self.entries if isinstance(e, ANSWERS)}
        for key in dict.fromkeys(c.obliges for c in procedure.checks if c.obliges):
            after = max(done.get(c.key, 0) for c in procedure.checks if c.obliges == key)
            if after > done.get(key, 0):
                answer = procedure.check(key).answers[0].key
                self._write(Looked(stamp=self._stamp(), check_key=key, answer_key=answer))
        self._at += timedelta(hours=self._chance.randrange(1, 48))
        self._write(Closed(stamp=self._stamp(), summary="handed over"))
        gone = {e.supersedes for e in self.entries if isinstance(e, Taken)}
        gone |= {e.entry_id for e in self.entries if isinstance(e, Struck)}
        for entry in tuple(self.entries):
            if (
                isinstance(entry, Taken)
                and entry.judgement.verdict is Verdict.IN_BAND
                and entry.stamp.id not in gone
                and self._chance.random() < 0.005
            ):
                self._write(
                    PartMarked(
                        stamp=self._stamp(), check_key=entry.check_key, entry_id=entry.stamp.id
                    )
                )

    def _write(self, entry: Entry) -> None:
        self.entries.append(entry)

    def _stamp(self) -> Stamp:
        self._at += timedelta(seconds=self._chance.randrange(20, 180), microseconds=1)
        return Stamp(
            id=uuid(self._chance),
            visit_id=self._header.id,
            seq=len(self.entries) + 1,
            at=self._at,
        )


def uuid(chance: Random) -> str:
    """Return a random id of version 4."""
    digits = f"{chance.getrandbits(128):032x}"
    return (
        f"{digits[:8]}-{digits[8:12]}-4{digits[13:16]}-"
        f"{'89ab'[chance.getrandbits(2)]}{digits[17:20]}-{digits[20:]}"
    )
