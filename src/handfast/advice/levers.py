"""What a dealer or a caller can change of one outfit, and the outfit after the change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.advice.odds import HELD, SAFE, UNREAD, Judged
from handfast.machines.work import Work
from handfast.outfits.assess import TOLERANCE, finding_of
from handfast.outfits.ballast import HITCH_HEIGHT, BallastSet, added_of
from handfast.outfits.bench import Bench
from handfast.outfits.checks import Check
from handfast.outfits.combine import suits
from handfast.outfits.draws import Draws
from handfast.outfits.lay import Laid
from handfast.outfits.loads import BY_BITE, work_load
from handfast.outfits.tools import floor_points
from handfast.quantities.arrays import Array, middle

Flags = NDArray[np.bool_]
WEIGHT = ("lift.", "balance.", "slope.", "mount.route")  # what a mass on the loader bears on
LEAST_PLACE = 0.2  # of the height or the slope: less is another place
LEAST_PIECE = 0.25  # of what was asked: a smaller piece is other work


@dataclass(frozen=True)
class Case:
    """One outfit under its conditions: a bench of one row for each line of work it serves, and where it is found."""

    lines: tuple[tuple[int, Bench], ...]  # number of the line of work, and its bench
    picked: BallastSet | None
    given: Flags  # samples in which the facts that it presumes are so
    hard: tuple[Check, ...]  # the decided checks that it must hold
    watched: tuple[Check, ...]  # every decided check

    def slack(self, check: Check) -> float:
        """Least margin at the share of samples that the verdict asks of a check; below 0 it fails, NaN undecided."""
        if check.id not in self._slacks:
            self._slacks[check.id] = min((self._of(bench, check) for _, bench in self.lines), default=np.nan)
        return self._slacks[check.id]

    @cached_property
    def _slacks(self) -> dict[str, float]:
        return {}

    def _of(self, bench: Bench, check: Check) -> float:
        found = finding_of(check, bench)
        if not found.decided[0]:
            return np.inf
        with np.errstate(invalid="ignore"):
            spare = found.spare(0) + TOLERANCE * np.abs(found.row("capacity", 0))
        spare = np.where(np.isinf(found.row("demand", 0)), -np.inf, spare)
        some = np.broadcast_to(spare, self.given.shape)[self.given]
        if not some.size:
            return np.nan
        place = some.size - int(np.ceil(asked_share(check) * some.size - 1e-9))
        return float(np.partition(some, place)[place])

    def holds(self, check: Check) -> bool:
        """Whether a check is held in as many samples as the verdict asks."""
        return self.slack(check) >= 0.0

    def failing(self) -> tuple[Check, ...]:
        """The hard checks that are not held often enough."""
        return tuple(check for check in self.hard if not self.holds(check))


@dataclass(frozen=True)
class Lever:
    """One thing that can be changed: scaled from 1 to `limit`, or for what hangs behind a mass up to `limit`."""

    name: str
    path: str  # of what is scaled
    turns: tuple[str, ...]  # checks that it can turn, by the beginning of their ids
    bears_on: tuple[str, ...]  # checks that it may change beside
    limit: float
    size: float  # middle of what is scaled, SI
    move: Callable[[Case, float], Case]


def asked_share(check: Check) -> float:
    """The share of samples in which the verdict wants a check held.

    Args:
        check: one of `CHECKS`.

    Returns:
        0.97 for safety checks, else 0.90.

    Example:
        >>> from handfast.outfits.checks import check
        >>> asked_share(check("grip.opening"))
        0.9
    """
    return SAFE if check.safety and check.hard else HELD


def case_of(laid: Laid, judged: Judged, row: int) -> Case:
    """One outfit as it was judged, by itself.

    Args:
        laid: every line of work.
        judged: the outfits.
        row: which.

    Returns:
        `Case`.

    Example:
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> case_of(laid(), judge(laid(), Shelf()), 0).failing()
        ()
    """
    kind = str(judged.bench.outfits[row].attachment.kind)
    every = [(k, replace(bench, added=judged.bench.added).some([row])) for k, bench in enumerate(laid.benches)]
    serves = [(k, b) for k, b in every if suits(b.inquiry.work[0], kind) > 0]
    final = judged.final(row)
    decided = [f for f in final.findings if f.decided[row]]
    lowered = judged.stays_below(row)
    also = [one for one in final.also_hard if not lowered]
    hard = tuple(f.check for f in decided if f.check.hard or f.check.id in also)
    lines = tuple(serves if len(every) > 1 and serves else every)
    return Case(lines, judged.sets[row], judged.premises.given(row), hard, tuple(f.check for f in decided))


def levers_of(case: Case, check: Check) -> list[Lever]:
    """What can be changed so that a check holds, the piece before the tool, the tool before the place.

    Args:
        case: the outfit.
        check: one that fails.

    Returns:
        Levers.

    Example:
        >>> levers_of.__name__
        'levers_of'
    """
    worst = min(case.lines, key=lambda line: case._of(line[1], check))
    found = [*_of_work(*worst), *_of_tool(worst[1]), *_of_place(worst[1])]
    return [one for one in found if check.id.startswith(one.turns)]


def piece_path(work: Work) -> str | None:
    """Which entry of a line of work makes its piece lighter; None where nothing is said of it.

    Args:
        work: the line.

    Returns:
        mass, length, fill or diameter.

    Example:
        >>> from handfast.quantities.estimate import Estimate
        >>> piece_path(Work(kind="logs", length=Estimate.known(2.0)))
        'length'
    """
    if not work.mass.is_unknown:
        return "mass"
    if work.kind in (*BY_BITE, "loose"):
        return "fill"
    if work.kind in ("logs", "bundle", "square_bales", "round_bales") and not work.length.is_unknown:
        return "length"
    return "diameter" if work.kind == "rock" and not work.diameter.is_unknown else None


def _of_work(number: int, bench: Bench) -> list[Lever]:
    work, draws = bench.inquiry.work[0], bench.draws
    found, named = [], piece_path(work)
    if not draws.known(f"work{number}.mass") and np.isnan(bench.load.mass).any():
        found.append(_load(f"work{number}.mass", middle(bench.piece.mass)))
    elif named is not None:
        path = f"work{number}.{named}"
        bears = (*WEIGHT, "grip." if named == "diameter" else "grip.hold")
        found.append(_scaling("piece", path, (*WEIGHT, "grip.hold"), bears, LEAST_PIECE, draws[path]))
    if not work.diameter.is_unknown and named != "diameter":
        path = f"work{number}.diameter"
        found.append(_scaling("thickness", path, ("grip.opening",), (*WEIGHT, "grip."), 0.2, draws[path]))
    return found


def _load(path: str, size: float) -> Lever:
    """Nothing is said of the piece, so it is as heavy as the loader lifts: a lighter one."""

    def move(case: Case, scale: float) -> Case:
        return _each(case, lambda number, bench: _drawn(number, bench, {path: np.array([scale * size])}))

    return Lever("load", path, WEIGHT, (*WEIGHT, "grip.hold"), LEAST_PIECE, size, move)


def _of_tool(bench: Bench) -> list[Lever]:
    tools = {name: column[0] for name, column in bench.tools.items()}
    opening = np.fmin(tools["opening_tip"], tools["opening_throat"])
    wide = ("mount.width", *WEIGHT, "grip.hold")  # a wider tool takes a larger bite
    return [
        _tool("attachment", ("mass",), WEIGHT, WEIGHT, 0.4, tools["mass"]),
        _tool("opening", ("opening_tip", "opening_throat"), ("grip.opening",), ("grip.opening",), 2.5, opening),
        _tool("width", ("width",), ("mount.width",), wide, 0.4, tools["width"]),
    ]


def _of_place(bench: Bench) -> list[Lever]:
    draws = bench.draws
    mass, hitch = middle(bench.frame.mass), float(np.min(draws["hitch_lift_610"]))
    most = min(hitch if np.isfinite(hitch) else np.inf, UNREAD * mass)
    found = [Lever("behind", "behind.mass", ("balance.",), ("balance.", "slope."), most, mass, _hung)]
    if draws.known("site.lift_to"):
        turns = ("lift.needed_height", "lift.dump_height", "slope.side")
        found.append(
            _scaling("lift_to", "site.lift_to", turns, ("lift.", "slope.side"), LEAST_PLACE, draws["site.lift_to"])
        )
    if draws.known("site.slope"):
        steep = ("slope.side", "balance.slope_hold")
        found.append(_scaling("slope", "site.slope", steep, steep, 0.1, draws["site.slope"]))
    return found


def _scaling(
    name: str, path: str, turns: Sequence[str], bears: Sequence[str], limit: float, values: Array
) -> Lever:  # fmt: skip
    def move(case: Case, scale: float) -> Case:
        return _each(case, lambda number, bench: _drawn(number, bench, {path: scale * bench.draws[path]}))

    return Lever(name, path, tuple(turns), tuple(bears), limit, middle(values), move)


def _tool(
    name: str, paths: Sequence[str], turns: Sequence[str], bears: Sequence[str], limit: float, values: Array
) -> Lever:  # fmt: skip
    def change(number: int, bench: Bench, scale: float) -> Bench:
        tools = {**bench.tools, **{path: scale * bench.tools[path] for path in paths}}
        load = work_load(bench.inquiry.work[0], f"work{number}.", bench.draws, tools, _floors(bench))
        return replace(bench, tools=tools, load=load, linked=())

    def move(case: Case, scale: float) -> Case:
        return _each(case, lambda number, bench: change(number, bench, scale))

    return Lever(name, paths[0], tuple(turns), tuple(bears), limit, middle(values), move)


def _hung(case: Case, mass: float) -> Case:
    """A mass hung on the lower links in place of what hangs there now or was to hang there."""
    rest = BallastSet(tuple(p for p in case.picked.pieces if p.at != "hitch")) if case.picked else None
    there = {"behind.mass": mass, "behind.behind": np.nan, "behind.height": HITCH_HEIGHT}
    values = {path: np.array([value]) for path, value in there.items()}

    def change(number: int, bench: Bench) -> Bench:
        heavier = _drawn(number, bench, values)
        return replace(heavier, added=added_of([rest], heavier))

    return replace(_each(case, change), picked=rest)


def _each(case: Case, change: Callable[[int, Bench], Bench]) -> Case:
    return replace(case, lines=tuple((number, change(number, bench)) for number, bench in case.lines))


def _drawn(number: int, bench: Bench, values: dict[str, Array]) -> Bench:
    """The bench with other samples of some inputs, and its load by them."""
    draws: Draws = replace(bench.draws, values={**bench.draws.values, **values})
    load = work_load(bench.inquiry.work[0], f"work{number}.", draws, bench.tools, _floors(bench))
    seated = np.array_equal(load.x, bench.load.x, equal_nan=True) and np.array_equal(
        load.z, bench.load.z, equal_nan=True
    )
    links = bench.links if seated else None  # the linkage's limits hang on the seat, not on what the piece weighs
    return replace(bench, draws=draws, load=load, linked=() if links is None else (links,))


def _floors(bench: Bench) -> list[Array | None]:
    return [floor_points(one.attachment) for one in bench.outfits]
