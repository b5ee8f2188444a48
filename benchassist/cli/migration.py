"""A command that finds a shop of an earlier revision brings it up; a bar shows how far it is."""

from pathlib import Path

from benchassist.assembly import Place, migration
from benchassist.cli.output import ProgressBar, remark


def up_to_date(place: Place) -> Place:
    """The same, once its shop is of this program's revision. Raises ShopFileError."""
    due = migration.migration_due(place)
    if due is None:
        return place
    if due.only_compacts:
        remark("the shop's file is made smaller: it holds room that it does not need any more")
    else:
        remark("the shop is brought up to date, after a copy of it as it was")
    copies: list[Path] = []
    bar = ProgressBar(lines=True)
    try:
        migration.migrate(place, due, bar, copies.append)
    finally:
        bar.leave()
    for copy in copies:
        remark(f"the shop is up to date; the copy is {copy}")
    return place
