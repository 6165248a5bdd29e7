"""What would have to change: for each failing check the smallest change of one input that turns it."""

from __future__ import annotations

import re

import numpy as np

from handfast.advice.odds import HELD, Judged
from handfast.advice.result import Change
from handfast.outfits.assess import Finding
from handfast.quantities.arrays import Array, ArrayLike, middle, quantile
from handfast.quantities.showing import show, show_slope

_DIGITS = re.compile(r"[\d.,]+")


def changes(judged: Judged, row: int, system: str) -> tuple[Change, ...]:
    """For each failing hard check of an outfit the change in one input that would turn it; all are needed together.

    Args:
        judged: the outfits.
        row: which outfit.
        system: units.

    Returns:
        Changes, the gravest check first; none at all where a failing check is not turned by any, for then the others
        would not do either. Two that ask the same of one thing are one, the greater.

    Source: margins at the quantile that the verdict asks for, solved for one input (all are linear in it).

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> changes(judge(laid(), Shelf()), 0, "us")  # everything holds
        ()
    """
    outfit = judged.bench.outfits[row].id
    found: dict[str, Change] = {}
    for finding in judged.final(row).failing(row, HELD):
        made = _change(judged, finding, row, system)
        if made is None:
            return ()
        one = Change(outfit, finding.check.id, *made)
        thing = _DIGITS.sub("", one.change)
        if thing not in found or found[thing].value < one.value:
            found[thing] = one
    return tuple(found.values())


def _change(judged: Judged, finding: Finding, row: int, system: str) -> tuple[str, float, str] | None:
    name, short = finding.check.id, _short_by(finding, row)
    bench, hung = judged.bench.hung_once, int(judged.bench.hanging[row])
    if name in ("lift.full_height", "lift.needed_height"):
        slope = bench.frame.slope
        load_lighter = float(np.max(short / (1.0 + slope * _at(bench.piece.x, hung))))
        tool_lighter = float(np.max(short / (1.0 + slope * _at(bench.tool.x, hung))))
        if tool_lighter < 0.5 * middle(_at(bench.tool.mass, hung)):
            return f"an attachment {show(tool_lighter, 'mass', system)} lighter", tool_lighter, "kg"
        return f"pieces {show(load_lighter, 'mass', system)} lighter", load_lighter, "kg"
    if name == "lift.attachment_rating":
        return f"pieces {show(short, 'mass', system)} lighter", short, "kg"
    if name == "lift.curl":
        lighter = float(np.max(short / _at(bench.piece.x, hung)))
        return f"pieces {show(lighter, 'mass', system)} lighter", lighter, "kg"
    if name == "balance.rear_share_loaded":
        needed = judged.chosen[row].needed
        return f"{show(needed, 'mass', system)} on the hitch", needed, "kg"
    if name == "grip.opening":
        return f"a lid that opens {show(short, 'length', system)} more", short, "m"
    if name == "mount.width":
        return f"an attachment {show(short, 'length', system)} narrower", short, "m"
    if name == "lift.dump_height":
        return f"a side {show(short, 'length', system)} lower", short, "m"
    if name == "slope.side":
        limit = quantile(finding.row("capacity", row), 1.0 - HELD)
        return f"ground no steeper than {show_slope(limit)}", limit, "rad"
    return None


def _short_by(finding: Finding, row: int) -> float:
    """How much is missing at the quantile that nine of ten samples ask."""
    return -(quantile(finding.spare(row), 1.0 - HELD))


def _at(values: ArrayLike, row: int) -> Array:
    array = np.atleast_2d(np.asarray(values, dtype=np.float64))
    return np.asarray(array[row] if len(array) > 1 else array[0])
