"""The attachments of an inquiry as columns: one row an attachment, one column a sample where it is not known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, lru_cache

import numpy as np

from handfast.machines.attachment import Attachment
from handfast.outfits.draws import Draws, Plan, follow, typical_band
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table

TOOL_PATHS = (
    *("width", "mass", "cg.x", "cg.z", "load_centre.x", "load_centre.z", "rated_load", "price"),
    *("heaped_volume", "bite_area", "opening_tip", "opening_throat"),
    *("hydraulics.bore", "hydraulics.rod", "hydraulics.stroke", "hydraulics.pressure_max"),
    *("electrics.force", "electrics.speed", "electrics.current", "electrics.stroke"),
)


class Same:
    """An attachment by identity: records hold estimates that do not compare."""

    def __init__(self, record: Attachment) -> None:
        self.record = record

    def __hash__(self) -> int:
        return id(self.record)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.record is self.record


def plan_tools(plan: Plan, attachments: Sequence[Attachment]) -> None:
    """Ask for one shared column for each quantity that some attachment leaves open.

    Args:
        plan: filled in place.
        attachments: all candidates.

    Example:
        >>> plan = Plan()
        >>> plan_tools(plan, ())
        >>> plan.shared
        {}
    """
    for k, path in enumerate(TOOL_PATHS):
        each = (_estimates(Same(one))[k] for one in attachments)
        open_ones = [one for one in each if not one.is_known and not one.is_unknown]
        if open_ones:
            plan.shared[f"attachment.{path}"] = open_ones[0].origin


def estimate_of(attachment: Attachment, path: str) -> Estimate:
    """What is known of one quantity of an attachment, else what is typical of its kind.

    Args:
        attachment: the record.
        path: dotted name.

    Returns:
        Estimate; unknown where neither record nor table has it.

    Example:
        >>> estimate_of(Attachment(kind="bucket"), "cg.x").origin
        'typical'
    """
    known = follow(attachment, path)
    if isinstance(known, Estimate) and not known.is_unknown:
        return known
    return _kind_rows().get((str(attachment.kind), path), Estimate.unknown())


def tool_columns(attachments: Sequence[Attachment], draws: Draws) -> Mapping[str, Array]:
    """Every quantity of the attachments, shape (attachments, 1) or (attachments, samples).

    Args:
        attachments: all candidates, in order.
        draws: samples with the shared columns of `plan_tools`.

    Returns:
        Arrays by dotted path; NaN where nothing is known.

    Example:
        >>> tool_columns((), Draws({}, {}, (), np.zeros((1, 0)), 1))["mass"].shape
        (0, 1)
    """
    each = [_estimates(Same(one)) for one in attachments]
    return {path: _column([one[k] for one in each], path, draws) for k, path in enumerate(TOOL_PATHS)}


@lru_cache(maxsize=4096)
def _estimates(one: Same) -> tuple[Estimate, ...]:
    """Every quantity of an attachment, in the order of `TOOL_PATHS`."""
    return tuple(estimate_of(one.record, path) for path in TOOL_PATHS)


def _column(estimates: Sequence[Estimate], path: str, draws: Draws) -> Array:
    name = f"attachment.{path}"
    if name not in draws.columns:
        return np.array([[one.value] for one in estimates], dtype=np.float64).reshape(len(estimates), 1)
    u = draws.uniform(name)
    rows = [np.full(len(u), np.nan) if one.is_unknown else np.broadcast_to(one.draw(u), u.shape) for one in estimates]
    return np.stack(rows)


@cache
def _kind_rows() -> dict[tuple[str, str], Estimate]:
    return {(row["kind"], row["quantity"]): typical_band(row) for row in table("attachment_typical.csv")}


def floor_points(attachment: Attachment) -> Array | None:
    """The inner face of the lower jaw, from the back to the tips [m], shape (n, 2); None where not drawn.

    Args:
        attachment: the record.

    Returns:
        Points or None.

    Example:
        >>> floor_points(Attachment()) is None
        True
    """
    jaw = attachment.jaw
    if jaw is None or len(jaw.floor) < 2:
        return None
    return np.array([[p.x.value, p.z.value] for p in jaw.floor])
