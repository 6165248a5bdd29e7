"""Where alembic starts: on the connection that the database module hands over."""

from alembic import context

from handfast.store.tables import metadata

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=metadata, transactional_ddl=True, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
