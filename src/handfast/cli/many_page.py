"""Screens and coverage at the terminal: progress while it works, then what came out."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import click

from handfast.bulk.cover import Next, Stock, needed_by_nobody, smallest_stock, what_next
from handfast.bulk.fits_page import fits_page
from handfast.bulk.run import Summary, Task, screen
from handfast.bulk.territory import Territory, read_counts, territory_of
from handfast.cli.given import Refused
from handfast.drawings.fit_matrix import FitMatrix, fit_matrix
from handfast.language.telling import tell
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.quantities.arrays import Array
from handfast.quantities.showing import show

WIDEST = 120  # machines, and attachments, that a matrix is drawn for


def run_bulk(
    text: str, name: str, shelf: Shelf, into: Path, top: int, workers: int, scheduler: str | None, counts: Path | None
) -> None:
    """Screen, and say what came out."""
    inquiry = read_inquiry(text, name)
    ids = list(shelf.machines) if counts is None else list(read_counts(counts, shelf))
    task = Task(inquiry, [shelf.machines[one] for one in ids], shelf, top)
    start = time.perf_counter()
    try:
        if scheduler is None:
            done = screen(task, into, workers, _progress())
        else:
            from handfast.bulk.cluster import screen_on

            done = screen_on(task, into, scheduler, _progress())
    except (OSError, ImportError) as error:
        raise Refused([str(error)]) from error
    for line in _told(done, time.perf_counter() - start, into):
        click.echo(line)


def _progress() -> Callable[[int, int], None]:
    """Says how far it is and how long it will take, on the error stream of a terminal."""
    start = time.perf_counter()
    first: list[int] = []

    def told(done: int, of: int) -> None:
        first.append(done)
        fresh = done - first[0]
        left = (time.perf_counter() - start) / fresh * (of - done) if fresh else float("nan")
        words = f"{done:,} of {of:,} parts" + (f", {left:,.0f} s left" if fresh and done < of else "")
        if sys.stderr.isatty():
            click.echo(f"\r{words:60}", nl=done == of, err=True)
        elif done in (0, of) or done * 10 // max(of, 1) != (done - 1) * 10 // max(of, 1):
            click.echo(words, err=True)

    return told


def _told(done: Summary, seconds: float, into: Path) -> list[str]:
    rate = done.pairs / seconds if seconds > 0 else 0.0
    lines = [
        tell(f"{done.pairs:,} pairs: {done.machines:,} machines, {done.attachments:,} attachments on the shelf."),
        tell(f"{done.fitting:,} fit, {done.kept:,} rows are kept."),
        tell(f"{seconds:,.1f} s, {rate:,.0f} pairs a second."),
    ]
    if done.resumed:
        lines.append(tell(f"{done.resumed:,} of {done.parts:,} parts were there from before."))
    return [*lines, tell(f"Wrote {into / 'fits.parquet'} and {into / 'fits.sqlite'}.")]


def only(shelf: Shelf, kinds: tuple[str, ...]) -> Shelf:
    """The shelf with some kinds of attachment alone; Refused where a kind is none."""
    held = {str(one.kind) for one in shelf.attachments.values()}
    strange = [one for one in kinds if one not in held]
    if strange:
        raise Refused([f"--kind: no {one} on the shelf; there are {', '.join(sorted(held))}" for one in strange])
    if not kinds:
        return shelf
    kept = {key: one for key, one in shelf.attachments.items() if str(one.kind) in kinds}
    return shelf.model_copy(update={"attachments": kept})


def run_coverage(
    text: str,
    name: str,
    shelf: Shelf,
    into: Path,
    share: float,
    by: str,
    dealer: str | None,
    units: str,
    counts: Path | None,
) -> None:
    """Work the territory out, write matrix and page, print the stock."""
    inquiry = read_inquiry(text, name)
    found = territory_of(inquiry, shelf, None if counts is None else read_counts(counts, shelf))
    if not found.fits.any():
        raise Refused([tell("Nothing on the shelf fits any of these machines for this work.")])
    stock = smallest_stock(found.fits, found.weights, share, _prices(found) if by == "price" else None)
    more = what_next(found.fits, found.weights, stock.chosen)
    into.mkdir(parents=True, exist_ok=True)
    day = f"{datetime.now().astimezone().date():%Y-%m-%d}"
    (into / "fits.html").write_text(fits_page(found, dealer or tell("our shop"), day, units), encoding="utf-8")
    drawn = _drawn(found, stock, into)
    for line in [*_stock_lines(found, stock, by, inquiry), *_next_lines(found, more)]:
        click.echo(line)
    click.echo(tell(f"Wrote {' and '.join(str(into / one) for one in ('fits.html', *drawn))}."))


def _prices(found: Territory) -> Array:
    import numpy as np

    known = np.array([one.price.value for one in found.attachments])
    return np.where(np.isfinite(known), known, np.nanmax(known) if np.isfinite(known).any() else 1.0)


def _drawn(found: Territory, stock: Stock, into: Path) -> list[str]:
    """The matrix of every line of work, where it is not too wide to be looked at."""
    if max(len(found.machines), len(found.attachments)) > WIDEST:
        return []
    names = []
    for line, work in enumerate(found.lines):
        served = [f"{n:,.0f} of {found.counts.sum():,.0f}" for n in found.served(line)]
        machines = [one.name or one.id for one in found.machines]
        tools = [one.name or one.id for one in found.attachments]
        stocked = [k in stock.chosen for k in range(len(tools))]
        drawing = fit_matrix(FitMatrix(machines, tools, found.words(line), served, stocked), "print")
        names.append(f"matrix-{line + 1}-{work.replace(' ', '-')}.svg")
        (into / names[-1]).write_text(drawing, encoding="utf-8")
    return names


def _stock_lines(found: Territory, stock: Stock, by: str, inquiry: Inquiry) -> list[str]:
    total = float(found.weights.sum())
    lines = [
        tell(f"{stock.servable:,.0f} of {total:,.0f} tractors can be served from the shelf at all."),
        tell(f"{len(stock.chosen)} attachments serve {stock.served:,.0f} of them:"),
    ]
    for k in stock.chosen:
        one = found.attachments[k]
        alone = float((found.fits[k] * found.weights).sum())
        price = "" if one.price.is_unknown else f", {show(one.price.value, 'money', 'us')} {inquiry.currency}"
        lines.append(f"  {one.name or one.id}: {alone:,.0f}{price}")
    if by == "number":
        return [*lines, tell(f"No set does it with fewer than {stock.bound:,.0f}.")]
    dearest = f"{stock.bound:,.0f} {inquiry.currency}"
    return [*lines, tell(f"No set does it for less than {dearest}; this one is {stock.cost:,.0f}.")]


def _next_lines(found: Territory, more: tuple[Next, ...]) -> list[str]:
    lines = [tell("What to add next, and how many more tractors that serves:")] if more else []
    lines += [f"  {_name(found, one.attachment)}: {one.more:,.0f}" for one in more]
    idle = needed_by_nobody(found.fits)
    if idle:
        lines.append(tell("Serves no tractor here:"))
        lines += [f"  {_name(found, k)}" for k in idle]
    return lines


def _name(found: Territory, k: int) -> str:
    return found.attachments[k].name or found.attachments[k].id
