"""The settings at rest: one row, and its version by the change log."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select, update

from handfast.machines.settings import Settings
from handfast.store.change_rows import newest_change, note_change
from handfast.store.shelf_records import record_json
from handfast.store.tables import settings as table

TABLE, KEY = "settings", "house"


def settings_row(connection: Connection) -> tuple[int, Settings]:
    """The settings and the number of their newest change; the plain ones and 0 where nobody has set any."""
    record = connection.scalar(select(table.c.record).where(table.c.id == KEY))
    return newest_change(connection, TABLE), Settings() if record is None else Settings.model_validate_json(record)


def put_settings(connection: Connection, settings: Settings, who: str) -> bool:
    """Keep the settings; False where they were so already."""
    before = connection.scalar(select(table.c.record).where(table.c.id == KEY))
    record = record_json(settings)
    if before == record:
        return False
    if before is None:
        connection.execute(insert(table).values(id=KEY, record=record))
    else:
        connection.execute(update(table).where(table.c.id == KEY).values(record=record))
    note_change(connection, who, TABLE, KEY, before, record)
    return True
