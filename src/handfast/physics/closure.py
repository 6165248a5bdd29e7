"""Planar force closure of a round piece at three contacts with friction: what load the grip resists."""

from __future__ import annotations

import itertools

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

_ZERO = 1e-10
_ONE, _OTHER = np.array(list(itertools.combinations(range(5), 2))).T  # pairs of the five planes


def _facets(lid: Array, first: Array, second: Array, friction: Array) -> tuple[Array, Array]:
    """Sides of the region of forces that the grip resists, per newton of lid force: directions and distances.

    Directions (..., 20, 2), distances (..., 20), inf where a candidate is no side. The region is the set of loads
    through the middle that friction cones at three contacts balance without turning the piece; its sides are among
    the meets of two planes in the space of (direction, turn).
    """
    mu = friction[..., None]
    planes = np.stack(
        [np.concatenate([n + sign * mu * _across(n), sign * mu], axis=-1) for n in (first, second) for sign in (1, -1)],
        axis=-2,
    )
    kink = np.concatenate([_across(lid), np.ones_like(mu)], axis=-1)
    every = np.concatenate([planes, kink[..., None, :]], axis=-2)
    rays = np.cross(every[..., _ONE, :], every[..., _OTHER, :])
    rays = np.concatenate([rays, -rays], axis=-2)
    size = np.linalg.norm(rays, axis=-1, keepdims=True)
    rays = rays / np.where(size > _ZERO, size, np.nan)
    away = np.hypot(rays[..., 0], rays[..., 1])
    allowed = ((rays @ np.swapaxes(planes, -1, -2)) >= -_ZERO).all(axis=-1) & (away > 1e-7)
    turn = (rays * kink[..., None, :]).sum(-1)
    height = -(rays[..., :2] * lid[..., None, :]).sum(-1) + friction[..., None] * np.abs(turn)
    away = np.where(allowed, away, 1.0)
    return np.asarray(rays[..., :2] / away[..., None]), np.where(allowed, height / away, np.inf)


def _across(normal: Array) -> Array:
    return np.stack([-normal[..., 1], normal[..., 0]], axis=-1)


def slip_share(lid: ArrayLike, first: ArrayLike, second: ArrayLike, friction: ArrayLike) -> Array:
    """Largest load through the middle of a round piece, worst direction in the plane, per newton of lid force.

    Args:
        lid: push of the lid on the piece, unit vectors, shape (..., 2).
        first: push of one of the two other contacts, shape (..., 2).
        second: push of the other, shape (..., 2).
        friction: coefficient [1], leading shape.

    Returns:
        share [1]; 0 where the contacts do not close; inf where the two others hold the piece without the lid.

    Source: Coulomb friction; the least distance from no load to a side of the region of loads that are resisted.

    >>> round(float(slip_share([-0.6, -0.8], [1.0, 0.0], [0.0, 1.0], 0.0)), 6)
    0.6
    """
    return np.asarray(np.maximum(_facets(*_unit(lid, first, second, friction))[1].min(axis=-1), 0.0))


def slip_toward(
    lid: ArrayLike, first: ArrayLike, second: ArrayLike, friction: ArrayLike, direction: ArrayLike
) -> Array:
    """Largest load through the middle of a round piece in one direction, per newton of lid force.

    Args:
        lid: push of the lid on the piece, unit vectors, shape (..., 2).
        first: push of one of the two other contacts, shape (..., 2).
        second: push of the other, shape (..., 2).
        friction: coefficient [1], leading shape.
        direction: of the load, unit vectors, shape (..., 2).

    Returns:
        share [1]; 0 where the contacts do not close.

    Source: as `slip_share`.

    >>> round(float(slip_toward([-0.6, -0.8], [1.0, 0.0], [0.0, 1.0], 0.0, [0.0, 1.0])), 6)
    0.8
    """
    sides, height = _facets(*_unit(lid, first, second, friction))
    toward = (sides * np.asarray(direction, dtype=np.float64)[..., None, :]).sum(-1)
    with np.errstate(invalid="ignore"):
        reach = np.where(toward > _ZERO, height / np.where(toward > _ZERO, toward, 1.0), np.inf).min(axis=-1)
    return np.where(height.min(axis=-1) < 0.0, 0.0, reach)


def _unit(
    lid: ArrayLike, first: ArrayLike, second: ArrayLike, friction: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    vectors = [np.asarray(v, dtype=np.float64) for v in (lid, first, second)]
    lead = np.broadcast_shapes(*(v.shape[:-1] for v in vectors), np.shape(friction))
    a, b, c = (np.broadcast_to(v, (*lead, 2)) for v in vectors)
    return a, b, c, np.broadcast_to(np.asarray(friction, dtype=np.float64), lead)


def sum_of_normals(lid: ArrayLike, first: ArrayLike, second: ArrayLike) -> Array:
    """Sum of the contact forces per newton of lid force, nothing else acting.

    Without friction where the two other contacts can balance the lid so; otherwise friction carries, and the contact
    across from the lid answers with the same force.

    Args:
        lid: push of the lid on the piece, unit vectors, shape (..., 2).
        first: push of one of the two other contacts, shape (..., 2).
        second: push of the other, shape (..., 2).

    Returns:
        sum [1].

    Source: equilibrium of a round piece.

    >>> round(float(sum_of_normals([-0.6, -0.8], [1.0, 0.0], [0.0, 1.0])), 6)
    2.4
    """
    w, a, b, _ = _unit(lid, first, second, 0.0)
    base = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    base = np.where(np.abs(base) > _ZERO, base, np.nan)
    from_a = -(w[..., 0] * b[..., 1] - w[..., 1] * b[..., 0]) / base
    from_b = -(a[..., 0] * w[..., 1] - a[..., 1] * w[..., 0]) / base
    smooth = (from_a >= -_ZERO) & (from_b >= -_ZERO)
    return np.where(smooth, 1.0 + from_a + from_b, 2.0)
