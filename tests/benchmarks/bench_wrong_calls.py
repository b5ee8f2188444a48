"""Wrong calls of the bare number and of ours, and how often ours leaves it open.

A simulated part has a true value uniform over [L - 0.6 W, U + 0.6 W] at its reference temperature.
Its meter errs by a rectangle as wide as its statement, displays whole counts, and reads through
leads of 0.1 to 0.5 ohm that were zeroed on the same range, to the count; what the statement allows
is taken to the reading in full, none of it cancels with the zero. The thermometer errs normally by
2 K. What is judged is what the program judges with: a Reading, its Conditions, `judge`.

The bare number is the display held against the band, without leads, temperature or doubt. The best
that could be left open is what the exact posterior leaves at the same one-sided level.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from benchassist.core.accuracy import Accuracy, LeadZero
from benchassist.core.band import Band, Judgement, Side, Verdict, judge
from benchassist.core.copper import ALPHA_20
from benchassist.core.estimate import Conditions, PartTemperature, estimate
from benchassist.core.quantity import Quantity
from benchassist.core.reading import Reading
from benchassist.core.volt_drop import estimate_volt_drop
from tests.benchmarks.figure import Aim, Figure
from tests.benchmarks.posterior import Array, Odds, Prior, posterior, sum_of_rectangles

SEED = 20260609
PARTS = 100_000
K = 2.0
PERCENT, COUNTS = 0.8, 3.0
STATEMENT = Accuracy(percent=PERCENT, counts=COUNTS)
LEAST_DECIDED = 100
U_TEMPERATURE = 2.0
COLDEST, WARMEST = 5.0, 35.0


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was displayed of each part, what ours said of it, what could be known of it at best."""

    truth: Array
    display: Array
    judgements: list[Judgement]
    odds: Odds


@dataclass(frozen=True, slots=True)
class Scenario:
    """A name, a band, and how its parts are measured; None for the share means all undecided."""

    name: str
    low: float
    high: float
    measure: Callable[[np.random.Generator, Prior], Outcome]
    most_undecided: float | None = 1.3


def displayed(rng: np.random.Generator, true: Array, count: float) -> Array:
    """What the meter shows of a true value: in error by at most its statement, in whole counts."""
    half = PERCENT / 100.0 * np.abs(true) + COUNTS * count
    return np.round((true + rng.uniform(-1.0, 1.0, true.size) * half) / count) * count


def half_width(display: Array, count: float) -> Array:
    """The statement at a display."""
    return PERCENT / 100.0 * np.abs(display) + COUNTS * count


def reading(value: float, count: float, full_scale: float, quantity: Quantity) -> Reading:
    """A display as the program has it."""
    return Reading(
        t_s=0.0,
        channel="A",
        quantity=quantity,
        value=value,
        resolution=count,
        full_scale=full_scale,
    )


def ohms(full_scale: float, *, copper: bool) -> Callable[[np.random.Generator, Prior], Outcome]:
    """A part measured in ohms on one range of a 2,000-count meter, through zeroed leads."""
    count = full_scale / 2000.0

    def measure(rng: np.random.Generator, prior: Prior) -> Outcome:
        truth = rng.uniform(prior.start, prior.end, PARTS)
        celsius = rng.uniform(COLDEST, WARMEST, PARTS) if copper else np.full(PARTS, 20.0)
        leads = rng.uniform(0.1, 0.5, PARTS)
        told = celsius + rng.normal(0.0, U_TEMPERATURE, PARTS) if copper else celsius
        display = displayed(rng, truth * (1.0 + ALPHA_20 * (celsius - 20.0)) + leads, count)
        zero = np.round(leads / count) * count
        band = Band(quantity=Quantity.RESISTANCE, low=prior.low, high=prior.high, copper=copper)
        judgements = [
            judge(
                estimate(
                    reading(d, count, full_scale, Quantity.RESISTANCE),
                    Conditions(
                        accuracy=STATEMENT,
                        lead_zero=LeadZero(value=z, resolution=count, full_scale=full_scale),
                        part_temperature=PartTemperature(celsius=t) if copper else None,
                        copper_reference=20.0 if copper else None,
                    ),
                ),
                band,
                k=K,
            )
            for d, z, t in zip(display.tolist(), zero.tolist(), told.tolist(), strict=True)
        ]
        cdf = sum_of_rectangles(half_width(display, count), count / 2.0, count / 2.0)
        net = display - zero

        def of_part(x: Array) -> Array:
            return cdf(x - net)

        if not copper:
            return Outcome(truth, display, judgements, posterior(prior, [(*UNIT, of_part)]))
        nodes = []
        for step in np.linspace(-6.0, 6.0, 49):
            at = told + step * U_TEMPERATURE
            weight = norm.pdf(step) * ((at >= COLDEST) & (at <= WARMEST))
            nodes.append((weight, 1.0 / (1.0 + ALPHA_20 * (at - 20.0)), of_part))
        return Outcome(truth, display, judgements, posterior(prior, nodes))

    return measure


UNIT = (np.ones(1), np.ones(1))


def volt_drop(rng: np.random.Generator, prior: Prior) -> Outcome:
    """The same part by volts and amperes at 40 to 60 mA, each meter with the same statement."""
    count = 1e-4
    truth = rng.uniform(prior.start, prior.end, PARTS)
    current = rng.uniform(0.04, 0.06, PARTS)
    volts = displayed(rng, truth * current, count)
    amperes = displayed(rng, current, count)
    band = Band(quantity=Quantity.RESISTANCE, low=prior.low, high=prior.high, copper=True)
    conditions = Conditions(accuracy=STATEMENT)
    judgements = [
        judge(
            estimate_volt_drop(
                reading(v, count, 0.2, Quantity.VOLTAGE),
                reading(i, count, 0.2, Quantity.CURRENT),
                conditions=conditions,
                current_accuracy=STATEMENT,
            ),
            band,
            k=K,
        )
        for v, i in zip(volts.tolist(), amperes.tolist(), strict=True)
    ]
    of_volts = sum_of_rectangles(half_width(volts, count), count / 2.0)

    def of_part(x: Array) -> Array:
        return of_volts(x - volts)

    nodes = []
    points, weights = np.polynomial.legendre.leggauss(12)
    for a, weight_a in zip(points, weights, strict=True):
        for q, weight_q in zip(points[::3], weights[::3], strict=True):
            true = amperes + a * half_width(amperes, count) + q * count / 2.0
            likely = (true >= 0.04) & (true <= 0.06)
            nodes.append((weight_a * weight_q * likely, 1.0 / true, of_part))
    return Outcome(truth, volts / amperes, judgements, posterior(prior, nodes))


SCENARIOS = (
    Scenario("cap 3.75 to 6.25 kΩ, 20 kΩ range", 3750.0, 6250.0, ohms(2e4, copper=False)),
    Scenario("winding 5.5 to 13 kΩ, 5 to 35 °C", 5500.0, 13000.0, ohms(2e4, copper=True)),
    Scenario("winding 5.9 to 7.1 kΩ, 5 to 35 °C", 5900.0, 7100.0, ohms(2e4, copper=True)),
    Scenario("winding 0.6 to 1.3 Ω, 20 kΩ range", 0.6, 1.3, ohms(2e4, copper=False), None),
    Scenario("winding 0.6 to 1.3 Ω, 200 Ω range", 0.6, 1.3, ohms(200.0, copper=False)),
    Scenario("winding 0.6 to 1.3 Ω, volt drop", 0.6, 1.3, volt_drop),
)


def called_by_number(outcome: Outcome, prior: Prior) -> NDArray[np.int_]:
    """-1, 0 or 1: low, in, high, by the bare number."""
    return np.where(outcome.display < prior.low, -1, np.where(outcome.display > prior.high, 1, 0))


def called_by_us(judgements: list[Judgement]) -> tuple[NDArray[np.int_], NDArray[np.bool_]]:
    """The same by ours, and where it was decided at all."""
    of_side = {None: 0, Side.LOW: -1, Side.HIGH: 1}
    calls = np.array([of_side[j.side] for j in judgements])
    decided = [j.verdict in {Verdict.IN_BAND, Verdict.OUT_OF_BAND} for j in judgements]
    return calls, np.array(decided)


def figures() -> Iterator[Figure]:
    """Two lines a scenario: wrong calls in percent, undecided share in percent."""
    for number, scenario in enumerate(SCENARIOS):
        prior = Prior.around(scenario.low, scenario.high)
        outcome = scenario.measure(np.random.default_rng(SEED + number), prior)
        true = np.where(outcome.truth < prior.low, -1, np.where(outcome.truth > prior.high, 1, 0))
        bare = 100.0 * float(np.mean(called_by_number(outcome, prior) != true))
        calls, decided = called_by_us(outcome.judgements)
        many = int(decided.sum())
        left = 100.0 * float(np.mean(~decided))
        best = 100.0 * float(np.mean(outcome.odds.undecided(K)))
        if many >= LEAST_DECIDED:
            wrong = 100.0 * float(np.mean(calls[decided] != true[decided]))
            yield Figure(
                f"wrong: {scenario.name}",
                wrong,
                bare,
                wrong / bare,
                Aim(0.1, on="ours"),
                "%",
                f"of {many} decided; baseline is the bare number",
            )
        else:
            yield Figure(
                f"wrong: {scenario.name}",
                0.0,
                bare,
                unit="%",
                note=f"{many} decided, too few to say; baseline is the bare number",
            )
        if scenario.most_undecided is None:
            aim, note = Aim(100.0, on="ours", at_least=True), "all are to be left open"
        else:
            aim, note = Aim(scenario.most_undecided), "baseline is the exact posterior"
        yield Figure(f"left open: {scenario.name}", left, best, left / best, aim, "%", note)
