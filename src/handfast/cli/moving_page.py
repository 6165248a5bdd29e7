"""A workspace copied and restored at the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.counter import moving
from handfast.counter.verbs import open_workspace
from handfast.store.database import StoreError


def back_up(home: Path, out: Path) -> None:
    """Write a proved copy; Refused where it can't be."""
    try:
        counted = moving.back_up(open_workspace(home), out)
    except (StoreError, OSError) as error:
        raise Refused([str(error)]) from error
    click.echo(
        f"Wrote {out}: {sum(counted.values()):,} rows in {len(counted)} tables, restored elsewhere and found the same."
    )


def restore_from(home: Path, archive: Path) -> None:
    """Put an archive into an empty workspace; Refused where it can't be."""
    try:
        counted = moving.unpack(open_workspace(home), archive.read_bytes())
    except (StoreError, OSError) as error:
        raise Refused([str(error)]) from error
    click.echo(f"Restored {sum(counted.values()):,} rows in {len(counted)} tables into {home}.")
