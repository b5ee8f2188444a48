"""What a shop has that a backup has not: gone from the shop once the backup stands in its place."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass

from benchassist.storage.restore import Exchange
from benchassist.storage.shop_file import connect, refusal


@dataclass(frozen=True, slots=True)
class Loss:
    """Slip numbers of the visits that are not in the backup, and entries of those that are."""

    visits: tuple[str, ...] = ()
    entries: int = 0


def loss_of(exchange: Exchange) -> Loss:
    """Return what restoring would take from the shop; a damaged one cannot be asked.

    Raises ShopFileError where either file cannot be read.
    """
    if exchange.present is None:
        return Loss()
    try:
        with closing(connect(exchange.present.file, read_only=True)) as present:
            backup = f"{exchange.backup.file.absolute().as_uri()}?mode=ro"
            present.execute("ATTACH ? AS backup", (backup,))
            visits = present.execute(
                "SELECT slip_number FROM main.visit "
                "WHERE id NOT IN (SELECT id FROM backup.visit) ORDER BY opened_at"
            ).fetchall()
            (entries,) = present.execute(
                "SELECT count(*) FROM main.entry WHERE id NOT IN (SELECT id FROM backup.entry) "
                "AND visit_id IN (SELECT id FROM backup.visit)"
            ).fetchone()
    except sqlite3.Error as error:
        raise refusal(exchange.present.file, error) from None
    return Loss(tuple(str(number) for (number,) in visits), int(entries))
