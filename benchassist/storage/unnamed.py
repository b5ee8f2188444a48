"""A visit from elsewhere brings no personal data back that was erased here."""

from sqlalchemy import Connection, select

from benchassist.core.personal import traces_of
from benchassist.storage import schema
from benchassist.storage.parcel import Parcel


def unnamed(connection: Connection, parcel: Parcel) -> tuple[Parcel, bool]:
    """Return the visit as it may be kept here, and whether its machine's data was erased."""
    m = schema.machine.c
    asked = select(m.erased_at, m.customer, m.phone).where(m.id == parcel.machine["id"])
    machine = connection.execute(asked).first()
    if machine is None or machine.erased_at is None:
        return parcel, False
    # What a customer has told the shop since is not what was erased.
    if parcel.header.opened_at > machine.erased_at and (machine.customer or machine.phone):
        return parcel, False
    return parcel.without(traces_of([parcel.header.machine])), True
