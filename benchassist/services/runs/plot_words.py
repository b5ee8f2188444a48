"""The words on the axes of a run's plot."""

from benchassist.core.run_plot import PlotWords
from benchassist.services.translation import _


def plot_words() -> PlotWords:
    """In the shop's language; goes into `RunPlot.words`."""
    return PlotWords(
        now=_("now"),
        seconds_ago=_("{} s ago"),
        minutes_ago=_("{} min ago"),
        hours_ago=_("{} h ago"),
        minutes=_("min"),
        hours=_("h"),
        spread=_("{} to {}"),
    )
