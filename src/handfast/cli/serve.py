"""The verbs of serving beyond one person: where the pages answer, and who logs in."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import Verbs, home

PEM = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to listen at; beyond this machine everybody logs in.",
)
@click.option(
    "--name", "names", multiple=True, help="A further host name under which the pages answer; may be repeated."
)
@click.option("--certificate", type=PEM, default=None, help="Certificate of the server (PEM): the way is encrypted.")
@click.option("--key", type=PEM, default=None, help="Key of the certificate, where it is in a file of its own.")
def serve(host: str, names: tuple[str, ...], certificate: Path | None, key: Path | None) -> None:
    """Serve the pages on the workspace (HANDFAST_HOME, HANDFAST_PORT)."""
    from handfast.cli.serving import serve_pages
    from handfast.counter.verbs import open_workspace

    serve_pages(open_workspace(home()), host, names, certificate, key)


@click.group(cls=Verbs)
def person() -> None:
    """The people who log in, and what they may."""


@person.command("add")
@click.argument("name")
@click.option(
    "--role", required=True, type=click.Choice(["owner", "sales", "parts", "reader"]), help="What the person may."
)
def person_add(name: str, role: str) -> None:
    """Add a person; the password is asked for and not shown."""
    from handfast.cli.person_page import add

    add(home(), name, role)


SERVING = (serve, person)
