"""How a lid's lines meet those of the machine."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from handfast.outfits.oil_lines import OilLines


@dataclass(frozen=True)
class Join:
    """How the lid's lines meet: complete or not, longest path needed and hose bought [m], parts, price, their oil.

    `bears` is the least rating of what is sold between coupler and lid in each line [Pa]; inf where all comes along.
    """

    complete: bool
    needed: float
    bought: float
    parts: tuple[str, ...]
    price: float
    why: str
    oil: OilLines | None = None
    bears: tuple[float, float] = (inf, inf)
