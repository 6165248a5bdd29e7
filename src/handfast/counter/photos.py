"""Side photos of machines: kept as they came, marked, and their pins put on the machine's record."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from handfast.counter import shelving
from handfast.counter.picture_head import head_of
from handfast.counter.verbs import Workspace
from handfast.machines.tractor import Machine
from handfast.reckoning.from_photo import Found
from handfast.reckoning.photo_lift import with_pins
from handfast.store import photo_rows, record_rows
from handfast.store.database import reading, writing
from handfast.store.photo_rows import PhotoRow

MACHINE = "machine"


def keep_photo(workspace: Workspace, machine: str, name: str, data: bytes) -> int:
    """Keep a side photo of a machine as it came. KeyError: no such machine. PictureError: no such picture.

    Returns:
        Its number.
    """
    head = head_of(data)
    shown: dict[str, str | int] = {"type": head.type, "width": head.width, "height": head.height}
    row = {"machine": machine, "name": name[:200], **shown}
    with writing(workspace.engine) as connection:
        record_rows.record_row(connection, MACHINE, machine)
        digest = hashlib.sha256(data).hexdigest()
        return photo_rows.add_photo(connection, {**row, "digest": digest}, data, workspace.who)


def photo_of(workspace: Workspace, machine: str) -> PhotoRow | None:
    """The newest side photo of a machine."""
    with reading(workspace.engine) as connection:
        return photo_rows.photo_of(connection, machine)


def photo_file(workspace: Workspace, machine: str, number: int) -> tuple[str, bytes]:
    """Type and bytes of a photo as it came. KeyError: the machine has no such photo."""
    with reading(workspace.engine) as connection:
        row = photo_rows.photo_row(connection, number)
        if row.machine != machine:
            raise KeyError(number)
        return row.type, photo_rows.photo_file(connection, number)


def mark_photo(workspace: Workspace, machine: str, number: int, marks: Mapping[str, str]) -> None:
    """Keep what was marked on a photo, finished or not. KeyError: the machine has no such photo."""
    with writing(workspace.engine) as connection:
        if photo_rows.photo_row(connection, number).machine != machine:
            raise KeyError(number)
        text = json.dumps(dict(marks), ensure_ascii=False)
        photo_rows.mark_photo(connection, number, text, workspace.who)


def put_pins(workspace: Workspace, machine: str, found: Found, version: int) -> bool:
    """Put the pins of a photo on the machine's record, seen at a version; StaleError where it has moved on since."""
    row = shelving.record(workspace, MACHINE, machine)
    new = with_pins(Machine.model_validate_json(row.record), found)
    return shelving.change_record(workspace, MACHINE, machine, new, version)
