"""Runs migrations on the connection that it is given (storage/database.py)."""

from alembic import context

from benchtrail.storage.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
