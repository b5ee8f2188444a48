"""How impatient a bench is in a test: it looks often, and gives a server up soon."""

from benchassist.storage import delivery, engine, watch, writer


def set_up() -> None:
    """In a program of its own; a test patches the same."""
    watch.PERIOD_S = 0.03  # type: ignore[misc]
    writer.JOURNAL_PATIENCE_SECONDS = 0.1  # type: ignore[misc]
    engine.WRITE_PATIENCE_S = 0.3  # type: ignore[misc]
    engine.READ_PATIENCE_S = 0.5  # type: ignore[misc]
    delivery.FIRST_PAUSE = 0.05  # type: ignore[misc]
