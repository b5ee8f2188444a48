"""A shop that is brought up to date, as the window shows it: begun, copied, nearly done, failed."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from benchassist.errors import BenchError, ShopFileError
from benchassist.services.bench.view import BenchView
from benchassist.services.front.away_text import away_text, counter_away_text
from benchassist.services.front.counter_view import CounterView
from benchassist.services.front.migration import compaction_view, migration_view
from benchassist.services.front.migration_view import MigrationView
from tests.ui.lease_views import AWAY
from tests.ui.views import COUNTER, STEADYING

COPY: Final = Path("/home/rp/.local/share/benchassist/backups") / (
    "shop-3fa2c1-20260608-074512-102934-before-0004.sqlite"
)
LONG: Final = Path("/media/rp/the shop's own disk, do not take away/Records of the workshop") / (
    "by year/backups/shop-3fa2c1-20260608-074512-102934-before-0004.sqlite"
)

VIEWS: Final[Mapping[str, MigrationView]] = {
    "copying": migration_view(0.07, None),
    "half": migration_view(0.4, COPY),
    "nearly": migration_view(0.97, LONG),
    "smaller": compaction_view(0.6),
    "server": migration_view(0.4, COPY, on_server=True),
}
FAILED: Final = (
    "the shop could not be brought up to date and is as it was, with a copy in "
    f"{COPY}: the disk is full: make room, the shop file "
    "/home/rp/.local/share/benchassist/shop.sqlite cannot grow"
)


NEWER: Final = (
    "another bench has brought the shop to a newer revision: close and update this program, pencil "
    "is lost"
)
OUTDATED: Final = replace(AWAY, outdated=True)
BENCHES: Final[Mapping[str, BenchView]] = {
    "file": replace(STEADYING, banner=NEWER),
    "server": replace(STEADYING, banner=away_text(OUTDATED)),
}
COUNTERS: Final[Mapping[str, CounterView]] = {
    "file": replace(COUNTER, banner=NEWER, nothing_text=NEWER),
    "server": replace(COUNTER, banner=counter_away_text(OUTDATED)),
}
"""A program that was left open while another bench brought the shop to a newer revision."""


class FakeMigration:
    """One that stands still until it is told to end."""

    def __init__(self, view: MigrationView) -> None:
        self.shown = view
        self.done = False
        self.refuses: BenchError | None = None

    def view(self) -> MigrationView:
        """What is set to show."""
        return self.shown

    def finish(self) -> None:
        """Refuse if told to."""
        if self.refuses is not None:
            raise self.refuses

    def end(self, refuses: BenchError | None = None) -> None:
        """It is over."""
        self.done, self.refuses = True, refuses


def begun(view: MigrationView) -> Callable[[], FakeMigration]:
    """Begin one that shows this."""
    return lambda: FakeMigration(view)


def failed() -> FakeMigration:
    """One that has failed."""
    made = FakeMigration(VIEWS["half"])
    made.end(ShopFileError(FAILED))
    return made
