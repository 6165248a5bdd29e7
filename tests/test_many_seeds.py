"""The error stated beside a probability, held against the scatter that other seeds show."""

from __future__ import annotations

import statistics
from collections import defaultdict

import pytest

from handfast.advice.advise import advise
from handfast.machines.reading import demo_inquiries, demo_shelf

SEEDS = range(1, 9)


@pytest.mark.slow
@pytest.mark.parametrize("name", demo_inquiries())
def test_the_error_of_a_probability_covers_the_scatter_over_seeds(name: str) -> None:
    """Seeds are independent replicates, so their scatter is the error itself (Owen, randomized quasi-Monte Carlo).

    Eight replicates measure a standard deviation to about a quarter of itself; three times the stated error, and half
    a sample in a hundred where no replicate differed, leave room for that and for nothing grosser.
    """
    held: dict[str, list[float]] = defaultdict(list)
    error: dict[str, list[float]] = defaultdict(list)
    for seed in SEEDS:
        for outfit in advise(demo_inquiries()[name], demo_shelf(), seed=seed).outfits:
            held[outfit.id].append(outfit.held)
            error[outfit.id].append(outfit.error)
    often = [key for key, values in held.items() if len(values) == len(SEEDS)]
    assert often, "the seeds agree on no outfit"
    for key in often:
        scatter = statistics.stdev(held[key])
        assert scatter <= 3 * statistics.mean(error[key]) + 0.005, (key, held[key], error[key])
