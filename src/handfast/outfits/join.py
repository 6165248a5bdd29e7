"""How a lid's lines meet those of the machine."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.outfits.oil_lines import OilLines


@dataclass(frozen=True)
class Join:
    """How the lid's lines meet: complete or not, longest path needed and hose bought [m], parts, price, their oil."""

    complete: bool
    needed: float
    bought: float
    parts: tuple[str, ...]
    price: float
    why: str
    oil: OilLines | None = None
