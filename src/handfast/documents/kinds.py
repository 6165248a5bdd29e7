"""The papers of an outfit by their kinds, as addresses and the terminal name them."""

from __future__ import annotations

KINDS = {
    "fit-sheet": "Fit sheet",
    "parts-order": "Parts order",
    "pick-list": "Pick list",
    "purchase-order": "Purchase order",
    "hose-order": "Hose order",
    "circuit-sheet": "Circuit sheet",
    "install-sheet": "Install sheet",
    "hose-tags": "Hose tags",
    "receiving": "Receiving checklist",
    "hand-over": "Hand-over record",
    "seat-card": "Seat card",
}
PAGES = {"letter": "us-letter", "a4": "a4"}
"""The sizes of paper as they are asked for: `--page letter`, `?page=a4`."""
HOLDS = ("fits", "fits with conditions")
"""Verdicts of outfits that a seat card may be made for, where their loads are known."""
