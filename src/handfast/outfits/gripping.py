"""How hard each drawn jaw holds the round piece of the work: slip load of its lids at the tractor's pressure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np

from handfast.machines.attachment import Attachment, Electrics, Hydraulics
from handfast.machines.attachment import Jaw as JawRecord
from handfast.machines.fields import Point
from handfast.outfits.bench import Bench
from handfast.outfits.loads import ROUND
from handfast.outfits.outfit import Outfit
from handfast.outfits.tools import Same
from handfast.physics import grip, jaw
from handfast.quantities.arrays import Array, middle
from handfast.reckoning.grip import jaw_of

STEP = 0.002  # m, steps of diameter where it is uncertain: the slip load between two is that of the nearer
BAR = 1e5  # Pa, pressure is told apart by whole bars
LONG = ("logs", "round_bales")  # pieces that lie under every lid; a stone lies under one
KEPT = 4000  # jaws, and answers, kept at most

Key = tuple[bytes, float, float, float, tuple[float, ...]]
Force = tuple[float, float]  # lengthening, shortening [N]
_jaws: dict[int, tuple[Attachment, jaw.Jaw | None]] = {}
_answers: dict[Key, Array] = {}


def slip_loads(bench: Bench, friction: float) -> Array:
    """The largest force, worst direction in the plane, that each jaw's lids withstand on the work's round piece [N].

    Args:
        bench: the outfits.
        friction: coefficient at every contact [1].

    Returns:
        Shape (outfits, 1 or samples); 0 where the piece is too large or too small for the jaw, NaN where the piece is
        not round or its diameter not known, and where the jaw is not drawn, has no force of its own or is driven by
        the curl.

    Source: `physics.grip.grip`, each lid reckoned alone; a long piece is held by all lids, a stone by one.

    Example:
        >>> from handfast.outfits.example import bench
        >>> slip_loads(bench(), 0.5).tolist()  # brush has no diameter
        [[nan]]
    """
    kind = str(bench.inquiry.work[0].kind) if bench.inquiry.work else ""
    diameter = bench.load.diameter
    if kind not in ROUND or not np.isfinite(diameter).all():
        return np.full((len(bench.outfits), 1), np.nan)
    if bench.draws.machines > 1 and diameter.shape[1] == 1:
        return _side_by_side(bench, kind, friction)
    pressure = lid_pressure(bench)
    found: dict[int, Array] = {}
    rows = []
    for k, outfit in enumerate(bench.outfits):
        tool = outfit.attachment
        if id(tool) not in found:
            size = diameter[k if len(diameter) > 1 else 0]
            found[id(tool)] = _one(tool, size, pressure, friction) * _lids_on(tool, kind)
        rows.append(found[id(tool)])
    return np.vstack(rows)


def _side_by_side(bench: Bench, kind: str, friction: float) -> Array:
    """The same on machines side by side: the force of a cylinder goes with the pressure, that of a motor does not."""
    sizes = bench.load.diameter
    by_oil, steady = bench.ways.once(
        ("slip", kind, friction, sizes.tobytes()), lambda: _rates(bench.ways.outfits, sizes, kind, friction)
    )
    return np.asarray(by_oil * lid_pressures(bench) + steady)


def _rates(outfits: Sequence[Outfit], sizes: Array, kind: str, friction: float) -> Array:
    """Slip loads of the outfits per pascal, and what does not go with the pressure, shape (2, outfits, 1)."""
    each = np.broadcast_to(sizes[:, 0], (len(outfits),)).tolist()
    rows = [
        [one * _lids_on(o.attachment, kind) for one in _rate(Same(o.attachment), size, friction)]
        for o, size in zip(outfits, each, strict=True)
    ]
    return np.array(rows).T[:, :, None]


@lru_cache(maxsize=8192)
def _rate(tool: Same, diameter: float, friction: float) -> tuple[float, float]:
    """Slip load of one lid per pascal, and what of it does not go with the pressure [N]."""
    moved = tool.record.actuation == "hydraulic"
    load = float(_one(tool.record, np.array([diameter]), 1.0, friction)[0])
    return (load, 0.0) if moved else (0.0, load)


def lid_pressures(bench: Bench) -> Array:
    """The same as `lid_pressure` for each machine that stands side by side on the bench [Pa].

    Args:
        bench: the outfits.

    Returns:
        Shape (machines,).

    Source: the lower relief opens first.

    Example:
        >>> from handfast.outfits.example import bench
        >>> (lid_pressures(bench()) / BAR).tolist()
        [165.0]
    """
    if bench.draws.machines == 1:
        return np.array([lid_pressure(bench)])
    lower = np.fmin(*(bench.draws[name] for name in ("relief_pressure", "port_relief")))
    return np.asarray(np.round(lower / BAR) * BAR)


def lid_pressure(bench: Bench) -> float:
    """Pressure that shuts the lids: the lower of pump and port relief, middle of what is known [Pa], to a bar.

    Args:
        bench: the outfits.

    Returns:
        Pressure; NaN where nothing is known.

    Source: the lower relief opens first.

    Example:
        >>> from handfast.outfits.example import bench
        >>> lid_pressure(bench()) / BAR
        165.0
    """
    reliefs = [middle(bench.draws[name]) for name in ("relief_pressure", "port_relief")]
    lower = min((one for one in reliefs if not np.isnan(one)), default=np.nan)
    return float(np.round(lower / BAR) * BAR)


def sound_jaw(attachment: Attachment) -> jaw.Jaw | None:
    """The jaw of an attachment, where its lines, pins and cylinder lengths are all recorded and go together.

    Args:
        attachment: the record.

    Returns:
        Jaw of physics or None.

    Source: a lid whose cylinder cannot reach between its pins is a drawing to be mended, not a reason to refuse.

    Example:
        >>> sound_jaw(Attachment()) is None
        True
    """
    kept = _jaws.get(id(attachment))
    if kept is not None and kept[0] is attachment:
        return kept[1]
    if len(_jaws) >= KEPT:
        _jaws.clear()
    made = _made(attachment)
    _jaws[id(attachment)] = (attachment, made)
    return made


def _made(attachment: Attachment) -> jaw.Jaw | None:
    drawn = attachment.jaw
    if drawn is None or min(len(drawn.floor), len(drawn.lid)) < 2 or not _all_known(_points(drawn)):
        return None
    oil = attachment.hydraulics or Hydraulics()
    short, long, stroke = drawn.retracted.value, drawn.extended.value, oil.stroke.value
    short, long = (long - stroke if np.isnan(short) else short), (short + stroke if np.isnan(long) else long)
    made = jaw_of(drawn, short, long)
    lines = (made.floor, made.lid)
    if any((np.hypot(*np.diff(line, axis=0).T) == 0.0).any() for line in lines):
        return None
    turn = jaw.swing(made)
    return made if np.isfinite([turn.shut, turn.open]).all() and turn.shut != turn.open else None


def _points(drawn: JawRecord) -> Iterable[Point | None]:
    return (*drawn.floor, *drawn.lid, drawn.lid_pivot, drawn.cylinder_base, drawn.cylinder_rod)


def _all_known(points: Iterable[Point | None]) -> bool:
    return all(p is not None and not p.x.is_unknown and not p.z.is_unknown for p in points)


def _lids_on(tool: Attachment, kind: str) -> int:
    return (tool.lids or 1) if kind in LONG else 1


def _one(tool: Attachment, diameter: Array, pressure: float, friction: float) -> Array:
    """Slip load of one lid alone for each sample of the diameter [N]."""
    made, force = sound_jaw(tool), lid_force(tool, pressure)
    if made is None or not tool.lids or np.isnan(force[0]):
        return np.full_like(diameter, np.nan)
    if diameter.size == 1:
        return _slip(made, (float(diameter[0]),), force, friction)
    steps = np.round(diameter / STEP).astype(np.intp)
    low, high = int(steps.min()), int(steps.max())
    return _slip(made, tuple(STEP * k for k in range(low, high + 1)), force, friction)[steps - low]


def lid_force(tool: Attachment, pressure: float) -> Force:
    """Force of one lid's cylinders or actuator, lengthening and shortening [N].

    Args:
        tool: the attachment.
        pressure: at the cylinders [Pa].

    Returns:
        (push, pull); NaN where the record does not tell it, and for a lid that the curl drives.

    Source: pressure times area; the cylinders are shared out evenly over the lids.

    Example:
        >>> lid_force(Attachment(lids=1, actuation="electric", electrics=Electrics(force=5000)), 2e7)
        (5000.0, 5000.0)
    """
    lids = tool.lids or 1
    if tool.actuation == "electric":
        force = float((tool.electrics or Electrics()).force.value)
        return force, force
    oil = tool.hydraulics
    if tool.actuation != "hydraulic" or oil is None:
        return np.nan, np.nan
    each = (oil.cylinders or lids) / lids
    bore, rod = oil.bore.value, oil.rod.value
    return (
        float(grip.cylinder_force(pressure, bore, 0.0, each)),
        float(grip.cylinder_force(pressure, bore, rod, each, extending=False)),
    )


def _slip(made: jaw.Jaw, diameters: tuple[float, ...], force: Force, friction: float) -> Array:
    """Slip load of a lid [N]: what a newton of its cylinder does, reckoned once, times the force."""
    lines = b"".join(part.tobytes() for part in made[:5])
    key = (lines, made.retracted, made.extended, friction, diameters)
    if key not in _answers:
        if len(_answers) >= KEPT:
            _answers.clear()
        _answers[key] = _shares(made, np.array(diameters), friction)
    pushed, pulled = _answers[key]
    return np.asarray(pushed * force[0] + np.where(pulled > 0.0, pulled * force[1], 0.0))


def _shares(made: jaw.Jaw, diameter: Array, friction: float) -> Array:
    """Slip load per newton of push and of pull, shape (2, diameters); NaN where the piece finds no seat."""
    held = grip.grip(made, diameter, friction, 1.0, 1.0)
    loose = np.isin(held.reason, ("too_large", "too_small", "slides"))
    load = np.where(loose, 0.0, np.where(held.reason == "no_seat", np.nan, held.slip_load))
    way = jaw.swing(made).way
    pulls = way * jaw.lid_leverage(way * held.lid_angle, made.pivot, made.base, made.rod) > 0.0
    return np.stack([np.where(pulls, 0.0, load), np.where(pulls, load, 0.0)])
