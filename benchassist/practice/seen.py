"""What eyes and gauges find on the practice engine: the answer that fits the case at each step."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from benchassist.core.procedure import Check, CheckKind, Leaning
from benchassist.core.run import DrillStep

Answers = Mapping[str, str]
"""Steps and the key of the answer that is true there."""

NO_SPARK: Final[Answers] = MappingProxyType(
    {
        "spark_inline": "gone_first",
        "spark": "none",
        "spark_isolated": "none",
        "vent": "no_change",
        "fuel_drops": "no",
        "compression": "firm",
    }
)
LOOKS: Final[Mapping[str, Answers]] = MappingProxyType(
    {
        "sound": {"spark": "yes", "vent": "no_change", "fuel_drops": "fires"},
        "coil-opens-hot": NO_SPARK,
        "coil-joint": NO_SPARK,
        "coil-turns": {**NO_SPARK, "spark_inline": "misses"},
        "cap-opens": NO_SPARK,
        "cap-drifts": {**NO_SPARK, "spark_inline": "misses"},
        "stop-wire-leaks": {**NO_SPARK, "spark_isolated": "yes", "spark_tester": "none"},
    }
)
"""What differs from a sound engine, by case."""
GAUGES: Final[Answers] = MappingProxyType(
    {
        "air_gap": "0.45 mm",
        "plug_gap": "0.92 mm",
        "points_gap": "0.38 mm",
        "lash_intake": "0.10 mm",
        "lash_exhaust": "0.15 mm",
        "compression": "112 psi",
    }
)


def look(check: Check, case: str) -> int | None:
    """The place of the answer that is true at a look; None at a step that is none."""
    if check.kind is not CheckKind.LOOK or not check.answers:
        return None
    true = LOOKS.get(case, {}).get(check.key)
    keys = [answer.key for answer in check.answers]
    if true in keys:
        return keys.index(true)
    leanings = [answer.leaning for answer in check.answers]
    return leanings.index(Leaning.SOUND) if Leaning.SOUND in leanings else 0


def drilled(step: DrillStep, case: str) -> int:
    """The place of the answer that is true at a step of the quit drill."""
    true = LOOKS.get(case, {}).get(step.key, LOOKS["sound"].get(step.key))
    keys = [key for key, _text in step.answers]
    return keys.index(true) if true in keys else 0


def gauged(check: Check) -> str:
    """What a gauge shows at a step, as it is typed; empty at a step that is none."""
    return GAUGES.get(check.key, "") if check.kind is CheckKind.GAUGE else ""
