"""Runs migrations on the connection that the store hands over; the store owns the transaction."""

from alembic import context
from sqlmodel import SQLModel

import journal.book.tables  # noqa: F401  the tables register themselves

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
    transactional_ddl=False,
)
context.run_migrations()
