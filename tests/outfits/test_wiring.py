"""The wiring of an electric lid, by hand.

Cable of 10 AWG: diameter 0.127 mm × 92^((36 − 10) / 39) (ASTM B258), copper of 1.724e-8 Ω·m at 20 °C (IEC 60028).
22 A over 16 ft there and back; a fuse bears 1.25 times the current at least (blade fuse practice).
"""

from __future__ import annotations

from math import isnan, pi

import pytest

from handfast.drawings.from_wiring import wiring_figures, wiring_view_of
from handfast.drawings.wiring import wiring_drawing, wiring_words
from handfast.machines.attachment import Attachment, Electrics
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute
from handfast.outfits.wiring import Wiring, wiring_of

SHELF = Shelf(
    parts={
        "cable": Part(id="cable", kind="cable", gauge="10", length="16 ft", price="42", stock=1),
        "fuse": Part(id="fuse", kind="fuse", current="30 A", price="11", stock=1),
    }
)
LID = Electrics(current="22 A", speed="0.45 in/s", stroke="7.54 in")


def wired(shelf: Shelf = SHELF, route: str = "electric") -> Wiring | None:
    tool = Attachment(kind="root_grapple", lids=1, actuation="electric", electrics=LID)
    outfit = Outfit(tool, MountRoute("direct", "pinned", "pinned"), PowerRoute(route))
    return wiring_of(outfit, Inquiry(machine=Machine(alternator="40 A")), shelf, 20.0)


def test_loss_time_and_average_current_by_hand() -> None:
    found = wired()
    assert found is not None
    area = pi / 4 * (0.127e-3 * 92 ** (26 / 39)) ** 2
    lost = 22.0 * 2 * 16 * 0.3048 * 1.724e-8 / area
    assert found.drop == pytest.approx(lost, rel=2e-3)
    assert found.share == pytest.approx(lost / 12.0, rel=2e-3)
    seconds = 7.54 / (0.45 * (1.0 - lost / 12.0))
    assert found.seconds == pytest.approx(seconds, rel=1e-3)
    assert found.on_average == pytest.approx(22.0 * seconds * 2 * 20 / 3600, rel=1e-3)
    assert found.fuse == 30.0 >= 1.25 * 22.0
    assert found.fuse <= found.bears
    assert found.alternator == 40.0


def test_oil_has_no_wiring_and_an_empty_shelf_says_what_is_missing() -> None:
    assert wired(route="diverter") is None
    bare = wired(Shelf())
    assert bare is not None
    assert isnan(bare.fuse)
    assert isnan(bare.drop)
    view = wiring_view_of(bare)
    assert "no cable on the shelf" in view.cable
    assert "no fuse on the shelf" in view.fuse
    assert "Cable loses" not in dict(wiring_figures(bare))


def test_the_drawing_tells_every_piece_from_battery_to_motor() -> None:
    found = wired()
    assert found is not None
    view = wiring_view_of(found)
    said = wiring_words(view)
    order = [said.index(words) for words in (view.battery, view.fuse, view.relays, view.cable, view.plug, view.motor)]
    assert order == sorted(order)
    text = wiring_drawing(view, "print")
    assert "W1" in text
    assert "F1" in text
    assert "style=" not in text
    assert 'width="' in wiring_drawing(view, "screen", 358.0)
