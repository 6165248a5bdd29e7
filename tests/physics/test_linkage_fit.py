"""The inverse: a linkage from a spec sheet."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics.linkage import least_leverage, level_path, stroke
from handfast.physics.linkage_fit import FURTHEST, Loader, Sheet, class_loader, fit, scaled, sheet_of
from handfast.physics.linkage_force import Weights
from handfast.physics.linkage_plane import point
from handfast.physics.linkage_pose import pose

CLASSES = ("subcompact", "compact_small", "compact_large", "utility")
KINDS = ("direct", "bellcrank", "levelling")
HIDDEN = np.array([0.02, -0.03, 0.06, 0.01, -0.02, 0.03, 0.02, -0.04, 0.05, -0.04])


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("kind", KINDS)
def test_sheet_of_a_hidden_linkage_is_met(name: str, kind: str) -> None:
    """A sheet that some linkage really has is met; the linkage itself is not unique and not claimed."""
    start = class_loader(name, kind)
    sheet = sheet_of(scaled(start, HIDDEN))
    found = fit(start, sheet)
    assert max(abs(v) for v in found.residual) < 1e-3


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("kind", KINDS)
def test_class_linkages_can_be_built(name: str, kind: str) -> None:
    """Cylinders that fit between their ends, no dead centre in the stroke, the tool level over the whole lift."""
    made = class_loader(name, kind)
    for cylinder in (made.lift, made.tilt):
        assert float(cylinder.extended) < 2 * float(cylinder.retracted) and float(cylinder.rod) < float(cylinder.bore)
    at = pose(made.points, stroke(made.lift, 9)[:, None], stroke(made.tilt, 9))
    assert float(least_leverage(made.points, at).min()) > 0.15
    held = (made.points, made.weights, made.lift, made.tilt, made.pressure)
    assert np.isfinite(level_path(*held, point(0.5, 0.0), stroke(made.lift, 9)).capacity).all()


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("kind", KINDS)
def test_scaling_by_nothing_changes_nothing(name: str, kind: str) -> None:
    made = class_loader(name, kind)
    same = scaled(made, np.zeros(10))
    assert all(a is b is None or np.allclose(a, b) for a, b in zip(made.points, same.points, strict=True))
    assert np.allclose(made.weights, same.weights) and np.allclose(made.lift, same.lift)
    assert np.allclose(made.tilt, same.tilt)


def test_longer_arms_carry_the_tool_end_and_their_own_middle_along() -> None:
    """Similar triangles: the arm's centre of gravity moves out in the arm's own proportion."""
    made = class_loader("utility", "bellcrank")
    by = np.zeros(10)
    by[2] = np.log(1.1)
    longer = scaled(made, by)
    pivot, arm = made.points.arm_pivot, made.points.tool_pivot - made.points.arm_pivot
    assert np.allclose(longer.points.tool_pivot, pivot + 1.1 * arm)
    assert np.allclose(
        longer.points.link_tool - longer.points.tool_pivot, made.points.link_tool - made.points.tool_pivot
    )
    assert np.allclose(longer.weights.arm_cg - pivot, 1.1 * (made.weights.arm_cg - pivot))


def test_what_contradicts_keeps_its_residual() -> None:
    """A reach beyond the arm length at full height cannot be met, and says so."""
    start = class_loader("compact_large", "direct")
    sheet = sheet_of(start)
    found = fit(start, sheet._replace(pin_x_up=sheet.pin_x_level + 0.4))
    assert abs(found.residual.pin_x_up) > 0.02


def test_only_what_the_sheet_has_is_asked() -> None:
    found = fit(class_loader("utility", "direct"), Sheet(pin_height_max=3.2))
    assert np.isnan(found.residual.lift_at_pin) and abs(found.residual.pin_height_max) < 1e-3
    with pytest.raises(ValueError, match="without a figure"):
        fit(class_loader("utility", "direct"), Sheet())


def test_checked_machine_gets_a_linkage_within_its_sheet() -> None:
    """The sheet of checked inquiry q18 (tests/validation/checked): heights, reach and both ratings, all facts known."""
    start = class_loader("compact_large", "direct")
    bare = Weights(213.0, start.weights.arm_cg, 0.0, point(0.0, 0.0))
    flow = 9.4 * 3.785411784e-3 / 60
    sheet = Sheet(2.692, 0.3044174859546309, 1.854 + 0.899, 1.854 + 1.251, 1.854 + 0.757, 1043.0, 771.0)
    found = fit(start._replace(weights=bare, pressure=165e5, flow=flow), sheet)
    assert max(abs(v) for v in found.residual if np.isfinite(v)) < 0.03


@pytest.mark.parametrize("kind", KINDS)
def test_known_linkages_are_recovered_from_their_sheets(kind: str) -> None:
    """Eight hidden linkages of each kind: residuals, and lift 500 mm ahead over the whole stroke, against the truth."""
    random, spread = np.random.default_rng(5), 0.3 * FURTHEST
    for name in CLASSES * 2:
        start = class_loader(name, kind)
        hidden = scaled(start, spread * random.uniform(-1.0, 1.0, 10))
        sheet = sheet_of(hidden)
        found = fit(start, sheet)
        assert max(abs(v) for v in found.residual[:-1]) < 1e-4
        assert abs(found.residual.raise_time) < 2e-3
        (high, true), (reached, lifted) = (_lifts(one) for one in (hidden, found.loader))
        assert np.interp(high, reached, lifted) == pytest.approx(true, rel=3e-3)


def _lifts(made: Loader) -> tuple[np.ndarray, np.ndarray]:
    path = level_path(
        made.points, made.weights, made.lift, made.tilt, made.pressure, point(0.5, 0.0), stroke(made.lift, 15)
    )
    return path.pin_z, path.lift_limited


def test_a_sheet_that_no_linkage_of_the_class_prints_keeps_its_pins_near_the_class() -> None:
    """Twice the rating from the same oil: the miss stands in the residual, not in absurd pins."""
    start = class_loader("subcompact", "direct")
    sheet = sheet_of(start)
    found = fit(start, sheet._replace(lift_at_pin=4.0 * sheet.lift_at_pin, lift_at_500=4.0 * sheet.lift_at_500))
    assert max(abs(v) for v in found.residual) > 0.2
    moved = abs(found.loader.points.lift_base - start.points.lift_base)
    assert moved < 0.8 * abs(start.points.tool_pivot - start.points.arm_pivot)
