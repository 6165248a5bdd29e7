"""A whole workspace out as one archive and in again, and a copy that is proved by reading it back."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from handfast.counter.verbs import Workspace, open_workspace
from handfast.data.release import VERSION
from handfast.store.archive import read_archive, write_archive
from handfast.store.database import reading, writing


def pack(workspace: Workspace) -> bytes:
    """Everything in a workspace as one archive; equal content gives equal bytes."""
    with reading(workspace.engine) as connection:
        return write_archive(connection, VERSION)


def unpack(workspace: Workspace, data: bytes) -> dict[str, int]:
    """Put an archive into an empty workspace, whole or not at all; rows by table. StoreError says why not."""
    with writing(workspace.engine) as connection:
        return read_archive(connection, data)


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
