"""Which stretch of a run a plot shows: the whole, a part of it, or a part that goes with now."""

from dataclasses import dataclass

Span = tuple[float, float]
"""First and last second of the run in view."""

LEAST_SHARE = 1e-7
LEAST_S = 0.02
FOLLOWED = 0.94
"""Where now stands in a view that follows it, as a part of the width."""


@dataclass(slots=True)
class PlotView:
    """The view on a run; the run itself may grow meanwhile.

    `whole` is what is shown by itself, while `own` is None. `first_s` is how far back there is
    something to see: a plot of the last minute has all of the run before it.
    """

    whole: Span = (0.0, 1.0)
    first_s: float = 0.0
    now_s: float | None = None
    own: Span | None = None
    follows: bool = False

    @property
    def span(self) -> Span:
        """What is in view."""
        return self.whole if self.own is None else self.own

    @property
    def at_now(self) -> bool:
        """Whether the view goes with the newest value: the whole of a live run does too."""
        return self.now_s is not None and (self.own is None or self.follows)

    def grow(self, whole: Span, now_s: float | None, first_s: float) -> None:
        """Take a run's new ends; a view that follows moves with now."""
        before = self.now_s
        self.whole, self.now_s, self.first_s = whole, now_s, min(first_s, whole[0])
        if self.own is not None and self.follows and now_s is not None and before is not None:
            self.own = (self.own[0] + now_s - before, self.own[1] + now_s - before)

    def zoom(self, factor: float, about_s: float | None = None) -> None:
        """Show 1 / `factor` of what is in view, the moment `about_s` staying where it is.

        By default that is now in a live view, else the middle. Beyond the whole it is the whole.
        """
        start, end = self.span
        self.follows = False
        if about_s is None:
            about_s = (start + end) / 2.0
            if self.at_now and self.now_s is not None and start <= self.now_s <= end:
                about_s, self.follows = self.now_s, True
        longest = self.whole[1] - self.first_s
        least = min(longest, max(LEAST_S, LEAST_SHARE * longest))
        length = max((end - start) / factor, least)
        if length >= longest:
            self.own, self.follows = (self.first_s, self.whole[1]), False
            if self.first_s >= self.whole[0]:
                self.reset()
            return
        share = (about_s - start) / (end - start)
        self._show(about_s - share * length, length)

    def pan(self, share: float) -> None:
        """Move by a part of what is in view; forwards where positive. Now is not followed then."""
        start, end = self.span
        self.follows = False
        self._show(start + share * (end - start), end - start)

    def show(self, t_s: float) -> None:
        """Bring a moment to the middle; of a whole run, a tenth of it, a minute at least."""
        start, end = self.span
        longest = self.whole[1] - self.whole[0]
        length = min(longest, max(60.0, longest / 10.0)) if self.own is None else end - start
        self.follows = False
        self._show(t_s - length / 2.0, length)

    def set(self, start_s: float, end_s: float) -> None:
        """Show just this stretch, wherever it lies."""
        self.own, self.follows = (start_s, end_s), False

    def follow(self) -> None:
        """Go to now and stay with it."""
        if self.now_s is None or self.own is None:
            return
        length = self.own[1] - self.own[0]
        start = self.now_s - FOLLOWED * length
        self.own, self.follows = (start, start + length), True

    def reset(self) -> None:
        """Show the whole as it is given."""
        self.own, self.follows = None, False

    def _show(self, start: float, length: float) -> None:
        """A stretch of what there is to see."""
        start = min(max(start, self.first_s), self.whole[1] - length)
        self.own = (start, start + length)
