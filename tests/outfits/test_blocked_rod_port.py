"""The pressure of a rod port that is shut, held against what stands on its line.

Outside value: hydraulic_checks.csv, row C25: a cylinder of 2 in bore and 1.25 in rod at 2,000 psi on the bore side, rod
port blocked, no load, has 3,282.1 psi on the rod side; hose and coupler there must bear it (textbook identity p·A/a).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.bench import Bench, Join
from handfast.outfits.check_power import pressure
from handfast.outfits.lay import lay
from handfast.outfits.powering import PowerRoute

PSI = 6894.757293168
C25 = 3282.1 * PSI
TEXT = """
[machine]
relief_pressure = "2000 psi"
front_functions = 1
quick_attach = "pinned"
ports.front = "coupler_flat 1/2 female"
[[attachment]]
kind = "root_grapple"
lids = 1
actuation = "hydraulic"
interfaces = ["pinned"]
mass = "300 lb"
hydraulics = {{ bore = "2 in", rod = "1.25 in", stroke = "8 in", pressure_max = "3000 psi", close = "{close}" }}
"""


def bench(bears: tuple[float, float], close: str = "extend") -> Bench:
    """One outfit on the tractor's front outlets, its couplers and hoses bearing so much in each line [psi]."""
    inquiry: Inquiry = read_inquiry(TEXT.format(close=close))
    laid = lay(inquiry.resolve(Shelf()), Shelf(), 1).benches[0]
    assert [o.power.route for o in laid.outfits] == ["front_outlets"]
    known = Join(True, 1.0, 1.2, (), 0.0, "", bears=(bears[0] * PSI, bears[1] * PSI))
    return replace(laid, joins=(known,))


def margin(one: Bench) -> float:
    demand, capacity = pressure(one)
    return float((capacity - demand).ravel()[0])


def test_the_rod_side_must_bear_the_intensified_pressure() -> None:
    """Closing by pushing, the rod side is the line that opens."""
    holds, fails = bench((3000.0, 3300.0)), bench((5000.0, 3250.0))
    assert margin(holds) > 0.0
    assert margin(fails) < 0.0
    demand, capacity = pressure(fails)
    assert float(demand.ravel()[0]) == pytest.approx(C25, rel=1e-4)
    assert float(capacity.ravel()[0]) == pytest.approx(3250.0 * PSI)


def test_a_lid_that_closes_by_pulling_has_its_rod_side_on_the_closing_line() -> None:
    assert margin(bench((3300.0, 3000.0), "retract")) > 0.0
    assert margin(bench((3250.0, 5000.0), "retract")) < 0.0


def test_the_bore_side_is_held_against_relief_alone() -> None:
    """The lid's own 3,000 psi against 2,000 psi is what decides where the rod side bears enough."""
    demand, capacity = pressure(bench((2500.0, 9000.0)))
    assert float(demand.ravel()[0]) == pytest.approx(2000.0 * PSI)
    assert float(capacity.ravel()[0]) == pytest.approx(2500.0 * PSI)


def test_where_no_coupler_of_ours_can_shut_it_relief_decides() -> None:
    """What comes with kit or attachment has a rating that nobody has said."""
    unknown = replace(bench((1.0, 1.0)), joins=(Join(True, 1.0, 1.2, (), 0.0, ""),))
    demand, capacity = pressure(unknown)
    assert float(demand.ravel()[0]) == pytest.approx(2000.0 * PSI)
    assert float(capacity.ravel()[0]) == pytest.approx(3000.0 * PSI)
    assert np.isfinite(capacity).all()
    nothing = replace(unknown, joins=(None,))
    assert margin(nothing) == pytest.approx(1000.0 * PSI)


def test_a_pump_of_its_own_has_a_relief_of_its_own() -> None:
    """A pack of 1,800 psi on a tractor of 2,000: its lines see 1,800 psi."""
    laid = bench((9000.0, 9000.0))
    kit = Part(id="pack", kind="valve_kit", power_route="separate_pump", pressure_max="1800 psi", flow_rated="2 gpm")
    packed = replace(laid.outfits[0], power=PowerRoute("separate_pump", (kit,)))
    demand, capacity = pressure(replace(laid, outfits=(packed,)))
    assert float(demand.ravel()[0]) == pytest.approx(1800.0 * PSI)
    assert float(capacity.ravel()[0]) == pytest.approx(1800.0 * PSI)
