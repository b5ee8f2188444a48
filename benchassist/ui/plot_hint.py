"""The keys of a plot on the strip, as far as they lead anywhere from what is in view."""

from collections.abc import Iterator

from benchassist.services.bench.view import KeyHint
from benchassist.services.translation import _
from benchassist.ui.live_plot import LivePlot


def event_hints(plot: LivePlot) -> Iterator[KeyHint]:
    """To the event after and before."""
    after = KeyHint(press="PgDown", text=_("Next event"), action="event_after", main=True)
    before = KeyHint(press="PgUp", text=_("Event before"), action="event_before")
    for hint, step in ((after, 1), (before, -1)):
        if plot.flags_ahead(step):
            yield hint


def zoom_hints(plot: LivePlot) -> Iterator[KeyHint]:
    """Closer, and back to the whole."""
    yield KeyHint(press="+", text=_("Closer"), action="closer")
    if not plot.is_whole:
        yield KeyHint(press="-", text=_("Wider"), action="wider")
        yield KeyHint(press="Home", text=_("Whole"), action="whole")
