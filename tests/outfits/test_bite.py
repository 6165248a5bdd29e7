"""How hard a lid bites, by moments reckoned by hand.

A lid on a pivot at (0, 0.5) m, its tip at (0.6, 0.1): 0.7211 m away. The cylinder pushes straight down on a lug 0.2 m
ahead of the pivot (pins (0.2, 0.9) and (0.2, 0.5)), so its arm is 0.2 m: the tip bears 0.2 / 0.7211 of its force.
"""

from __future__ import annotations

from math import acos, cos, hypot, isnan, pi, sin, sqrt

import pytest

from handfast.machines.attachment import Attachment, Electrics, Hydraulics, Jaw
from handfast.outfits.bite import bite_of
from handfast.quantities.estimate import Estimate

PRESSURE = 2.0e7
BORE = 0.05
FORCE = PRESSURE * pi / 4 * BORE**2


def grapple(lids: int = 1, jaw: bool = True) -> Attachment:
    oil = Hydraulics(bore="50 mm", rod="25 mm", stroke="0.2 m", cylinders=lids)
    drawn = Jaw(
        floor=[[0, 0], [0.3, -0.05], [0.6, 0]],
        lid=[[0, 0.5], [0.3, 0.45], [0.6, 0.1]],
        lid_pivot=[0, 0.5],
        cylinder_base=[0.2, 0.9],
        cylinder_rod=[0.2, 0.5],
        retracted=0.25,
        extended=0.4,
    )
    return Attachment(kind="root_grapple", lids=lids, actuation="hydraulic", hydraulics=oil, jaw=drawn if jaw else None)


def test_the_tip_bears_the_force_by_the_ratio_of_its_arms() -> None:
    bite = bite_of(grapple(), PRESSURE)
    assert bite.recorded
    assert bite.shut > 0.0
    assert bite_of(drawn_shut(), PRESSURE).shut == pytest.approx(FORCE * 0.2 / hypot(0.6, 0.4), rel=1e-3)


def drawn_shut() -> Attachment:
    """The same with a stroke that ends in the drawn pose: pins 0.4 m apart."""
    tool = grapple()
    assert tool.jaw is not None
    return tool.model_copy(update={"jaw": tool.jaw.model_copy(update={"extended": Estimate.known(0.4)})})


def test_half_open_the_arm_of_the_cylinder_is_longer_or_shorter_as_the_triangle_says() -> None:
    """Law of sines: the arm is lug × base from pivot × sine of the angle between, over the length."""
    tool = drawn_shut()
    pivot_to_base, lug = hypot(0.2, 0.4), 0.2
    angle = {
        length: acos((pivot_to_base**2 + lug**2 - length**2) / (2 * pivot_to_base * lug)) for length in (0.25, 0.4)
    }
    half = 0.5 * (angle[0.25] + angle[0.4])
    length = sqrt(pivot_to_base**2 + lug**2 - 2 * pivot_to_base * lug * cos(half))
    arm = pivot_to_base * lug * sin(half) / length
    assert bite_of(tool, PRESSURE).half_open == pytest.approx(FORCE * arm / hypot(0.6, 0.4), rel=1e-3)


def test_two_lids_bite_twice() -> None:
    assert bite_of(grapple(2), PRESSURE)[0] == pytest.approx(2 * bite_of(grapple(1), PRESSURE)[0])


def test_without_a_jaw_a_fifth_to_a_third_of_the_cylinder() -> None:
    """The trade's usual lever: 0.20 to 0.35 of the cylinder's force (practice, no source)."""
    assert bite_of(grapple(jaw=False), PRESSURE) == (pytest.approx(0.20 * FORCE), pytest.approx(0.35 * FORCE), False)


def test_an_actuator_bites_by_its_own_force_and_a_lid_of_unknown_bore_by_none() -> None:
    by_wire = Attachment(lids=1, actuation="electric", electrics=Electrics(force="5 kN"))
    assert bite_of(by_wire, float("nan")) == (pytest.approx(1000.0), pytest.approx(1750.0), False)
    assert isnan(bite_of(Attachment(lids=1, actuation="hydraulic"), PRESSURE)[0])
