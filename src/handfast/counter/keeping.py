"""Keeping a workspace safe: a dated copy every day that it is served, and whether what stands is sound."""

from __future__ import annotations

import logging
from datetime import date
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from handfast.counter.moving import back_up
from handfast.counter.verbs import Workspace
from handfast.store.backups import KEPT, backup_file, backups, offered, thin
from handfast.store.database import StoreError, reading
from handfast.store.soundness import faults_in


def keep_daily(workspace: Workspace, day: date, kept: int = KEPT) -> Path | None:
    """Write the day's copy of a workspace, proved by restoring it, where there is none yet; the oldest go.

    Args:
        workspace: that is served.
        day: today.
        kept: copies that stay.

    Returns:
        The copy; None where there was one already or it could not be written, which the log says.
    """
    file = backup_file(workspace.home, day.isoformat())
    if file.exists():
        return None
    try:
        file.parent.mkdir(mode=0o700, exist_ok=True)
        back_up(workspace, file)
        file.chmod(0o600)
    except (StoreError, OSError) as error:
        logging.getLogger(__name__).error("the day's copy could not be written: %s", error)
        return None
    thin(workspace.home, kept)
    return file


def last_copy(workspace: Workspace) -> Path | None:
    """The newest dated copy; None where there is none."""
    return next(iter(backups(workspace.home)), None)


def soundness(workspace: Workspace) -> list[str]:
    """Everything that is wrong with a workspace, a sentence each; what there is to go back to stands last."""
    try:
        with reading(workspace.engine) as connection:
            found = list(faults_in(connection))
    except StoreError as error:
        return [str(error)]
    except DBAPIError as error:
        found = [f"The file: {error.orig}."]
    return [*found, offered(workspace.home)] if found else []
