"""Money per useful kilogram by hand: a lever about the rear axle, and nothing off the front from the wheels."""

from __future__ import annotations

from pathlib import Path

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Ballast
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf

TEXT = (Path(__file__).parents[1] / "validation" / "checked" / "q04.toml").read_text()
PIECES = (
    Part(id="box", kind="ballast", at="hitch", mass=200, price=480, behind=1.5),
    Part(id="disc", kind="ballast", at="rear_wheels", mass=40, price=60, count_max=4),
    Part(id="liquid", kind="ballast", at="tyres", mass=160, price=300),
)
SPAN = float(read_inquiry(TEXT).machine.wheelbase.value)


def ballast(text: str = TEXT) -> Ballast:
    shelf = Shelf(parts={part.id: part for part in PIECES}, price_book=PriceBook(currency="EUR"))
    return advise(read_inquiry(text), shelf).outfits[0].ballast


def test_what_each_piece_buys() -> None:
    """Rear share k: useful = m(1 + b/L - k); off the front m·b/L. Prices over these."""
    found = ballast()
    rows = {row.part: row for row in found.worth}
    k = found.rule
    lever = 1.5 / SPAN
    assert rows["box"].useful == pytest.approx(200 * (1 + lever - k))
    assert rows["box"].price_per_off_front == pytest.approx(480 / (200 * lever))
    assert rows["disc"].mass == 80.0 and rows["disc"].price == 120.0
    assert rows["disc"].price_per_useful == pytest.approx(120 / (80 * (1 - k)))
    assert [rows[name].price_per_off_front for name in ("disc", "liquid")] == [None, None]
    prices = [row.price_per_useful for row in found.worth]
    assert prices == sorted(prices, key=lambda p: p or 0.0)
    assert "takes nothing off the front axle" in found.why


def test_full_tyres_are_no_offer() -> None:
    filled = TEXT.replace("[machine.loader]", 'tyre_fill = "filled"\n[machine.loader]', 1)
    assert "liquid" not in {row.part for row in ballast(filled).worth}
