"""Quotes at the terminal: made, and shown with their versions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.cli.page import columns, heading, paragraph
from handfast.counter import answering, quoting
from handfast.counter import verbs as counter
from handfast.counter.terms import printed, shown_of, terms_of
from handfast.counter.verbs import Workspace
from handfast.language.telling import tell
from handfast.machines.reading import read_held
from handfast.machines.shelf import Shelf
from handfast.store.quote_rows import QuoteRow
from handfast.store.shelf_records import peek_shelf

NoSuch = Callable[[str, list[str]], str]


def make_quote(home: Path, text: str, file: str, outfit_id: str, seed: int | None, no_such: NoSuch) -> int:
    """Number an offer of one outfit; nothing is stored where it can't be made."""
    given = read_held(text, file, peek_shelf(home) or Shelf())  # before there is a workspace
    seed = given.seed if seed is None else seed
    workspace = counter.open_workspace(home, who="terminal")
    known = counter.same_inquiry(workspace, text)
    tried = counter.try_answer(workspace, text, seed) if known is None else counter.answer(workspace, known, seed)
    ids = [one.id for one in tried.outfits]
    if outfit_id not in ids:
        raise Refused([no_such(outfit_id, ids)])
    if not tried.outfit(outfit_id).cost.whole:
        raise Refused(["--outfit: the attachment's own price is not known, and without it no offer can be numbered."])
    number = counter.new_inquiry(workspace, text, file) if known is None else known
    row = counter.quote(workspace, number, outfit_id, seed)
    offered = counter.answer(workspace, number, seed).outfit(outfit_id)
    click.echo(tell(f"Quote {row.number}, inquiry {number}: {offered.title}. {offered.verdict_text}"))
    return row.number


def _version(workspace: Workspace, number: int, version: int | None) -> QuoteRow:
    try:
        return quoting.quote_at(workspace, number, version)
    except KeyError:
        wanted = f"quote {number}" if version is None else f"version {version} of quote {number}"
        raise Refused([f"--number: there is no {wanted}."]) from None


def show_quote(home: Path, number: int, version: int | None, units: str) -> None:
    """A quote's state, its versions with what each changed, and how they were answered."""
    workspace = counter.open_workspace(home, who="terminal")
    _version(workspace, number, version)
    click.echo("\n".join(_lines(workspace, quoting.versions(workspace, number), units)))


def _lines(workspace: Workspace, rows: Sequence[QuoteRow], units: str) -> Iterator[str]:
    newest, shown = rows[-1], shown_of(rows[-1], units, answering.answered(workspace, rows[-1]))
    until = terms_of(newest).valid_until
    yield tell(f"Quote {newest.number}, version {newest.version}: {quoting.state_of(newest)}")
    yield f"{tell('Valid until')} {until}" if until else ""
    yield from columns([(way["name"], way["title"], way["total"], way["ceiling"]) for way in shown["ways"]], (2, 3))
    answers = answering.answers_to(workspace, newest.number)
    for before, row in zip([None, *rows[:-1]], rows, strict=True):
        yield from heading(f"Version {row.version}")
        yield from paragraph(f"{row.created[:10]}, {row.who}{': ' if row.note else ''}{row.note}")
        for one in answers:
            if one.version == row.version:
                yield from paragraph(f"{tell(one.became)}: {one.name}, {one.created[:16].replace('T', ' ')} UTC")
        if before is not None:
            told = quoting.difference(before, row, units)
            yield from columns([(d.kind, d.where, d.what, d.before, d.after) for d in told])


def write_paper(home: Path, number: int, version: int | None, pdf: Path, units: str, paper: str | None) -> None:
    """Write one version of a quote as its paper."""
    workspace = counter.open_workspace(home, who="terminal")
    row = _version(workspace, number, version)
    pdf.write_bytes(printed(row, units, paper, answering.answered(workspace, row)))
