"""Attachments, parts and rates of the demonstration shelf, against geometry by hand and the trade's usual bands.

Prices and sizes are common practice, no source: they only say that a figure is one that nobody would wonder at.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, sin
from typing import get_args

import pytest
from scipy.optimize import brentq

from handfast.machines.attachment import Attachment, AttachmentKind
from handfast.machines.fields import Point
from handfast.machines.part import PartKind, PowerRoute
from handfast.machines.shelf_files import demo_shelf

LB, IN = 0.45359237, 0.0254
SHELF = demo_shelf()
MACHINES = list(SHELF.machines.values())
ATTACHMENTS = list(SHELF.attachments.values())
PARTS = list(SHELF.parts.values())


def test_every_kind_is_on_the_shelf() -> None:
    """At least 45 attachments of every kind and actuation, every part kind, power route and form of ballast."""
    assert len(ATTACHMENTS) >= 45
    assert {a.kind for a in ATTACHMENTS} == set(get_args(AttachmentKind))
    assert {a.actuation for a in ATTACHMENTS} == {"hydraulic", "electric", "curl", "none"}
    assert {a.lids for a in ATTACHMENTS if a.actuation == "hydraulic"} == {0, 1, 2}
    assert min(a.mass.value for a in ATTACHMENTS) < 200 * LB
    assert max(a.mass.value for a in ATTACHMENTS) >= 1100 * LB
    assert {p.kind for p in PARTS} >= set(get_args(PartKind)) - {"hose_assembly"}
    assert {p.power_route for p in PARTS if p.kind == "valve_kit"} == set(get_args(PowerRoute))
    ballast = [p for p in PARTS if p.kind == "ballast"]
    assert {p.at for p in ballast} == {"hitch", "rear_wheels", "tyres", "rack", "front_rack"}
    fills = [p for p in ballast if p.at == "tyres"]
    assert all(p.mass.value == pytest.approx(p.volume.value * p.density.value, rel=0.01) for p in fills)


def test_every_machine_has_something_to_hang_on_it() -> None:
    """Each carriage is met by a grapple, by forks and by a bucket, straight on or by one kit."""
    kits = [(p.from_interface, p.to_interface) for p in PARTS if p.from_interface]
    for machine in MACHINES:
        reach = {machine.quick_attach, *(to for have, to in kits if have == machine.quick_attach)}
        kinds = {a.kind for a in ATTACHMENTS if reach & set(a.interfaces)}
        assert {"root_grapple", "log_grapple", "pallet_forks", "bucket"} <= kinds, machine.id


# Trade notes, cost lines in USD (common practice, no source); the widest band of the lines that a kind may fall under.
PRICES = {
    "root_grapple": (900, 5500),
    "brush_grapple": (900, 3200),
    "rock_grapple": (1500, 4500),
    "rake_grapple": (1500, 4500),
    "log_grapple": (1300, 4500),
    "pallet_forks": (550, 1600),
    "bucket": (500, 2000),
    "stump_bucket": (400, 1100),
    "angle_blade": (1600, 4000),
    "snow_pusher": (800, 3000),
    "landscape_rake": (600, 1800),
}


@pytest.mark.parametrize("attachment", ATTACHMENTS, ids=lambda a: a.id)
def test_attachments_are_of_their_kind(attachment: Attachment) -> None:
    """Common practice, no source: price, and more rated load than own mass; the crate holds the piece."""
    low, high = PRICES.get(str(attachment.kind), (1300, 5500))
    assert low <= attachment.price.value <= high
    assert attachment.price.low < attachment.price.value < attachment.price.high
    assert attachment.rated_load.value > attachment.mass.value
    assert attachment.shipping is not None
    assert attachment.shipping.mass.value > attachment.mass.value
    assert attachment.shipping.width.value > attachment.width.value


def turned(point: Point, about: Point, angle: float) -> tuple[float, float]:
    """A point turned about another, counter-clockwise."""
    x, z = point.x.value - about.x.value, point.z.value - about.z.value
    return (
        about.x.value + x * cos(angle) - z * sin(angle),
        about.z.value + x * sin(angle) + z * cos(angle),
    )


@pytest.mark.parametrize("attachment", [a for a in ATTACHMENTS if a.jaw and a.jaw.lid], ids=lambda a: a.id)
def test_a_lid_opens_as_far_as_its_cylinder_and_the_sheet_say(attachment: Attachment) -> None:
    """Rotate the lid until the cylinder is at its shortest: the tip opening is the printed one; the cylinder exists."""
    jaw = attachment.jaw
    assert jaw is not None
    pivot, base, rod = jaw.lid_pivot, jaw.cylinder_base, jaw.cylinder_rod
    assert pivot and base and rod

    def length(angle: float) -> float:
        x, z = turned(rod, pivot, angle)
        return hypot(x - base.x.value, z - base.z.value)

    stroke = jaw.extended.value - jaw.retracted.value
    assert length(0.0) == pytest.approx(jaw.extended.value, abs=0.0005)
    assert jaw.retracted.value - stroke > 0.15  # piston, gland and eyes take room
    wide = brentq(lambda angle: length(angle) - jaw.retracted.value, 0.3, 2.2)
    x, z = turned(jaw.lid[-1], pivot, wide)
    tips = hypot(x - jaw.floor[-1].x.value, z - jaw.floor[-1].z.value)
    assert tips == pytest.approx(attachment.opening_tip.value, abs=0.5 * IN)
    for moved in (attachment.hydraulics, attachment.electrics):
        if moved is not None:
            assert moved.stroke.value == pytest.approx(stroke, abs=1e-4)


def test_freight_rises_with_mass_and_zone() -> None:
    """Every zone has a rate for every mass; heavier and farther never costs less."""
    book = SHELF.price_book
    zones: dict[str, list[float]] = {}
    for rate in book.freight:
        zones.setdefault(rate.zone, []).append(rate.base.value)
    assert {town.zone for town in book.town} == set(zones)
    columns = list(zones.values())
    assert all(column == sorted(column) for column in columns)
    assert all(near < far for a, b in pairwise(columns) for near, far in zip(a, b, strict=True))
