"""Every machine against every attachment, in blocks that stay in the processor's cache."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.hang import Hung, Rows, rows_of
from handfast.bulk.kin import hangs_like, moves_like
from handfast.bulk.oil import Moved, moved
from handfast.bulk.side_by_side import Figures, asked_of, figures_of, stacked
from handfast.bulk.tally import NONE, Answer, Codes, Flags
from handfast.machines.inquiry import Inquiry
from handfast.machines.tractor import Machine
from handfast.outfits.draws import Draws
from handfast.quantities.arrays import Array

PAIRS = 16_384  # pairs in a block: what stays in the cache
NO_WAY, NOT, WEIGHTED, FITS = range(4)
VERDICTS = ("no way to hang or move it", "does not fit", "fits with a counterweight", "fits")

Places = NDArray[np.intp]


@dataclass(frozen=True)
class Kin:
    """Machines that hang alike, side by side."""

    machines: Places
    draws: Draws
    rows: Rows
    oil: Places  # which way of moving lids each machine has


@dataclass(frozen=True)
class Block:
    """Some machines against all attachments that hang on them: shape (attachments, machines)."""

    kin: Kin
    machines: Places
    attachments: Places
    verdict: NDArray[np.uint8]
    governs: Codes  # place in CHECKS, NONE where nothing is near
    ratio: Array  # capacity over demand of the check that governs
    payload: Array  # [kg] at full height
    counterweight: Array  # [kg] at the hitch
    mounts: Places  # row among the kin's rows
    routes: Places  # place among the outfits of the machine's `Moved`


class Screen:
    """One line of work on many machines and attachments."""

    def __init__(self, machines: Sequence[Machine], catalogue: Catalogue, pairs: int = PAIRS) -> None:
        self.machines, self.catalogue, self.pairs = tuple(machines), catalogue, pairs
        self.inquiry, self.shelf = catalogue.inquiry, catalogue.shelf

    @cached_property
    def figures(self) -> tuple[Figures, ...]:
        """What is known of each machine."""
        return tuple(figures_of(one) for one in self.machines)

    @cached_property
    def _plumbing(self) -> tuple[tuple[Machine, ...], Places]:
        """One machine of each kin in moving lids, and which kin each machine is of."""
        named = self.catalogue.named
        places: dict[object, int] = {}
        rows = [places.setdefault(moves_like(one, named), len(places)) for one in self.machines]
        first: dict[int, Machine] = {}
        for row, one in zip(rows, self.machines, strict=True):
            first.setdefault(row, one)
        return tuple(first.values()), np.array(rows, dtype=np.intp)

    @cached_property
    def oil(self) -> tuple[Moved, ...]:
        """How lids are moved, for each kin in moving."""
        lids = self.catalogue.lids[0]
        return tuple(moved(self._of(machine), lids, self.shelf) for machine in self._plumbing[0])

    @cached_property
    def kins(self) -> tuple[Kin, ...]:
        """Machines that hang alike; those that nothing hangs on are in none."""
        groups: dict[object, list[int]] = {}
        for k, (machine, known) in enumerate(zip(self.machines, self.figures, strict=True)):
            key = hangs_like(machine), known.kind
            groups.setdefault(key, []).append(k)
        asked = asked_of(self.inquiry)
        found = []
        for members in groups.values():
            draws = stacked([self.figures[k] for k in members], asked)
            rows = rows_of(self._of(self.machines[members[0]]), draws, self.catalogue)
            if rows is not None:
                places = np.array(members, dtype=np.intp)
                found.append(Kin(places, draws, rows, self._plumbing[1][places]))
        return tuple(found)

    def plumbing_of(self, machines: Places) -> Places:
        """Which of `oil` some machines have."""
        return self._plumbing[1][machines]

    def _of(self, machine: Machine) -> Inquiry:
        return self.inquiry.model_copy(update={"machine": machine, "attachment": ()})

    @cached_property
    def _power(self) -> tuple[Answer, Places]:
        """Answers and routes of all kins in moving, shape (kins, kinds of lid)."""
        each = [one.answer for one in self.oil]
        parts = ([getattr(one, name) for one in each] for name in ("holds", "ratio", "governs"))
        return Answer(*map(np.stack, parts)), np.stack([one.routes for one in self.oil])

    def jobs(self) -> list[tuple[Kin, int, int]]:
        """Blocks to do: a kin, and from which of its machines to which."""
        made = []
        for kin in self.kins:
            wide = max(1, self.pairs // len(kin.rows.tools))
            made += [(kin, k, min(k + wide, len(kin.machines))) for k in range(0, len(kin.machines), wide)]
        return made

    def block(self, kin: Kin, start: int, stop: int) -> Block:
        """One block, worked out."""
        rows = kin.rows
        hung = rows.hung(kin.draws, start, stop, self.catalogue.hard)
        kinds, oil = self.catalogue.lids[1][rows.tools][:, None], kin.oil[start:stop][None, :]
        routes = self._power[1][oil, kinds]
        verdict, governs, ratio = _verdicts(hung, self._power[0].at(oil, kinds), routes == NONE)
        best = _best_mounts(rows, verdict, ratio)
        weight = np.broadcast_to(hung.counterweight, hung.payload.shape)
        return Block(
            kin,
            kin.machines[start:stop],
            rows.tools[: rows.first],
            _picked(verdict, best),
            _picked(governs, best),
            _picked(ratio, best),
            _picked(hung.payload, best),
            _picked(weight, best),
            best,
            routes[: rows.first],
        )

    def blocks(self) -> Iterator[Block]:
        """Every block, in order."""
        return (self.block(*job) for job in self.jobs())


def _verdicts(hung: Hung, power: Answer, unmoved: Flags) -> tuple[NDArray[np.uint8], Codes, Array]:
    """Verdict, check that governs and its ratio, of every row on every machine."""
    ok = hung.bare.holds & power.holds & (np.broadcast_to(hung.counterweight, unmoved.shape) == 0.0)
    verdict = np.where(ok, FITS, NOT).astype(np.uint8)
    ratio, governs = hung.bare.ratio, hung.bare.governs
    if hung.weighted is not None:
        heavier = hung.counterweight > 0.0
        verdict[heavier & hung.weighted.holds & power.holds] = WEIGHTED
        ratio = np.where(heavier, hung.weighted.ratio, ratio)
        governs = np.where(heavier, hung.weighted.governs, governs)
    verdict[unmoved] = NO_WAY
    nearer = power.ratio < ratio
    return verdict, np.where(nearer, power.governs, governs), np.where(nearer, power.ratio, ratio)


def _best_mounts(rows: Rows, verdict: NDArray[np.uint8], ratio: Array) -> Places:
    """The row of each attachment's best mount on each machine."""
    best = np.broadcast_to(np.arange(rows.first)[:, None], (rows.first, verdict.shape[1])).copy()
    columns = np.arange(verdict.shape[1])
    for more in rows.further:
        at = rows.places[more]
        now = best[at]
        seen, near = verdict[now, columns], ratio[now, columns]
        wins = (verdict[more] > seen) | ((verdict[more] == seen) & (ratio[more] > near))
        best[at] = np.where(wins, more[:, None], now)
    return best


def _picked(values: NDArray[Any], rows: Places) -> NDArray[Any]:
    return values[rows, np.arange(values.shape[1])]
