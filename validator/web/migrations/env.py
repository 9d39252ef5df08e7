"""Alembic's way in: the steps are run in the transaction that is handed over."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], target_metadata=None, transactional_ddl=False)
context.run_migrations()
