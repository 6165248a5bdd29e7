"""A whole workspace out as one archive and in again, and a copy that is proved by reading it back."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from handfast.counter.verbs import Workspace, open_workspace
from handfast.data.release import VERSION
from handfast.store.address import StoreError, is_address
from handfast.store.archive import read_archive, told_in, write_archive
from handfast.store.database import reading, writing


def pack(workspace: Workspace) -> bytes:
    """Everything in a workspace as one archive; equal content gives equal bytes."""
    with reading(workspace.engine) as connection:
        return write_archive(connection, VERSION)


def unpack(workspace: Workspace, data: bytes) -> dict[str, int]:
    """Put an archive into an empty workspace, whole or not at all; rows by table. StoreError says why not."""
    with writing(workspace.engine) as connection:
        return read_archive(connection, data)


def move(workspace: Workspace, to: str) -> dict[str, tuple[int, str]]:
    """Copy a whole workspace into an empty one at an address or in a folder; it stays where it is as well.

    Args:
        workspace: as it stands; what is written meanwhile is not in the copy.
        to: `postgresql://…`, or a folder.

    Returns:
        Rows and digest of each table, read back from the copy before it counted.

    Raises:
        StoreError: it can't be opened, is not empty, or did not come back the same; then nothing of it is kept.
    """
    data = pack(workspace)
    folder, address = (workspace.home, to) if is_address(to) else (Path(to), "")
    other = open_workspace(folder, workspace.who, address)
    try:
        with writing(other.engine) as connection:
            read_archive(connection, data)
            back = write_archive(connection, VERSION)
            if back != data:
                raise StoreError(f"The copy did not come back the same ({_differ(data, back)}); nothing was kept.")
    finally:
        other.engine.dispose()
    return told_in(data)


def _differ(data: bytes, back: bytes) -> str:
    before, after = told_in(data), told_in(back)
    return ", ".join(name for name in before if before[name] != after.get(name)) or "the archive"


def back_up(workspace: Workspace, file: Path) -> dict[str, int]:
    """Write a copy while the program runs, and prove it: it is restored elsewhere and compared before it counts.

    Returns:
        Rows by table, as restored.

    Raises:
        StoreError, OSError: it could not be written or did not come back the same; an older copy stays as it was.
    """
    data = pack(workspace)
    with TemporaryDirectory() as folder:
        other = open_workspace(Path(folder), address="")
        counted = unpack(other, data)
        if pack(other) != data:
            raise OSError("The copy did not come back the same; nothing was written.")
        other.engine.dispose()
    beside = file.with_name(file.name + ".new")
    with beside.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    beside.replace(file)
    return counted
