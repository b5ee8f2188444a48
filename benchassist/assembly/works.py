"""The shop that the window works on: opened, closed for a while, opened again."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from benchassist.assembly import Place, SystemClock, open_shop

if TYPE_CHECKING:
    from benchassist.assembly.keeper import Keeper
    from benchassist.services.desk import Desks
    from benchassist.services.front.migration import ShopMigration
    from benchassist.services.shop import Shop


class Works:
    """Its parts are used from the window's thread; `close` may be called from any."""

    def __init__(self, place: Place) -> None:
        from benchassist.assembly.shop_records import ShopRecords
        from benchassist.services.record.records import Records

        self._place = place
        self._migration: ShopMigration | None = None
        self._looked = False
        self._at_work: tuple[Shop, Keeper] | None = None
        self._records = Records(ShopRecords(place, self), SystemClock())

    @property
    def shop(self) -> Shop:
        """The shop at work, opened where it is closed. Raises BenchError."""
        return self._opened()[0]

    @property
    def keeper(self) -> Keeper | None:
        """Who looks after it; None while it is closed."""
        return None if self._at_work is None else self._at_work[1]

    def migration(self) -> ShopMigration | None:
        """The migration that is due before `desks`, begun; nearly always none. Raises BenchError.

        `desks` do not look for it again.
        """
        from benchassist.assembly.migration import migration_due, watched

        due = migration_due(self._place, bench=True)
        self._looked = True
        if due is not None:
            self._migration = watched(self._place, due)
        return self._migration

    def desks(self) -> Desks:
        """Everything the window needs."""
        from benchassist.assembly.opening import start_practice

        return replace(
            self.shop.desks(),
            practice=partial(start_practice, self._place),
            records=lambda: self._records,
            renew=self.desks,
        )

    def close(self) -> None:
        """Stop what is at work; what was written is on disk. May be called twice."""
        at_work, self._at_work = self._at_work, None
        if at_work is not None:
            shop, keeper = at_work
            keeper.close()
            shop.close()

    def end(self) -> None:
        """Stop for good."""
        if self._migration is not None:
            self._migration.close()
        self._records.close()
        self.close()

    def _opened(self) -> tuple[Shop, Keeper]:
        if self._at_work is None:
            from benchassist.assembly.keeper import Keeper

            looked, self._looked = self._looked, False
            shop = open_shop(self._place, looked=looked)
            keeper = Keeper(self._place, shop)
            self._at_work = (shop, keeper)
            keeper.first_look()
        return self._at_work
