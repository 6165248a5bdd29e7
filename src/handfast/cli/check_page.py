"""`handfast check`: whether the workspace is sound."""

from __future__ import annotations

import click

from handfast.cli.given import Refused, home
from handfast.language.telling import tell


@click.command()
def check() -> None:
    """Whether the workspace is sound: its file, its records, its log of changes."""
    from handfast.counter.keeping import last_copy, soundness
    from handfast.counter.verbs import open_workspace
    from handfast.store.database import FILE, StoreError

    if not (home() / FILE).exists():
        raise Refused([f"There is no workspace in {home()}."])
    try:
        workspace = open_workspace(home(), address=None)
    except StoreError as error:
        raise Refused([error]) from error
    found = soundness(workspace)
    if found:
        raise Refused(found)
    copy = last_copy(workspace)
    click.echo(tell("The workspace is sound: its file, its records and its log of changes agree."))
    click.echo(tell(f"The last dated copy is {copy}." if copy else "There is no dated copy of it yet."))
