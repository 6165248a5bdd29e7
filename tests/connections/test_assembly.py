"""Made-up hoses by hand; lines that split against trying everything."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from handfast.connections.assembly import BulkHose, CrimpEnd, assemble, assemblies
from handfast.connections.branch import Tee, find_branched
from handfast.connections.chain import ChainAsk, ChainIndex, ChainPart
from handfast.connections.mating import End, mates

HALF = BulkHose("half", "-8", 0.0127, 275e5, 0.18, 25.0)
SWIVEL = CrimpEnd("swivel", "1/2", End("flare37", "-8", "female"), 0.0105, 276e5, 16.0)
PIPE = CrimpEnd("pipe", "-8", End("npt", "-8", "male"), 0.010, 207e5, 16.0)
THIN = CrimpEnd("thin", "-6", End("flare37", "-6", "female"), 0.0075, 276e5, 13.0)


def test_an_assembly_is_as_good_as_its_weakest_part() -> None:
    """The hose bears 275 bar, the flare swivel 276, the pipe end 207: the hose rules, then the pipe end."""
    plain, weak = assemble(HALF, SWIVEL, SWIVEL, 2.0), assemble(HALF, SWIVEL, PIPE, 2.0)
    assert (plain.pressure_max, plain.weakest, plain.bore) == (275e5, "half", 0.0105)
    assert (weak.pressure_max, weak.weakest, weak.bore) == (207e5, "pipe", 0.010)


def test_price_by_hand() -> None:
    """2 m overall is cut at 1.9 m: 1.9 × 25 + 2 × 16 + 2 × 6 = 91.50; 2.01 m becomes 2.025 m, 0.62 more."""
    assert assemble(HALF, SWIVEL, SWIVEL, 2.0, 6.0).price == pytest.approx(91.5)
    longer = assemble(HALF, SWIVEL, SWIVEL, 2.01, 6.0)
    assert longer.overall == pytest.approx(2.025)
    assert longer.price == pytest.approx(91.5 + 0.025 * 25)


def test_ends_go_on_their_own_size_only() -> None:
    with pytest.raises(ValueError, match="thin is for a hose of -6"):
        assemble(HALF, SWIVEL, THIN, 1.0)
    made = assemblies([HALF], [SWIVEL, PIPE, THIN], 1.0)
    assert {tuple(e.id for e in one.ends) for one in made} == {
        ("swivel", "swivel"), ("swivel", "pipe"), ("pipe", "pipe"),
    }  # fmt: skip
    assert len({one.id for one in made}) == 3


FAMILIES = [("flare37", "-6"), ("flare37", "-8"), ("orb", "-8")]


def some_end(rng: np.random.Generator) -> End:
    family, size = FAMILIES[rng.integers(len(FAMILIES))]
    return End(family, size, "male" if rng.random() < 0.5 else "female")


def straight(parts: list[ChainPart], start: End, goal: End, joint: float) -> float:
    """Cheapest row of at most three of the parts between two ends, by trying all."""
    best = joint if mates(start, goal) else float("inf")
    for count in (1, 2, 3):
        for row in itertools.product(parts, repeat=count):
            for turns in itertools.product((0, 1), repeat=count):
                ends = [start]
                for part, turn in zip(row, turns, strict=True):
                    ends += [part.ends[turn], part.ends[1 - turn]]
                ends.append(goal)
                if all(mates(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True)):
                    best = min(best, sum(p.price for p in row) + (count + 1) * joint)
    return best


def test_split_lines_against_trying_everything() -> None:
    rng = np.random.default_rng(7)
    none = 0
    for _ in range(40):
        parts = [ChainPart(f"p{k}", (some_end(rng), some_end(rng)), float(rng.integers(2, 20))) for k in range(4)]
        tees = [
            Tee(f"t{k}", (some_end(rng), some_end(rng), some_end(rng)), float(rng.integers(5, 20))) for k in range(2)
        ]
        start, goals = some_end(rng), (some_end(rng), some_end(rng))
        found = find_branched(ChainIndex.of(parts), ChainAsk(start, start, joint_cost=1.5), goals, tees)
        truth = min(
            tee.price
            + straight(parts, start, turned[0], 1.5)
            + straight(parts, turned[1], goals[0], 1.5)
            + straight(parts, turned[2], goals[1], 1.5)
            for tee in tees
            for turned in itertools.permutations(tee.ends)
        )
        none += found is None
        if np.isinf(truth):
            assert found is None or max(c.joints for c in (found.stem, *found.arms)) > 4
        else:
            assert found is not None
            assert found.total <= truth + 1e-9
            if max(c.joints for c in (found.stem, *found.arms)) <= 4:
                assert found.total == pytest.approx(truth)
    assert 0 < none < 40


def test_a_weak_or_narrow_tee_is_not_taken() -> None:
    nut, cone = End("flare37", "-8", "female"), End("flare37", "-8", "male")
    ends = (cone, cone, cone)
    cheap = [
        Tee("weak", ends, 1.0, 100e5, 0.01),
        Tee("narrow", ends, 2.0, 300e5, 0.004),
        Tee("good", ends, 9.0, 300e5, 0.01),
    ]
    got = find_branched(ChainIndex.of([]), ChainAsk(nut, nut, pressure=200e5, bore=0.008), (nut, nut), cheap)
    assert got is not None
    assert (got.tee, got.joints) == ("good", 3)
