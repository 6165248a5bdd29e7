"""What each open fact of an inquiry is worth for the choice among the outfits shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from handfast.advice.ask import least_worth
from handfast.advice.odds import Judged, judge_again
from handfast.advice.rank import Losses, Priced, losses
from handfast.advice.worth import Column, perfect, undominated, worths
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.draws import Draws, Input
from handfast.outfits.finer import finer
from handfast.outfits.lay import Laid
from handfast.quantities import sobol
from handfast.quantities.arrays import Array

POINTS, MORE_POINTS = 16384, 32768  # samples of the acts that still come into question, one net
FEW_INPUTS = 12  # so many inputs can be had on more points in the same time
PLACES = 16  # places from which one fact is moved, to see whether any check feels it


@dataclass(frozen=True)
class Choice:
    """What choosing among the outfits shown rests on."""

    laid: Laid
    judged: Judged
    priced: Sequence[Priced]
    inquiry: Inquiry
    shelf: Shelf
    loss: Losses
    rows: tuple[int, ...]  # of the outfits shown

    def again(self, rows: Sequence[int], laid: Laid) -> Losses:
        """Losses of some outfits and of no sale in other samples."""
        judged = judge_again(laid, self.judged, rows)
        priced = [self.priced[row] for row in rows]
        return losses(judged, priced, self.inquiry, self.shelf, float(self.loss.acts[-1, 0]))


def knowing(choice: Choice, seed: int) -> dict[str, float]:
    """Expected value of knowing each uncertain input, in money.

    Args:
        choice: the outfits shown and their losses.
        seed: of the samples.

    Returns:
        Money by path: exactly 0 for a fact that moves no check of any outfit shown, never negative, never more than
        knowing everything is worth.

    Source: expected value of partial perfect information, `advice.worth`; on 16,384 points of one net, 32,768
    where few facts are felt, for the acts that no other act beats in every sample.

    Example:
        >>> knowing.__name__
        'knowing'
    """
    values = {one.path: 0.0 for one in choice.laid.draws.inputs}
    first = choice.loss.of(choice.rows).acts
    if perfect(first) <= least_worth():
        return values
    rows = [choice.rows[k] for k in undominated(first) if k < len(choice.rows)]
    if not rows:
        return values
    felt = felt_by(choice, rows, seed)
    laid = finer(choice.laid, rows, seed, partial(_one_net, count=points_for(len(felt))))
    columns = [_column(laid.draws, one) for one in felt]
    spare = [Column(u) for u in laid.draws.spare().T]
    found = worths(choice.again(rows, laid).acts, columns, spare)
    return values | {one.path: value for one, value in zip(felt, found, strict=True)}


def felt_by(choice: Choice, rows: Sequence[int], seed: int) -> tuple[Input, ...]:
    """The inputs that move a margin of some check of some outfits.

    Args:
        choice: the outfits.
        rows: which of them.
        seed: of the places from which each input is moved by itself.

    Returns:
        Inputs, in their order.

    Example:
        >>> felt_by.__name__
        'felt_by'
    """
    inputs = choice.laid.draws.inputs

    def moved(dimensions: int, seed: int) -> Array:
        base = sobol.points(dimensions, seed, 1, PLACES)
        blocks = np.repeat(base[None], 1 + len(inputs), axis=0)
        for k, one in enumerate(inputs, start=1):
            blocks[k, :, one.column] = (blocks[k, :, one.column] + 0.5) % 1.0
        return blocks.reshape(-1, dimensions)

    judged = judge_again(finer(choice.laid, rows, seed, moved), choice.judged, rows)
    feels = np.zeros(len(inputs), dtype=bool)
    for assessment in (judged.bare, judged.weighted):
        for finding in assessment.findings:
            for values in (finding.demand, finding.capacity):
                feels |= _felt(values, len(inputs))
    return tuple(one for one, felt in zip(inputs, feels, strict=True) if felt)


def _felt(values: Array, count: int) -> Array:
    """Which of the moved blocks differ from the block that was not moved."""
    if values.shape[1] == 1:
        return np.zeros(count, dtype=bool)
    blocks = values.reshape(len(values), count + 1, PLACES)
    same = (blocks[:, 1:] == blocks[:, :1]) | (np.isnan(blocks[:, 1:]) & np.isnan(blocks[:, :1]))
    return np.asarray(~same.all(axis=(0, 2)))


def points_for(inputs: int) -> int:
    """How many samples the worth of so many inputs is reckoned on.

    Args:
        inputs: uncertain inputs that some check feels.

    Returns:
        Samples.

    Example:
        >>> points_for(3), points_for(20)
        (32768, 16384)
    """
    return MORE_POINTS if inputs <= FEW_INPUTS else POINTS


def _one_net(dimensions: int, seed: int, count: int) -> Array:
    return sobol.points(dimensions, seed, 1, count)


def _column(draws: Draws, one: Input) -> Column:
    if one.path in draws.choices:
        return Column(draws[one.path], category=True)
    return Column(draws.uniforms[:, one.column])
