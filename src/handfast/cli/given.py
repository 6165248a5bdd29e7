"""What a verb is given: files, the workspace's folder, the shelf; and the faults in it."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from handfast.language.telling import tell

if TYPE_CHECKING:
    from handfast.machines.shelf import Shelf

REFUSED = 2  # exit status: a fault in what was given


class Refused(click.ClickException):
    """A fault in what was given: every one printed, nothing reckoned, exit status 2."""

    exit_code = REFUSED

    def __init__(self, faults: Sequence[object]) -> None:
        """Keep the faults; each prints as one line."""
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults

    def show(self, file: Any = None) -> None:
        """Print the faults, one a line, then how many there are."""
        click.echo(tell(self.message), file=file or sys.stderr)
        count = len(self.faults)
        click.echo(tell(f"{count} fault{'s' if count > 1 else ''}; nothing was reckoned."), file=file or sys.stderr)


class Verbs(click.Group):
    """The verbs, in the order in which they were written down; faults of the input come out as exit status 2."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The verbs in their order of use."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the verb asked for."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as error:
            refused = _refused(error)
            if refused is None:
                if ctx.parent is None:
                    click.echo(tell("A fault of the program, not of what was given:"), err=True)
                raise
            raise refused from None


def _refused(error: Exception) -> Refused | None:
    """The error as a fault of what was given, or None where the program is at fault."""
    from handfast.machines.faults import Faults

    if isinstance(error, Faults):
        return Refused([f"{fault.file}: {fault}" for fault in error.faults])
    store = sys.modules.get("handfast.store.address")
    if store is not None and isinstance(error, store.StoreError):
        return Refused([error])
    return None


def read_given(file: Path) -> str:
    """The text of a file, or of what is piped in where the file is "-"; raises Faults for what can't be a record."""
    from handfast.machines.toml_text import LARGEST, bytes_of, text_of

    if str(file) == "-":
        return text_of(sys.stdin.buffer.read(LARGEST + 1), "standard input")
    return text_of(bytes_of(file), file.name)


def speak(ctx: click.Context, language: str) -> None:
    """Have everything that the verb prints told in a language; names on the shelf stay as they are."""
    from handfast.language.names import Names
    from handfast.language.phrasebook import Speaker, book_of
    from handfast.language.telling import telling
    from handfast.machines.reading import demo_shelf
    from handfast.machines.shelf import names_on
    from handfast.store.shelf_records import peek_shelf

    book = book_of(language)
    if book is not None:
        shelf = peek_shelf(home()) or demo_shelf()
        ctx.with_resource(telling(language, Speaker(book, Names(names_on(shelf)))))


def home() -> Path:
    """The workspace's folder: HANDFAST_HOME, or `workspace` here."""
    return Path(os.environ.get("HANDFAST_HOME") or "workspace")


def shelf_at_hand(folder: Path | None) -> Shelf:
    """The shelf of a folder of files, else the workspace's, else, saying so, the invented one."""
    from datetime import datetime

    from handfast.machines.in_force import in_force
    from handfast.machines.reading import demo_shelf, read_shelf
    from handfast.store.shelf_records import peek_shelf

    if folder is not None:
        return read_shelf(folder)
    shelf = peek_shelf(home())
    if shelf is None:
        click.echo(tell(f"No shelf in {home()}: answered from the shelf invented for the demonstration."), err=True)
        return demo_shelf()
    return in_force(shelf, datetime.now().astimezone().date().isoformat())
