"""A run in a test's hands: readings and keys in, marks made as the host makes them, told again."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Protocol

from benchassist.core.accuracy import Accuracy
from benchassist.core.entry import RunMarked, Stamp
from benchassist.core.procedure import Check, CheckKind
from benchassist.core.reading import Reading
from benchassist.core.run import RunGap, RunPlan
from benchassist.core.run_finding import Finding
from benchassist.services.runs.view import RunStage, RunView
from benchassist.services.runs.work import Draft, Earlier, RunSetting, RunWork
from benchassist.units import UnitChoice

AT = datetime(2026, 6, 9, 9, 0, tzinfo=UTC)


class Maker(Protocol):
    """What makes a work: its class."""

    def __call__(self, setting: RunSetting) -> RunWork: ...


def setting_of(
    plan: RunPlan,
    *,
    units: UnitChoice | None = None,
    accuracy: Accuracy | None = None,
    earlier: Earlier | None = None,
    shop_celsius: float | None = None,
) -> RunSetting:
    """What a work is made for, of a check that has this plan."""
    return RunSetting(
        check=Check(key="run", title="A run", short="Run", kind=CheckKind.RUN, run=plan),
        plan=plan,
        units=units or UnitChoice(),
        accuracy=accuracy,
        earlier=earlier,
        shop_celsius=shop_celsius,
    )


class RunBench:
    """One run at work; `told` is all it was told, in order."""

    def __init__(self, make: Maker, setting: RunSetting) -> None:
        self._make = make
        self.setting = setting
        self.work = make(setting)
        self.told: list[Reading | RunMarked | RunGap] = []
        self.now_s = 0.0

    def take(self, readings: Iterable[Reading]) -> None:
        """Readings as a meter sends them."""
        for reading in readings:
            self.now_s = max(self.now_s, reading.t_s)
            self.told.append(reading)
            self.work.take(reading)

    def gap(self, gap: RunGap) -> None:
        """Readings are missing."""
        self.now_s = max(self.now_s, gap.end_s)
        self.told.append(gap)
        self.work.gap(gap)

    def press(self, action: str, argument: str = "", *, at: float | None = None) -> None:
        """A key, at a second of the run."""
        self.now_s = self.now_s if at is None else at
        self._write(self.work.act(action, argument, self.now_s))

    def type(self, text: str, *, after: float = 3.0) -> None:
        """A line typed in answer to what is asked, some seconds after the key."""
        assert self.work.question() is not None
        self._write(self.work.read(text, self.now_s + after))

    def _write(self, drafts: Sequence[Draft]) -> None:
        for draft in drafts:
            mark = RunMarked(
                stamp=Stamp(id=f"m{len(self.told)}", visit_id="v", seq=len(self.told), at=AT),
                check_key="run",
                run_id="r",
                t_s=draft.t_s,
                kind=draft.kind,
                value=draft.value,
                resolution=draft.resolution,
                text=draft.text,
            )
            self.told.append(mark)
            self.work.mark(mark)

    @property
    def marks(self) -> list[RunMarked]:
        """The marks that were made."""
        return [item for item in self.told if isinstance(item, RunMarked)]

    @property
    def view(self) -> RunView:
        """What shows while it runs."""
        return self.work.view(self.now_s, RunStage.RUNNING)

    @property
    def ended(self) -> RunView:
        """What shows once it ended."""
        return self.work.view(self.now_s, RunStage.ENDED)

    @property
    def finding(self) -> Finding:
        """What was found up to now."""
        return self.work.finding(end_s=self.now_s)

    def again(self) -> Finding:
        """What a fresh work finds that is told the same."""
        work = self._make(self.setting)
        for item in self.told:
            match item:
                case Reading():
                    work.take(item)
                case RunGap():
                    work.gap(item)
                case RunMarked():
                    work.mark(item)
        return work.finding(end_s=self.now_s)
