"""A workspace copied and restored at the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.counter import moving
from handfast.counter.verbs import open_workspace
from handfast.language.telling import tell
from handfast.store.address import VARIABLE, StoreError, is_address, shown


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


def move_to(home: Path, to: str) -> None:
    """Copy the workspace to an address or a folder and print what was counted; Refused where it can't be."""
    try:
        moved = moving.move(open_workspace(home), to)
    except (StoreError, OSError) as error:
        raise Refused([str(error)]) from error
    wide = max(map(len, moved))
    for name, (rows, digest) in moved.items():
        click.echo(f"{name:{wide}} {rows:>9,}  sha256 {digest[:16]}")
    total = sum(rows for rows, _ in moved.values())
    click.echo(tell(f"Copied {total:,} rows in {len(moved)} tables to {shown(to)}, counted and compared there."))
    click.echo(tell("The workspace here stays as it was. To work on the copy, set this before the next start:"))
    click.echo(f"{VARIABLE}='{shown(to)}'" if is_address(to) else f"HANDFAST_HOME='{to}'")
