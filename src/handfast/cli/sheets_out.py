"""The verbs that hand out: everything in a workspace, and templates to fill in."""

from __future__ import annotations

import json
from pathlib import Path

import click

from handfast.cli.given import Refused, home
from handfast.language.telling import tell

FILE = click.Path(dir_okay=False, path_type=Path)
UNITS = click.option("--units", type=click.Choice(["us", "metric"]), default=None, help="Units of the columns.")


@click.command()
@click.option("--out", type=FILE, default=None, help="The JSON document into a file in place of the terminal.")
@click.option("--xlsx", type=FILE, default=None, help="One workbook, a sheet a kind.")
@click.option("--csv", "folder", type=click.Path(file_okay=False, path_type=Path), default=None, help="Text files.")
@click.option("--archive", type=FILE, default=None, help="All of it, for another workspace to read whole.")
@UNITS
def export(out: Path | None, xlsx: Path | None, folder: Path | None, archive: Path | None, units: str | None) -> None:
    """Everything in the workspace: JSON, or sheets that come back as the same records."""
    from handfast.counter import exporting, house, moving
    from handfast.counter import verbs as counter
    from handfast.lists.grid import ListError

    workspace = counter.open_workspace(home())
    system = units or house.settings(workspace).units
    try:
        if xlsx is not None:
            _write(xlsx, exporting.export_xlsx(workspace, system))
        for name, data in exporting.export_csv(workspace, system).items() if folder is not None else ():
            assert folder is not None
            folder.mkdir(parents=True, exist_ok=True)
            _write(folder / name, data)
        if archive is not None:
            _write(archive, moving.pack(workspace))
    except (ListError, OSError) as error:
        raise Refused([str(error)]) from error
    if out is not None or not (xlsx or folder or archive):
        whole = json.dumps(counter.export(workspace), ensure_ascii=False, allow_nan=False, indent=1)
        if out is None:
            click.echo(whole)
        else:
            _write(out, (whole + "\n").encode())


@click.command()
@click.argument("kind", type=click.Choice(["machines", "attachments", "parts", "prices"]))
@click.argument("out", type=FILE)
@UNITS
def template(kind: str, out: Path, units: str | None) -> None:
    """A template to fill in and import: OUT ends in .xlsx or .csv."""
    from handfast.counter import exporting
    from handfast.counter import verbs as counter
    from handfast.lists.templates import FORMATS

    form = out.suffix.removeprefix(".").lower()
    if form not in FORMATS:
        raise Refused([f"{out}: expected a name that ends in .xlsx or .csv"])
    _write(out, exporting.template_for(counter.open_workspace(home()), kind, form, units or ""))


def _write(out: Path, data: bytes) -> None:
    out.write_bytes(data)
    click.echo(tell(f"Wrote {out}."), err=True)


OUT = (export, template)
