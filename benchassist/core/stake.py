"""Replace or keep: what a replacement costs against what a comeback would, and where they meet.

Amounts are floats of one currency, in its main unit; the shop's settings say which.
"""

from dataclasses import dataclass, replace

from benchassist.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Stake:
    """What is at stake. Times in hours, `rate` an hour; the chances lie between 0 and 1.

    `poor_part` is the chance that the new part is worse than the old one, which brings the machine
    back as well. `downtime`, `return_visit` and `goodwill` are what a comeback costs.
    """

    part: float
    labour_hours: float
    rate: float
    downtime: float
    return_visit: float
    goodwill: float = 0.0
    poor_part: float = 0.0
    currency: str = ""

    def __post_init__(self) -> None:
        """Raise InputError, naming the figure, for what cannot be."""
        for name in (
            "part",
            "labour_hours",
            "rate",
            "downtime",
            "return_visit",
            "goodwill",
        ):
            value = getattr(self, name)
            if not 0.0 <= value < float("inf"):
                raise InputError(f"{name.replace('_', ' ')} {value:g}: 0 or more would be right")
        if not 0.0 <= self.poor_part < 1.0:
            raise InputError(f"poor part {self.poor_part:g}: a chance from 0 to below 1")

    @property
    def comeback(self) -> float:
        """What it costs when the machine comes back."""
        return self.downtime + self.return_visit + self.goodwill

    @property
    def replacement(self) -> float:
        """What replacing costs now, the risk of a poor part with it."""
        return self.part + self.labour_hours * self.rate + self.poor_part * self.comeback

    @property
    def break_even(self) -> float | None:
        """The chance of a comeback above which replacing pays; None: it never does.

        Expected costs are equal where p x comeback = replacement.
        """
        if self.comeback <= 0.0 or self.replacement > self.comeback:
            return None
        return self.replacement / self.comeback

    def pays(self, chance: float) -> bool:
        """Whether replacing costs less than keeping at this chance of a comeback."""
        return chance * self.comeback > self.replacement


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """How the break-even moves when one figure is taken lower and higher."""

    name: str
    low: float | None
    high: float | None


def sensitivity(stake: Stake, *, spread: float = 0.5) -> tuple[Swing, ...]:
    """The break-even with each figure less and more by `spread`, the widest swing first."""
    swings = []
    for name in ("part", "labour_hours", "downtime", "return_visit", "goodwill", "poor_part"):
        value = getattr(stake, name)
        if value <= 0.0:
            continue
        less = replace(stake, **{name: value * (1.0 - spread)})
        more = replace(stake, **{name: min(value * (1.0 + spread), _most(name))})
        swings.append(Swing(name=name, low=less.break_even, high=more.break_even))
    swings.sort(key=lambda s: -abs((s.high or 1.0) - (s.low or 1.0)))
    return tuple(swings)


def _most(name: str) -> float:
    return 0.99 if name == "poor_part" else float("inf")
