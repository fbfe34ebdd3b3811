"""Runs the steps of versions/ on a connection; the only file here that knows our tables."""

import os

from alembic import context
from sqlalchemy import Connection

from webapp.records import Base, Database

ADDRESS = "FLITCHBOOK_DATABASE"


def run(connection: Connection) -> None:
    """Take the steps asked for, in the transaction the connection is in."""
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        compare_server_default=True,
    )
    with context.begin_transaction():
        context.run_migrations()


def run_from_command_line() -> None:
    """Serve `alembic revision` and `alembic check` beside the code: they name a database."""
    with Database(os.environ[ADDRESS]).engine.begin() as connection:
        run(connection)


given = context.config.attributes.get("connection")
if given is None:
    run_from_command_line()
else:
    run(given)
