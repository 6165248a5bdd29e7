"""What each open fact of an inquiry is worth for the choice among all outfits and no sale."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from handfast.advice.hanging import PATH, worth_of_hung
from handfast.advice.odds import Judged
from handfast.advice.rank import Losses
from handfast.advice.weighing import Unknown
from handfast.advice.worth import Acts, undominated, worths
from handfast.outfits.assess import TOLERANCE, Assessment, Finding
from handfast.outfits.draws import Draws, Input
from handfast.quantities.arrays import Array
from handfast.quantities.normal import normal_quantile

Place = tuple[int, int]  # a finding, and a row of its arrays


def knowing(judged: Judged, loss: Losses, accuracy: Callable[[str], float] | None = None) -> dict[str, float]:
    """Expected value of knowing each uncertain input, in money.

    Args:
        judged: every outfit with its checks.
        loss: of all of them and of no sale.
        accuracy: how much of the truth an answer about a path tells, 0 to 1; all of it where None.

    Returns:
        Money by path: never negative, never more than knowing everything is worth, exactly 0 for a fact that moves no
        margin of a hard check.

    Source: expected value of partial perfect information, `advice.worth`, among the acts that no other act equals or
    beats in every sample.

    Example:
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.outfits.example import laid
        >>> knowing(judge(laid(), Shelf()), Losses(np.zeros((2, 1024))))["alternator"]
        0.0
    """
    draws = judged.bench.draws
    rows = undominated(loss.acts) if draws.inputs else []
    if len(rows) < 2:
        return {one.path: 0.0 for one in draws.inputs}
    deviates = normal_quantile(draws.uniforms[:, [one.column for one in draws.inputs]])
    unknowns = [_unknown(draws, one, z) for one, z in zip(draws.inputs, deviates.T, strict=True)]
    tells = [accuracy(one.path) for one in draws.inputs] if accuracy is not None else []
    found = worths(acts_of(judged, loss, rows), unknowns, tells)
    return {one.path: value for one, value in zip(draws.inputs, found, strict=True)}


def worth_of_answers(judged: Judged, loss: Losses, accuracy: Callable[[str], float] | None = None) -> dict[str, float]:
    """Expected value of knowing each uncertain input, and what hangs behind where nobody has said.

    Args:
        judged: every outfit with its checks.
        loss: of all of them and of no sale.
        accuracy: how much of the truth an answer about a path tells, 0 to 1; all of it where None.

    Returns:
        Money by path.

    Example:
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.outfits.example import laid
        >>> "behind.mass" in worth_of_answers(judge(laid(), Shelf()), Losses(np.zeros((2, 1024))))
        False
    """
    hung = worth_of_hung(judged, loss, 1.0 if accuracy is None else accuracy(PATH))
    return knowing(judged, loss, accuracy) | ({PATH: hung} if hung > 0.0 else {})


def acts_of(judged: Judged, loss: Losses, rows: Sequence[int]) -> Acts:
    """Some acts with the margins of every hard check that fails in some sample.

    Args:
        judged: every outfit with its checks.
        loss: of all of them and of no sale.
        rows: which acts, the last row being no sale.

    Returns:
        `Acts`.

    Example:
        >>> acts_of.__name__
        'acts_of'
    """
    limits: dict[Place, int] = {}
    margins: list[tuple[Array, bool]] = []
    each: list[tuple[list[int], list[int]]] = []
    for row in rows:
        needs: list[int] = []
        guards: list[int] = []
        for finding, guard in _counted(judged.final(row), row) if row < len(loss.acts) - 1 else ():
            key = id(finding), finding.place(row)
            if key not in limits:
                limits[key] = len(margins)
                margins.append(_margin(finding, key[1]))
            needs.append(limits[key])
            guards += [limits[key]] if guard else []
        each.append((needs, guards))
    size = judged.bench.draws.size
    flags = np.zeros((2, len(rows), len(margins)), dtype=bool)
    for k, pair in enumerate(each):
        for which, wanted in enumerate(pair):
            flags[which, k, wanted] = True
    return Acts(
        np.array([[loss.good[row] if row < len(loss.good) else loss.acts[-1, 0]] for row in rows]),
        np.array([loss.misfit[row] if row < len(loss.good) else 0.0 for row in rows]),
        np.array([loss.unsafe[row] if row < len(loss.good) else 0.0 for row in rows]),
        np.array([np.broadcast_to(values, (size,)) for values, _ in margins]).reshape(len(margins), size),
        np.array([two for _, two in margins], dtype=bool),
        flags[0],
        flags[1],
    )


def _counted(found: Assessment, row: int) -> list[tuple[Finding, bool]]:
    """The checks that decide and sometimes fail, and whether people depend on each."""
    return [
        (one, one.check.safety or one.check.id in found.also_hard)
        for one in found.findings
        if (one.check.hard or one.check.id in found.also_hard) and one.decided[row] and one.shares[one.place(row)] < 1.0
    ]


def _margin(finding: Finding, place: int) -> tuple[Array, bool]:
    """What is left, not negative where it holds; whether it only says yes or no."""
    demand, capacity = (values[place if len(values) > 1 else 0] for values in (finding.demand, finding.capacity))
    holds = finding.holds[place]
    spare = capacity - demand + TOLERANCE * np.abs(capacity)
    if finding.check.unit == "1" or not np.isfinite(spare).all():
        return np.where(holds, 0.0, -1.0), True
    return spare, False


def _unknown(draws: Draws, one: Input, deviate: Array) -> Unknown:
    if one.path in draws.choices:
        return Unknown(draws[one.path], shares=draws.shares[one.path])
    return Unknown(draws[one.path] if one.path in draws.values else deviate, deviate)
