"""Room between each attachment and the machine's own grille, hood and front tyres, over every pose of the loader."""

from __future__ import annotations

import numpy as np

from handfast.machines.attachment import Attachment
from handfast.outfits.bench import Bench
from handfast.outfits.gripping import sound_jaw
from handfast.outfits.loader_poses import Poses, loader_poses
from handfast.outfits.tools import floor_points
from handfast.physics import clearance
from handfast.quantities.arrays import Array, middle

# Where grille and hood are when only wheelbase and tyres are known: common practice, no source; as sheets draw them.
GRILLE_AHEAD = 0.8  # of the front tyre's radius, ahead of the front axle
HOOD_TOP = 0.66  # of the wheelbase, over the ground, at the nose
GRILLE_FOOT = 1.0  # of the front tyre's radius, over the ground
DUG_IN = 0.10  # m below the ground that a tool gets at most: deeper poses are never reached
KEPT = 4000  # answers kept at most

Key = tuple[bytes, tuple[float, ...]]
_answers: dict[Key, float] = {}


def gaps(bench: Bench) -> Array:
    """The least gap between each attachment, lid shut, and grille, hood and front tyres [m].

    Args:
        bench: the outfits.

    Returns:
        Shape (outfits, 1); negative where they would touch, NaN without a recorded linkage, a drawn jaw or floor.

    Source: `physics.clearance.curl_gap` over arms down to full height and the whole tilt stroke.

    Example:
        >>> from handfast.outfits.example import bench
        >>> gaps(bench()).tolist()  # no linkage is recorded: not decidable
        [[nan]]
    """
    poses = loader_poses(bench.inquiry.machine)
    names = ("wheelbase", "front_tyre.radius")
    base, radius = (middle(bench.draws[name]) for name in names)
    if poses is None or np.isnan(base * radius):
        return np.full((len(bench.outfits), 1), np.nan)
    moves = b"".join(part.tobytes() for part in poses[:3])
    found: dict[tuple[int, float, float], float] = {}
    rows = []
    for k, outfit in enumerate(bench.outfits):
        ahead, drop = middle(bench.plane_x[k]), -middle(bench.plane_z[k])
        key = (id(outfit.attachment), ahead, drop)
        if key not in found:
            line = outline_of(outfit.attachment)
            found[key] = np.nan if line is None else _least(line, poses, moves, (ahead, drop, base, radius))
        rows.append(found[key])
    return bench.per_outfit(rows)


def outline_of(attachment: Attachment) -> Array | None:
    """An attachment seen from the side, lid shut: floor, lid and lid cylinder; the floor alone where no lid is drawn.

    Args:
        attachment: the record.

    Returns:
        Points [m], shape (n, 2), attachment's frame; None where nothing is drawn.

    Source: the recorded jaw.

    Example:
        >>> outline_of(Attachment()) is None
        True
    """
    made = sound_jaw(attachment)
    if made is not None:
        return np.vstack([made.base, made.rod, clearance.outline(made)])
    floor = floor_points(attachment)
    return None if floor is None or np.isnan(floor).any() else floor


def _least(line: Array, poses: Poses, moves: bytes, sizes: tuple[float, ...]) -> float:
    """Least gap over the poses that the ground allows, reckoned once."""
    key = (moves + line.tobytes(), sizes)
    if key not in _answers:
        if len(_answers) >= KEPT:
            _answers.clear()
        _answers[key] = _over_poses(line, poses, *sizes)
    return _answers[key]


def _over_poses(line: Array, poses: Poses, ahead: float, drop: float, base: float, radius: float) -> float:
    placed = clearance.placed(line, poses.pin_x, poses.pin_z, ahead, drop, poses.angle)
    reached = placed[placed[..., 1].min(axis=-1) >= -DUG_IN]
    if not len(reached):
        return float("nan")
    hood = clearance.gap_to_hood(reached, base + GRILLE_AHEAD * radius, HOOD_TOP * base, GRILLE_FOOT * radius)
    return float(np.minimum(hood, clearance.gap_to_wheel(reached, base, radius)).min())
