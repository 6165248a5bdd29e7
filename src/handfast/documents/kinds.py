"""The papers of an outfit by their kinds, as addresses and the terminal name them."""

from __future__ import annotations

KINDS = {
    "fit-sheet": "Fit sheet",
    "parts-order": "Parts order",
    "hose-order": "Hose order",
    "circuit-sheet": "Circuit sheet",
    "install-sheet": "Install sheet",
    "hose-tags": "Hose tags",
}
