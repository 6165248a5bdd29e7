"""People added at the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.counter.passwords import WeakPasswordError
from handfast.counter.people import PeopleError, add_person
from handfast.counter.roles import SHOWN
from handfast.counter.verbs import open_workspace
from handfast.language.telling import tell


def add(home: Path, name: str, role: str) -> None:
    """Ask for a password twice, without showing it, and add a person; Refused says why not."""
    password = click.prompt(tell("Password"), hide_input=True, confirmation_prompt=True)
    try:
        made = add_person(open_workspace(home, who="terminal"), name, role, password)
    except (PeopleError, WeakPasswordError) as error:
        raise Refused([str(error)]) from error
    click.echo(tell(f"{made.name} can log in now, as {SHOWN[role]}."))
