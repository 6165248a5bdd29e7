"""Every paper of an outfit by its kind: the one list for page, terminal and tests."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from handfast.advice.result import Advice
from handfast.documents.circuit_sheet import circuit_sheet
from handfast.documents.fit_sheet import fit_sheet
from handfast.documents.hand_over import hand_over
from handfast.documents.hose_order import hose_order
from handfast.documents.hose_tags import hose_tags
from handfast.documents.install_sheet import install_sheet
from handfast.documents.parts_order import parts_order
from handfast.documents.pick_list import pick_list
from handfast.documents.purchase_order import purchase_order
from handfast.documents.receiving import receiving
from handfast.documents.seat_card import seat_card
from handfast.documents.work_paper import Options
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting, fitting_of

Maker = Callable[[Advice, str, Fitting, Options], bytes]


def _fit_sheet(advice: Advice, outfit_id: str, _fitting: Fitting, options: Options) -> bytes:
    return fit_sheet(
        advice,
        outfit_id,
        paper=options.paper,
        system=options.system,
        made=options.made,
        number=options.number,
        dealer=options.dealer,
        demo=options.demo,
    )


def _seat_card(advice: Advice, outfit_id: str, fitting: Fitting, options: Options) -> bytes:
    """Two on a sheet with marks to cut along: one for the seat, one for the file."""
    return seat_card(
        advice,
        outfit_id,
        paper=options.paper,
        number=options.number,
        made=options.made,
        tractor_serial=fitting.inquiry.machine.serial,
        attachment_serial=fitting.outfit.attachment.serial,
        system=options.system,
        dealer=options.dealer,
        demo=options.demo,
    )


PAPERS: Mapping[str, Maker] = {
    "fit-sheet": _fit_sheet,
    "parts-order": parts_order,
    "pick-list": pick_list,
    "purchase-order": purchase_order,
    "hose-order": hose_order,
    "circuit-sheet": circuit_sheet,
    "install-sheet": install_sheet,
    "hose-tags": hose_tags,
    "receiving": receiving,
    "hand-over": hand_over,
    "seat-card": _seat_card,
}
"""What makes each of `handfast.documents.kinds.KINDS`."""


def paper_of(
    kind: str,
    advice: Advice,
    outfit_id: str,
    inquiry: Inquiry,
    shelf: Shelf,
    options: Options | None = None,
    as_built: Mapping[str, float] | None = None,
) -> bytes:
    """A paper of an outfit.

    Args:
        kind: one of `PAPERS`.
        advice: the answer.
        outfit_id: which of its outfits.
        inquiry: what the caller said.
        shelf: what can be sold.
        options: paper, units, date, number.
        as_built: lengths of hoses measured on the machine by number [m].

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such kind or outfit.
        ValueError: no such paper, system or supplier; a seat card of an outfit that does not hold.
        PaperError: the press failed.

    >>> list(PAPERS)[0]
    'fit-sheet'
    """
    options = options or Options()
    fitting = fitting_of(outfit_id, inquiry, shelf, options.system, as_built)
    return PAPERS[kind](advice, outfit_id, fitting, options)
