"""Masses of a pose taken together."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.physics.balance import Item
from handfast.physics.slope import Body, combine


def combined(items: Sequence[Item]) -> Body:
    """One body out of the masses of a pose.

    Args:
        items: masses with their places, tractor frame.

    Returns:
        `Body`.

    Example:
        >>> float(combined([Item(1.0, 0.0, 0.0), Item(1.0, 1.0, 2.0)]).z)
        1.0
    """
    return combine([i.mass for i in items], [i.x for i in items], [0.0 for _ in items], [i.z for i in items])
