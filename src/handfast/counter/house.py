"""The verbs of the house's own settings."""

from __future__ import annotations

from handfast.counter.verbs import Workspace
from handfast.machines.price_book import PriceBook
from handfast.machines.settings import Settings
from handfast.store.change_rows import Change, changes_of
from handfast.store.database import reading, writing
from handfast.store.record_rows import change_record, version_of
from handfast.store.settings_rows import KEY, TABLE, put_settings, settings_row
from handfast.store.shelf_records import THE_ONE, record_json


class StaleSettingsError(Exception):
    """Somebody has changed the settings, or the price book, since the form was drawn."""


def settings(workspace: Workspace) -> Settings:
    """The settings as they stand."""
    return settings_and_version(workspace)[1]


def settings_and_version(workspace: Workspace) -> tuple[int, Settings]:
    """The settings with the number of their newest change."""
    with reading(workspace.engine) as connection:
        return settings_row(connection)


def change_settings(workspace: Workspace, new: Settings, version: int, book: PriceBook, book_version: int) -> None:
    """Keep the settings and the price book's terms together; StaleSettingsError where either has moved on."""
    with writing(workspace.engine) as connection:
        now = version_of(connection, THE_ONE, THE_ONE)
        if settings_row(connection)[0] != version or now != book_version:
            raise StaleSettingsError
        put_settings(connection, new, workspace.who)
        change_record(connection, THE_ONE, THE_ONE, record_json(book), workspace.who)


def settings_history(workspace: Workspace) -> list[Change]:
    """Every change of the settings, newest first."""
    with reading(workspace.engine) as connection:
        return changes_of(connection, TABLE, KEY)[::-1]
