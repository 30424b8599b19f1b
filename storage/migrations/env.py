"""Runs migrations on the connection that the store hands in, or on ROWFOOT_DATABASE for the alembic command."""

import os

import sqlalchemy as sa
from alembic import context

from storage.tables import Table


def run(connection: sa.Connection) -> None:
    """Run the migrations on one connection, in its transaction."""
    context.configure(connection=connection, target_metadata=Table.metadata, render_as_batch=True)
    context.run_migrations()


handed = context.config.attributes.get("connection")
if handed is not None:
    run(handed)
else:
    engine = sa.create_engine(os.environ.get("ROWFOOT_DATABASE", "sqlite:///rowfoot.db"))
    with engine.begin() as opened:
        run(opened)
