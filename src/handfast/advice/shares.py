"""Shares of samples, all outfits at once: what holds among the samples in which the facts presumed are so."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.assess import Assessment, Finding
from handfast.outfits.bench import Bench
from handfast.quantities.arrays import Array

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Premises:
    """The different sets of samples that outfits presume, the first of all samples; and the set of each outfit."""

    sets: Flags  # (sets, samples)
    of: NDArray[np.intp]  # (outfits,)

    def given(self, row: int) -> Flags:
        """The samples that an outfit presumes."""
        one: Flags = self.sets[self.of[row]]
        return one

    def shares(self, holds: Flags) -> Array:
        """Share of each set in which each row holds, shape (rows, sets); 0 for an empty set."""
        if id(holds) not in self._known:
            wide = np.broadcast_to(holds, (len(holds), self.sets.shape[1]))
            both = _words(wide)[:, None, :] & self._words
            self._known[id(holds)] = holds, np.bitwise_count(both).sum(axis=-1) / np.maximum(self.sets.sum(axis=1), 1)
        return self._known[id(holds)][1]

    @cached_property
    def _known(self) -> dict[int, tuple[Flags, Array]]:
        return {}

    @cached_property
    def _words(self) -> NDArray[np.uint64]:
        return _words(self.sets)


def _words(flags: Flags) -> NDArray[np.uint64]:
    """Flags packed sixty-four to a word, so that counting them is quick."""
    packed = np.packbits(flags, axis=1)
    words = np.zeros((len(packed), -(-packed.shape[1] // 8)), dtype=np.uint64)
    words.view(np.uint8)[:, : packed.shape[1]] = packed
    return words


@dataclass(frozen=True)
class Shares:
    """Of each outfit: share in which everything holds, and the least share of any single safety check."""

    together: Array
    floor: Array

    @property
    def pair(self) -> tuple[Array, Array]:
        """Both."""
        return self.together, self.floor


def premises(bench: Bench, supply: Finding) -> Premises:
    """What each outfit presumes: how the attachment hangs, and that something moves its lid.

    Args:
        bench: the outfits.
        supply: the finding of `power.supply`.

    Returns:
        `Premises`.

    Example:
        >>> from handfast.outfits.example import bench, found
        >>> premises(bench(), found().of("power.supply")).sets.all(axis=1).tolist()
        [True]
    """
    d, asked = bench.draws, "quick_attach" in bench.draws.choices
    sets: dict[bytes, int] = {np.ones(d.size, dtype=bool).tobytes(): 0}
    named = {one.mount.interface for one in bench.outfits}
    hangs = {name: d.picked("quick_attach", name) > 0 if asked else np.ones(1, dtype=bool) for name in named}
    moves = supply.capacity > 0
    rows = np.broadcast_to(supply.rows if len(moves) > 1 else 0, (len(bench.outfits),))
    known: dict[tuple[str, bytes], int] = {}
    of = []
    for k, one in enumerate(bench.outfits):
        key = one.mount.interface, moves[rows[k]].tobytes()
        if key not in known:
            both = np.broadcast_to(hangs[key[0]] & moves[rows[k]], (d.size,))
            known[key] = sets.setdefault(both.tobytes(), len(sets))
        of.append(known[key])
    return Premises(np.stack([np.frombuffer(key, dtype=bool) for key in sets]), np.array(of, dtype=np.intp))


def shares(found: Assessment, given: Premises, of: NDArray[np.intp] | None = None) -> Shares:
    """How often each outfit holds in the samples that it presumes.

    Args:
        found: every finding.
        given: what outfits presume.
        of: the set to look at for each outfit; its own by default.

    Returns:
        `Shares`, one an outfit.

    Source: counts of samples.

    Example:
        >>> from handfast.outfits.example import bench, found
        >>> shares(found(), premises(bench(), found().of("power.supply"))).together.tolist()
        [1.0]
    """
    which = given.of if of is None else of
    rows = np.arange(len(which))
    floor = np.ones(len(which))
    for one in found.findings:
        if one.check.safety and one.check.hard and one.decided.any():
            each = given.shares(one.holds)[one.rows if len(one.holds) > 1 else np.zeros_like(rows), which]
            floor = np.where(one.decided, np.minimum(floor, each), floor)
    return Shares(given.shares(found.together)[rows, which], floor)
