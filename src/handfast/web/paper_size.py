"""What of a paper its address may choose: the size of the sheet, and whose purchase order it is."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request

from handfast.documents.kinds import PAGES

LONGEST = 200


def page_of(request: Request, house: str) -> str:
    """The paper that `?page=` names, else the house's own; 422 for a size that is not kept."""
    asked = request.query_params.get("page", "")
    if not asked:
        return house
    if asked not in PAGES:
        raise HTTPException(422, f"A page is {' or '.join(PAGES)}.")
    return PAGES[asked]


def supplier_of(request: Request) -> str:
    """The supplier that `?supplier=` names; empty for all of them."""
    return request.query_params.get("supplier", "")[:LONGEST]
