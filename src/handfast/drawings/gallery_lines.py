"""Invented lines of oil for the gallery: a circuit and a hose plan."""

from __future__ import annotations

from dataclasses import replace

from handfast.drawings.circuit import CircuitView, Mark
from handfast.drawings.hose_plan import HosePlanView, HoseRow, PoseView


def circuits() -> list[CircuitView]:
    """A third function with pilot checks, a diverter, a rear remote with its detent."""
    closing, opening = _marks("A"), _marks("B")
    base = CircuitView(
        "own", "open", "rear remote", "lever", closing, opening, cylinders=2, detent=True,
        relief="relief 2,400 psi", flow="6.0 gpm", figures=("Oil at 104 °F: closes in 1.4 s.",),
    )  # fmt: skip
    coil = replace(base, worked_by="solenoid", detent=False, cylinders=1)
    row = replace(coil, feed="row", valve="third-function valve", held=True, supply_tags=("P1", "N1"))
    return [row, replace(coil, feed="diverter", valve="diverter", supply_tags=("C1", "C2", "C3", "C4")), base]


def _marks(name: str) -> tuple[Mark, ...]:
    return (
        Mark("hose", f"{name}1", "3/8 in, 12 ft"),
        Mark("coupler", f"{name}C1, {name}C2", "flat-face 1/2"),
        Mark("hose", f"{name}2", "3/8 in, 4 ft"),
    )


def hoses() -> HosePlanView:
    """Rear remote to the arms' end, arms low and high."""
    low = PoseView((2.2, 0.45), -0.5, (1.99, 0.68), (2.37, 0.33), "longest, 20.4 in, arms low, tool dumped")
    high = PoseView((2.1, 1.9), 0.6, (1.86, 1.9), (2.2, 2.0), "shortest, 14 in, arms high, tool curled back")
    rows = (
        HoseRow("A1, B1", "AC1 to AC2, BC1 to BC2", "15 ft 1 in", "16 ft", ("Lay a string before it is cut.",)),
        HoseRow("A2, B2", "AC3 to port that closes, BC3 to port that opens", "2 ft 10 in", "3 ft"),
    )
    return HosePlanView((0.85, 1.15), (low, high), 0.38, 0.26, 1.5, "rear", "A1, B1", "A2, B2", "AC2, BC2", rows)
