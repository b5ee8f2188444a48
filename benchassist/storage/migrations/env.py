"""Runs migrations on the connection the program hands in (benchassist.storage.revision)."""

from alembic import context

from benchassist.storage.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite changes a table by building it anew.
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
