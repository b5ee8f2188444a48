"""What a server says that lets nobody in: for a while, or until somebody mends it."""

import pytest
from sqlalchemy.exc import DBAPIError

from benchassist.errors import InputError
from benchassist.storage.engine import open_engines, trouble
from benchassist.storage.passing import refusal
from benchassist.storage.place import ShopServer, place_of

SHOP = ShopServer("postgresql+psycopg://bench@counter/shop")


def error(said: str) -> DBAPIError:
    """What comes of a connection that could not be made."""
    head = 'connection failed: connection to server at "10.0.0.7", port 5432 failed: '
    return DBAPIError("", {}, OSError(head + said))


@pytest.mark.parametrize(
    "said",
    [
        "FATAL:  the database system is starting up",
        "FATAL:  sorry, too many clients already",
        "FATAL:  remaining connection slots are reserved for non-replication superuser connections",
        "Connection refused",
    ],
)
def test_what_passes_by_itself_is_no_refusal(said: str) -> None:
    """It is waited for; the line says what the server said, without where it was called."""
    assert refusal(error(said)) == ""
    told = str(trouble(SHOP, error(said)))
    assert told == (
        f"the shop's database shop on counter cannot be reached ({said.removeprefix('FATAL:  ')}): "
        "check the server and the network"
    )


@pytest.mark.parametrize(
    "said", ['password authentication failed for user "bench"', 'database "shop" does not exist']
)
def test_a_refusal_asks_for_another_address(said: str) -> None:
    """The network is not what is wrong."""
    assert refusal(error(f"FATAL:  {said}")) == said
    assert str(trouble(SHOP, error(f"FATAL:  {said}"))) == (
        f"the server lets nobody into the shop's database shop on counter ({said}): "
        "check the user, the password and the database in the shop's address"
    )


def test_a_port_that_is_no_number_is_refused() -> None:
    """In one line, as any address that cannot be read."""
    with pytest.raises(InputError, match="the shop address cannot be read"):
        open_engines(place_of("postgresql://bench@counter:counter/shop"), read_only=True)
