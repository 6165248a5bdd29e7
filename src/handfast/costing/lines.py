"""One line of a bill."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.quantities.estimate import Estimate

GOODS = "goods"


@dataclass(frozen=True)
class Line:
    """One line: what it is, which lines it moves with, whether people forget it."""

    what: str
    group: str
    kind: str  # goods, labour, freight
    hidden: bool
    price: Estimate
