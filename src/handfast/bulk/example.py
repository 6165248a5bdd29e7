"""A worked example for the docstrings: the checked inquiry of `handfast.outfits.example` as a kin of one machine."""

from __future__ import annotations

from functools import cache

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.hang import Rows, rows_of
from handfast.bulk.side_by_side import asked_of, figures_of, stacked
from handfast.machines.shelf import Shelf
from handfast.outfits.example import inquiry


@cache
def kin() -> Rows:
    """One machine and what hangs on it.

    Returns:
        `Rows`.

    Example:
        >>> kin().bench.shape
        (1, 1)
    """
    given = inquiry()
    draws = stacked([figures_of(given.machine)], asked_of(given))
    shelf = Shelf(attachments={one.id: one for one in given.attachment})
    found = rows_of(given, draws, Catalogue(given, shelf))
    assert found is not None
    return found
