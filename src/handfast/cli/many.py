"""The verbs about many machines at once. What is heavy is imported inside the verb that needs it."""

from __future__ import annotations

from pathlib import Path

import click

from handfast.cli.given import Refused, read_given, shelf_at_hand

FILE = click.argument("file", type=click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path))
SHELF = click.option(
    "--shelf",
    "folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=None,
    help="A folder of shelf files in place of the workspace's shelf.",
)
MACHINES = click.option(
    "--machines",
    "counts",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    default=None,
    help="A CSV file with the columns machine and count; else one of each machine on the shelf.",
)
INTO = click.option("--into", type=click.Path(file_okay=False, path_type=Path), required=True, help="Folder to fill.")


@click.command()
@FILE
@INTO
@click.option("--top", type=click.IntRange(0), default=0, help="Rows kept of each machine; 0 keeps all that fit.")
@click.option("--workers", type=click.IntRange(1, 64), default=2, show_default=True, help="Processes.")
@click.option("--on", "scheduler", default=None, help="Address of a cluster's scheduler in place of processes.")
@MACHINES
@SHELF
def bulk(
    file: Path, into: Path, top: int, workers: int, scheduler: str | None, counts: Path | None, folder: Path | None
) -> None:
    """Every machine against every attachment, for the work of FILE; goes on where it was stopped."""
    from handfast.cli.many_page import run_bulk

    run_bulk(read_given(file), file.name, shelf_at_hand(folder), into, top, workers, scheduler, counts)


@click.command()
@FILE
@INTO
@click.option("--share", default="90 %", show_default=True, help="Share of the tractors that the stock must serve.")
@click.option("--by", type=click.Choice(["number", "price"]), default="number", help="What is to be least.")
@click.option(
    "--kind", "kinds", multiple=True, help="Only this kind of attachment, such as log_grapple; again for more."
)
@click.option("--dealer", default=None, help="Name on the page of fits; else that of the settings.")
@click.option("--units", type=click.Choice(["us", "metric"]), default="us", show_default=True)
@MACHINES
@SHELF
def coverage(
    file: Path,
    into: Path,
    share: str,
    by: str,
    kinds: tuple[str, ...],
    dealer: str | None,
    units: str,
    counts: Path | None,
    folder: Path | None,
) -> None:
    """Which attachments serve which tractors, the smallest stock, what to add, what nobody needs."""
    from handfast.cli.many_page import only, run_coverage
    from handfast.quantities.amounts import QuantityError
    from handfast.quantities.reading import read_quantity

    try:
        wanted = float(read_quantity(share, "share").value)
    except QuantityError as error:
        raise Refused([f"--share: {error}"]) from None
    if not 0.0 < wanted <= 1.0:
        raise Refused([f"--share: found {share}; expected a share above 0 and at most 100 %"])
    shelf = only(shelf_at_hand(folder), kinds)
    run_coverage(read_given(file), file.name, shelf, into, wanted, by, dealer, units, counts)


MANY = (bulk, coverage)
