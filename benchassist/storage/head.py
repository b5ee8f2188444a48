"""Nothing is written into a shop whose tables another bench has changed meanwhile.

A program that was left open while a newer one brought the shop to another revision knows neither
its tables nor what stands in them: every transaction that writes looks first.
"""

from gettext import gettext as _
from typing import Final

from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import DBAPIError

from benchassist.errors import StoreError
from benchassist.storage.schema import HEAD, REVISIONS

REVISION_TABLE: Final = "alembic_version"
"""Where alembic keeps of which revision the others are."""

VERSION: Final = "SELECT version_num FROM alembic_version"


class OtherRevisionError(StoreError):
    """The shop's tables are not this program's. `newer`: another bench has brought them further."""

    def __init__(self, revision: str) -> None:
        self.newer = revision not in REVISIONS
        if self.newer:
            words = _(
                "another bench has brought the shop to a newer revision: close and update this "
                "program, pencil is lost"
            )
        else:
            words = _(
                "the shop is of revision {revision}, this program's is {head}: close this program "
                "and open it again"
            )
        super().__init__(words.format(revision=revision, head=HEAD))


def guard(engine: Engine) -> None:
    """Have every transaction of an engine that writes begin with a look at the revision.

    It raises OtherRevisionError. On a server it holds the revision's row, which a migration takes
    for itself first.
    """
    event.listen(engine, "begin", _look)


def _look(connection: Connection) -> None:
    is_file = connection.dialect.name == "sqlite"
    try:
        require_head(connection, VERSION if is_file else f"{VERSION} FOR SHARE")
    except BaseException:
        # The transaction has begun on the database, and nobody ends it who was not handed it.
        if not connection.invalidated:
            connection.connection.rollback()
        raise


def require_head(connection: Connection, asked: str = VERSION) -> None:
    """Raise OtherRevisionError where the shop is not of this program's revision; DBAPIError."""
    revision = connection.exec_driver_sql(asked).scalar()
    if revision != HEAD:
        raise OtherRevisionError(str(revision))


def other_revision(engine: Engine) -> OtherRevisionError | None:
    """Why a shop cannot be read here any more; None where that is not for its revision."""
    try:
        with engine.begin() as connection:
            require_head(connection)
    except OtherRevisionError as error:
        return error
    except DBAPIError:
        return None
    return None
