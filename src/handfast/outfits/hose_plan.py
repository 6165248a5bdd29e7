"""How long each hose of an outfit is: what it needs over every pose, what is ordered, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isnan

import numpy as np

from handfast.connections.hose_run import LENGTHENS, bow_radius, length_needed, rough_longest, sold_length
from handfast.connections.hose_run import turn_allowance as turns
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.learnt import AS_BUILT, Learnt, learnt
from handfast.outfits.line_runs import LineRun, Piece, line_runs
from handfast.outfits.outfit import Outfit
from handfast.outfits.tool_reach import BEND, ENDS, QUARTERS, ROUGH, Path, ToolReach
from handfast.quantities.showing import show

NAN = float("nan")
LIFTS, TILTS = 100, 60  # poses that a plan looks at
SLACK, SLACK_SHARE = 0.05, 0.10  # m, share: more than that over what is needed is called long
LINKAGE, ROUGHLY = "over every pose of the linkage", "rough measures"
Place = tuple[float, float]


@dataclass(frozen=True)
class PoseAt:
    """A pose of the loader [m, rad] with the ends of the hose in it."""

    pin: Place
    angle: float
    clamp: Place
    port: Place
    apart: float


@dataclass(frozen=True)
class HoseLength:
    """One hose: tag, length needed, step it is made to and length on the list [m], how that is known, what to mind.

    `ordered` is nan for a hose that comes with kit or attachment; the worst poses are None without a linkage.
    """

    tag: str
    name: str
    at: str
    needed: float
    made: float
    ordered: float
    bend_radius: float
    slack_radius: float
    basis: str
    brought_by: str
    longest: PoseAt | None
    shortest: PoseAt | None
    warnings: tuple[str, ...]

    @property
    def pinched(self) -> bool:
        """Whether the slack hose bows tighter than it may."""
        return self.slack_radius < self.bend_radius


@dataclass(frozen=True)
class OutfitHoses:
    """Every hose of an outfit; the path from arms to attachment where the linkage is recorded, pivot of the arms."""

    hoses: tuple[HoseLength, ...]
    path: Path | None
    pivot: Place | None

    def tagged(self, tag: str) -> HoseLength:
        """The hose of a tag; KeyError if there is none."""
        for one in self.hoses:
            if one.tag == tag:
                return one
        raise KeyError(tag)


def hose_plan_of(
    outfit: Outfit,
    inquiry: Inquiry,
    shelf: Shelf,
    as_built: Mapping[str, float] | None = None,
    system: str = "us",
) -> OutfitHoses:
    """The length of each hose of an outfit.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry.
        shelf: hoses, couplers and fittings.
        as_built: lengths measured on the machine by tag [m]; they win over the shelf's as-built records, and those
            over what is reckoned.
        system: units of the warnings.

    Returns:
        `OutfitHoses`; no hoses where ports are not known or no oil is needed.

    Source: `connections.hose_run` over 100 × 60 poses and the lid where the linkage is recorded, else rough measures
    with a wider allowance.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> plan = hose_plan_of(piped().outfit, piped().inquiry, piped().shelf)
        >>> [one.tag for one in plan.hoses]
        ['A1', 'A2', 'B1', 'B2']
    """
    runs = line_runs(outfit, inquiry, shelf)
    reach = ToolReach(inquiry.machine, LIFTS, TILTS)
    path = reach.path(outfit.attachment) if runs else None
    poses = reach.poses
    known = as_built or {}
    past = learnt(shelf, inquiry.machine, outfit.attachment.id, outfit.power.route) or Learnt(None, ())
    lengths = tuple(one for run in runs for one in _of_run(run, path, reach, known, past, system))
    return OutfitHoses(lengths, path, None if poses is None else (poses.pivot_x, poses.pivot_z))


def _of_run(
    run: LineRun, path: Path | None, reach: ToolReach, known: Mapping[str, float], past: Learnt, system: str
) -> Iterator[HoseLength]:
    for piece in run.hoses:
        moving = piece.at == "tool" and path is not None
        needed, basis, poses = _moving(piece, path, reach) if moving and path is not None else _still(piece)
        taught = past.basis(piece.line, piece.at, system)
        if piece.tag in known:
            needed, basis = known[piece.tag], AS_BUILT
        elif taught:
            asked = piece.at == "tractor" and not piece.brought_by  # its path was asked for with what was learnt
            needed, basis = needed if asked else past.span(piece.line, piece.at, needed), taught
        yield _length(piece, needed, basis, poses, system)


Poses = tuple[PoseAt | None, PoseAt | None]


def _moving(piece: Piece, path: Path, reach: ToolReach) -> tuple[float, str, Poses]:
    """A hose between arm and attachment, over every pose: what it needs, how that is known, the worst poses."""
    longest, shortest = (_pose(path, reach, at) for at in (path.reach.longest_at, path.reach.shortest_at))
    needed = float(length_needed(longest.apart, ENDS, turns(_bend(piece), QUARTERS)))
    return needed, LINKAGE, (longest, shortest)


def _still(piece: Piece) -> tuple[float, str, Poses]:
    """A hose along the tractor and the arms, or one whose way nobody has measured."""
    needed = piece.needed
    if piece.at == "tool":
        needed = float(length_needed(float(rough_longest([ROUGH])), ENDS, turns(_bend(piece), QUARTERS)))
    return needed, ROUGHLY, (None, None)


def _length(piece: Piece, needed: float, basis: str, poses: Poses, system: str) -> HoseLength:
    bend = _bend(piece)
    made = float(sold_length(needed))
    to_measure = piece.part.kind == "hose_assembly" and "@" in piece.part.id  # made up at the bench
    ordered = NAN if piece.brought_by else made if to_measure else piece.length
    long = made if isnan(ordered) else ordered
    least = poses[1].apart if poses[1] is not None else NAN
    free = (long - ENDS) * (1.0 + LENGTHENS)
    radius = NAN if isnan(least) else float(bow_radius(free, least))
    one = HoseLength(
        piece.tag, piece.name, piece.at, needed, made, ordered, bend, radius, basis, piece.brought_by, *poses, (),
    )  # fmt: skip
    return _warned(one, system)


def _warned(one: HoseLength, system: str) -> HoseLength:
    return HoseLength(**{**one.__dict__, "warnings": tuple(_warnings(one, system))})


def _warnings(one: HoseLength, system: str) -> Iterator[str]:
    """What to mind about a hose, each as a sentence."""
    needed, made = (show(v, "length", system) for v in (one.needed, one.made))
    if one.brought_by:
        yield f"It comes with the {one.brought_by}: lay it out, it must be {needed} or longer."
    elif not one.ordered >= one.needed - 1e-9:
        where = f" {_where(one.longest, system)}" if one.longest is not None else ""
        yield f"Too short by {show(one.needed - one.ordered, 'length', system)}: it pulls out{where}."
    elif one.ordered - one.needed > max(SLACK, SLACK_SHARE * one.needed):
        long = show(one.ordered - one.needed, "length", system)
        yield f"{long} longer than it needs: tie the slack to the arm, or have it made up at {made}."
    if one.pinched and one.shortest is not None:
        bow, bend = (show(v, "length", system) for v in (one.slack_radius, one.bend_radius))
        yield f"Slack {_where(one.shortest, system)} it bows to {bow}, tighter than {bend}: lead it out by an elbow."
    if one.basis == ROUGHLY and not one.brought_by:
        yield "Its way is not measured: lay a string with the arms down and up, curled and dumped, before it is cut."


def _where(at: PoseAt, system: str) -> str:
    turn = round(np.degrees(at.angle))
    way = "level" if turn == 0 else f"curled back {turn}°" if turn > 0 else f"dumped {-turn}°"
    return f"with the pins at {show(at.pin[1], 'length', system)} and the tool {way}"


def _bend(piece: Piece) -> float:
    stated = piece.part.bend_radius
    return BEND if stated.is_unknown or piece.brought_by else float(stated.value)


def _pose(path: Path, reach: ToolReach, flat: int) -> PoseAt:
    """The pose at a flat index of the path's grid."""
    poses = reach.poses
    assert poses is not None
    shape = np.broadcast_shapes(*(np.shape(v) for v in (*path.clamp, *path.port)))
    at = np.unravel_index(flat, shape)
    clamp_x, clamp_z, port_x, port_z, pin_x, pin_z, angle = (
        float(np.broadcast_to(v, shape)[at]) for v in (*path.clamp, *path.port, *poses[:3])
    )
    apart = float(np.hypot(port_x - clamp_x, port_z - clamp_z))
    return PoseAt((pin_x, pin_z), angle, (clamp_x, clamp_z), (port_x, port_z), apart)
