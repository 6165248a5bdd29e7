"""The verbs about a workspace as a whole. What is heavy is imported inside the verb that needs it."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import home


@click.command()
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
def backup(out: Path) -> None:
    """Write a copy of the workspace to OUT and prove it by restoring it elsewhere."""
    from handfast.cli.moving_page import back_up

    back_up(home(), out)


@click.command()
@click.argument("archive", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def restore(archive: Path) -> None:
    """Put an archive of a workspace into the empty workspace of HANDFAST_HOME."""
    from handfast.cli.moving_page import restore_from

    restore_from(home(), archive)


@click.command()
@click.argument("to")
def move(to: str) -> None:
    """Copy the whole workspace into an empty one: TO is an address (postgresql://…) or a folder."""
    from handfast.cli.moving_page import move_to

    move_to(home(), to)


WHOLE = (backup, restore, move)
