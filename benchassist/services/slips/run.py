"""Runs on the slip: their pictures, before the work and after it, and the pair of both."""

from collections.abc import Iterable

from benchassist.core.entry import Did, RunEnded, Taken
from benchassist.core.run_log import runs_at
from benchassist.core.slip import Pair, SlipPlot
from benchassist.core.visit import Visit
from benchassist.services.needs import RunStore
from benchassist.services.runs.line import ended_words, heard_text
from benchassist.services.runs.past import past_plot
from benchassist.services.translation import _
from benchassist.units import UnitChoice

HOT_FROM = 50.0
"""Celsius from which a part counts as hot (shop judgement): warmer than any part at rest."""
BUCKETS = 600
"""Of a run's picture: finer than print shows."""


def standing_runs(visit: Visit) -> list[RunEnded]:
    """The run that stands for each check that has one, in order."""
    latest = (visit.latest(check.key) for check in visit.procedure.checks)
    return [ended for ended in latest if isinstance(ended, RunEnded)]


def was_hot(ended: RunEnded) -> bool:
    """Whether a run saw its part hot."""
    hottest = ended.heat.hottest if ended.heat is not None else None
    return hottest is not None and hottest >= HOT_FROM


def is_hot(taken: Taken) -> bool:
    """Whether a reading was taken of a hot part."""
    temperature = taken.conditions.part_temperature
    return temperature is not None and temperature.celsius >= HOT_FROM


def hot_text(hot: list[str]) -> str:
    """What the readings say of a fault that shows only hot: less than one would like."""
    if not hot:
        return _("Nothing was measured hot: a fault that shows only hot is not ruled out.")
    text = _("Measured hot: {names} only. Elsewhere a fault that shows only hot is not ruled out.")
    return text.format(names=", ".join(hot))


def runs_in_short(visit: Visit, units: UnitChoice) -> list[str]:
    """Each run that stands in a few words: 'Heat run: 2 breaks'."""
    return [
        _("{name}: {words}").format(
            name=visit.procedure.check(ended.check_key).title,
            words=ended_words(visit, ended, units).words,
        )
        for ended in standing_runs(visit)
    ]


def before_and_after(visit: Visit, check_key: str) -> tuple[RunEnded, RunEnded] | None:
    """The last run of a check before work was done there and the last one after it."""
    done = [e.stamp.seq for e in visit.entries if isinstance(e, Did) and e.check_key == check_key]
    if not done:
        return None
    runs = runs_at(visit, check_key)
    before = [r for r in runs if r.stamp.seq < done[0]]
    after = [r for r in runs if r.stamp.seq > done[-1]]
    return (before[-1], after[-1]) if before and after else None


def run_pair(visit: Visit, did: Did, units: UnitChoice) -> Pair | None:
    """A piece of work between two runs of its check; None where it was not."""
    both = before_and_after(visit, did.check_key) if did.check_key else None
    if both is None:
        return None
    before, after = (ended_words(visit, ended, units) for ended in both)
    return Pair(
        name=did.text,
        before=before.words,
        after=after.words,
        ruler=after.ruler,
        verdict=after.verdict,
        side=after.side,
        verdict_text=after.verdict_text,
    )


def run_plots(visit: Visit, units: UnitChoice, runs: RunStore | None) -> Iterable[SlipPlot]:
    """The picture of each run that stands, and of the one before the work beside it."""
    for check in visit.procedure.checks:
        both = before_and_after(visit, check.key)
        latest = visit.latest(check.key)
        if both is not None:
            shown = list(zip((_("Before"), _("After")), both, strict=True))
        else:
            shown = [("", latest)] if isinstance(latest, RunEnded) else []
        for when, ended in shown:
            plot = past_plot(visit, ended, runs, units, buckets=BUCKETS)
            if plot is None:
                continue
            words = ended_words(visit, ended, units)
            caption = heard_text(check, words)
            name = f"{check.title}, {when.lower()}" if when else check.title
            elsewhere = _("{name}: no room for its plot here; it is kept with this visit, ask us.")
            yield SlipPlot(
                title=check.title,
                plot=plot,
                caption=f"{when}: {caption[:1].lower()}{caption[1:]}" if when else caption,
                elsewhere=elsewhere.format(name=name),
            )
