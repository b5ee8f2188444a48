"""Which lag lies between thermometer and winding: guesses, judged by what they leave over.

A thermometer late by a first-order lag shows the low-passed temperature, so the low-passed
resistance lies on the copper line; a winding late behind its surface lies on it at the low-passed
reading. Each guess filters the one or the other, learns its own resistance at 20 celsius, and adds
up the squares of what it leaves over; the guesses that leave little remain plausible. Where a part
is a coil in series with a cap of unknown share, each guess has a share too.
"""

from math import exp
from typing import Final

from benchassist.core.copper import ALPHA_20

LATE: Final = (0.0, 1.0, 3.0, 6.0, 10.0, 15.0, 21.0, 29.0, 39.0, 52.0, 70.0, 95.0, 130.0)
"""Seconds by which the thermometer may be late..."""
BEHIND: Final = (-1.5, -5.0, -12.0, -22.0, -36.0, -60.0, -100.0, -160.0)
"""...and, below zero, by which the winding may be late behind the thermometer."""
FEW: Final = (0.0, 12.0, 40.0, -30.0)
"""Where the share of copper is guessed too."""
LEAST: Final = 0.1
"""Copper at -209 celsius: only a guess far out of place comes there."""
UNLIKELY: Final = 3.0
"""Kelvin between thermometer and winding that are one standard deviation of what is usual."""
SHARES: Final = tuple(step / 20.0 for step in range(21))


class Guess:
    """One lag, one share of copper, one way to have begun."""

    __slots__ = (
        "apart",
        "cost",
        "count",
        "filtered",
        "lag",
        "last",
        "left",
        "r20",
        "rested",
        "share",
        "total",
    )

    def __init__(self, lag: float, share: float, *, rested: bool = False) -> None:
        """`rested`: all was at rest before the first tick, else it had gone as it goes on."""
        self.lag, self.share, self.rested = lag, share, rested
        self.count = 0
        self.total = self.r20 = self.cost = self.filtered = 0.0
        self.last = self.left = self.apart = 0.0

    def factor(self, celsius: float) -> float:
        """Resistance at a temperature to the one at 20 celsius; never near zero or below it."""
        factor = 1.0 + self.share * (ALPHA_20 * (celsius - 20.0))
        return factor if factor > LEAST else LEAST  # noqa: FURB136  a call costs more, every tick

    def begin(self, ohms: float, celsius: float, rise: float, warming: float) -> None:
        """Start the filter where both rise, in ohm and in kelvin a second."""
        if self.rested:
            rise = warming = 0.0
        if self.lag >= 0.0:
            self.last, self.filtered = ohms, ohms - self.lag * rise
        else:
            self.last, self.filtered = celsius, celsius + self.lag * warming

    def resume(self, ohms: float, celsius: float) -> None:
        """Start the filter anew on the line: the resistance was away for a while."""
        if self.lag > 0.0 and self.count:
            self.last, self.filtered = ohms, self.r20 * self.factor(celsius)

    def at_20(self, passed: float, ohms: float, celsius: float) -> float:
        """Filter on, `passed` seconds later, and return the resistance at 20 celsius it means."""
        lag = self.lag
        if lag == 0.0:
            self.filtered = ohms
            return ohms / self.factor(celsius)
        x = ohms if lag > 0.0 else celsius
        late = lag if lag > 0.0 else -lag
        # Exact for an input that goes straight from one tick to the next.
        behind = late * (x - self.last) / passed if passed > 0.0 else 0.0
        decay = exp(-passed / late)
        self.filtered = x - behind + (self.filtered - self.last + behind) * decay
        self.last = x
        if lag > 0.0:
            return self.filtered / self.factor(celsius)
        return ohms / self.factor(self.filtered)

    def charge(self, spread: float, correlated: float) -> float:
        """Add up what it leaves over, and how far apart it has thermometer and winding."""
        apart = abs(self.last - self.filtered)
        if self.lag > 0.0 and self.share > 0.0:
            apart /= self.r20 * self.share * ALPHA_20
        if self.lag != 0.0 and apart > self.apart:
            self.cost += (apart * apart - self.apart * self.apart) / (UNLIKELY * UNLIKELY)
            self.apart = apart
        self.cost += (self.left / spread) ** 2 / correlated
        return self.cost

    def expected(self, ohms: float, celsius: float) -> float:
        """What the resistance should be now, unfiltered."""
        if self.lag > 0.0:
            return self.r20 * self.factor(celsius) + ohms - self.filtered
        return self.r20 * self.factor(self.filtered if self.lag < 0.0 else celsius)


def bank(share: float | None) -> list[Guess]:
    """The guesses for a share of copper: 1 for a winding, 0 for a cap, None where not known.

    They are in the order of their shares and lags.
    """
    if share is None:
        return [Guess(lag, s) for s in SHARES for lag in sorted(FEW)]
    return [Guess(lag, share) for lag in (sorted(LATE + BEHIND) if share > 0.0 else (0.0,))]


def rested_twins(guesses: list[Guess]) -> list[Guess]:
    """The same guesses with lags, for a run that begins on its way up: at rest until then."""
    return [Guess(g.lag, g.share, rested=True) for g in guesses if g.lag != 0.0]


def neighbours(guesses: list[Guess], best: Guess) -> tuple[Guess, ...]:
    """The guesses of the same kind and share with the next lags on both sides."""
    place = guesses.index(best)
    return tuple(
        guess
        for guess in guesses[max(place - 1, 0) : place + 2]
        if guess is not best and guess.share == best.share and guess.rested == best.rested
    )
