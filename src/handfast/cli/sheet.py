"""A paper written to a file."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import click

from handfast.advice.result import Advice
from handfast.cli.given import Refused
from handfast.language.telling import tell
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf


class Sheet(NamedTuple):
    """Which paper, on what size, for which supplier, in which units."""

    kind: str
    paper: str
    supplier: str
    units: str


def write_sheet(advice: Advice, inquiry: Inquiry, shelf: Shelf, outfit_id: str | None, sheet: Sheet, pdf: Path) -> None:
    """Write a paper of an outfit, else of the best; Refused where this outfit can't have it."""
    from handfast.documents.papers import paper_of
    from handfast.documents.work_paper import Options

    if not advice.outfits:
        raise Refused(["--pdf: nothing on the shelf answers this inquiry, so there is no sheet to write."])
    options = Options(sheet.paper, sheet.units, supplier=sheet.supplier)
    try:
        pdf.write_bytes(paper_of(sheet.kind, advice, outfit_id or advice.outfits[0].id, inquiry, shelf, options))
    except ValueError as reason:
        raise Refused([f"--paper {sheet.kind}: {reason}"]) from None
    click.echo(tell(f"Wrote {pdf}."), err=True)
