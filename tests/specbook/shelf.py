"""Every shipped procedure for every engine class, as the tests of words and bands need them."""

from functools import cache

from benchassist.core.procedure import Check, Procedure
from benchassist.specbook.book import Book

CLASSES = ("A", "B", "C", "D", "E", "F", "unknown")
BENCH = "ignition_bench"
COMPLAINTS = (
    "quits_hot",
    "no_start",
    "hard_start",
    "surges",
    "misfires_under_load",
    "no_idle_down",
    "no_shut_off",
    "backfires",
    "service",
)
PROCEDURES = (BENCH, *COMPLAINTS)
EACH = [(key, engine) for key in PROCEDURES for engine in CLASSES]


@cache
def procedure(key: str, engine: str) -> Procedure:
    """A shipped procedure for a class, bound once."""
    return _book().procedure(key, engine)


def check_of(key: str, engine: str) -> Check:
    """A check as a class words it, from the first procedure that has it. Raises KeyError."""
    for name in PROCEDURES:
        for check in procedure(name, engine).checks:
            if check.key == key:
                return check
    raise KeyError(key)


@cache
def _book() -> Book:
    return Book()
