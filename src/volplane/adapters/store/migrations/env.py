"""Runs the migrations inside the transaction that `migrating` has begun."""

from __future__ import annotations

from alembic import context

from volplane.adapters.store.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    transactional_ddl=True,
    # SQLite changes a table by writing it anew
    render_as_batch=True,
)
context.run_migrations()
