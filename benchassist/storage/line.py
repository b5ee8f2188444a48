"""A connection to a server that is hung up once no answer has come for so long.

The system notices a server that fell silent after minutes, or never where something between the two
stays awake; a bench cannot wait for it. Hung up, a connection counts as lost like any other.
"""

from gettext import gettext as _
from typing import Any, Final

import psycopg
from psycopg.abc import PQGen
from sqlalchemy import Engine, event

ASKED_EVERY_S: Final = 0.1


class Line(psycopg.Connection[Any]):
    """Waits `patience` seconds for an answer; None: as long as it takes."""

    patience: float | None = None

    def wait(
        self, gen: PQGen[Any], interval: float = ASKED_EVERY_S, timeout: float | None = None
    ) -> Any:  # noqa: ANN401 - whatever the connection was asked
        """As ever, but for no longer than `patience`. Raises OperationalError then."""
        limit = self.patience if timeout is None else timeout
        try:
            return super().wait(gen, interval, limit)
        except psycopg.OperationalError as error:
            if error.sqlstate is not None:  # the server's own words
                raise
            self.close()
            raise psycopg.OperationalError(_("no answer")) from None


def be_prompt(engine: Engine, patience: float) -> None:
    """Have an engine's connections wait for so many seconds at most, connecting apart."""

    class Prompt(Line):
        pass

    Prompt.patience = patience

    @event.listens_for(engine, "do_connect")
    def connect(_dialect: object, _record: object, given: list[Any], named: dict[str, Any]) -> Line:
        return Prompt.connect(*given, **named)
