"""A worked example for the docstrings: one invented inquiry with every fact known, laid and checked.

Its figures come from an independent reckoning by moments (`tests/validation/checked/q01.expected.json`).
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import Assessment, assess
from handfast.outfits.bench import Bench
from handfast.outfits.lay import Laid, lay


@cache
def inquiry() -> Inquiry:
    """The example's inquiry.

    Returns:
        Inquiry with one brush grapple, pinned.

    Example:
        >>> inquiry().title
        'Fence row gone wild'
    """
    return read_inquiry((files("handfast.data") / "example" / "inquiry.toml").read_text("utf-8"), "example.toml")


@cache
def laid() -> Laid:
    """The example laid out, nothing on the shelf.

    Returns:
        `Laid` with one bench.

    Example:
        >>> len(laid().benches)
        1
    """
    return lay(inquiry().resolve(Shelf()), Shelf(), 1)


def bench() -> Bench:
    """The example's bench.

    Returns:
        `Bench` of one outfit and one sample.

    Example:
        >>> round(float(bench().payload_at(bench().frame.height_max)[0, 0]), 3)
        215.447
    """
    return laid().benches[0]


@cache
def found() -> Assessment:
    """The example's checks.

    Returns:
        `Assessment`.

    Example:
        >>> found().governs(0).check.id
        'balance.rear_share_loaded'
    """
    return assess(bench())
