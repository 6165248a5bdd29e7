"""The smallest stock: equal to trying every set on small shelves, within the solver's bound on the demonstration."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from handfast.bulk.cover import needed_by_nobody, smallest_stock, what_next
from handfast.bulk.territory import read_counts, territory_of
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf


def cheapest_by_trying(fits: np.ndarray, counts: np.ndarray, share: float, costs: np.ndarray) -> float:
    """Exhaustive: every subset."""
    wanted = share * counts[fits.any(axis=0)].sum() - 1e-9
    best = np.inf
    for size in range(len(fits) + 1):
        for some in combinations(range(len(fits)), size):
            served = counts[fits[list(some)].any(axis=0)].sum() if some else 0.0
            if served >= wanted:
                best = min(best, costs[list(some)].sum() if some else 0.0)
    return float(best)


@pytest.mark.parametrize("seed", range(30))
def test_equal_to_every_set_tried(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tools, machines = int(rng.integers(2, 10)), int(rng.integers(1, 14))
    fits = rng.random((tools, machines)) < rng.uniform(0.1, 0.5)
    counts = rng.integers(1, 20, machines).astype(float)
    costs = np.ones(tools) if seed % 2 else rng.integers(300, 4000, tools).astype(float)
    share = float(rng.uniform(0.3, 1.0))
    found = smallest_stock(fits, counts, share, costs)
    if not fits.any():
        assert found.chosen == ()
        return
    assert found.cost == pytest.approx(cheapest_by_trying(fits, counts, share, costs), rel=1e-9)
    assert found.served >= share * found.servable - 1e-6
    assert found.bound <= found.cost + 1e-6


def test_the_demonstration_within_the_bound() -> None:
    work = Inquiry.model_validate({"work": [{"kind": "logs", "diameter": "14 in", "length": "6 ft", "species": "oak"}]})
    found = territory_of(work, demo_shelf())
    stock = smallest_stock(found.fits, found.weights, 1.0)
    assert stock.served == stock.servable > 0
    assert stock.gap <= 1e-9
    more = what_next(found.fits, found.weights, ())
    assert more[0].more == max(found.served(0))
    assert all(not found.fits[k].any() for k in needed_by_nobody(found.fits))


def test_a_share_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="share"):
        smallest_stock(np.ones((1, 1), dtype=bool), np.ones(1), 1.5)


def test_a_list_of_machines_names_every_fault(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "around.csv"
    path.write_text("machine,count\nthimble-24,12\ntimble-19,3\nhamper-42,many\n")
    with pytest.raises(Faults) as raised:
        read_counts(path, demo_shelf())
    said = " ".join(map(str, raised.value.faults))
    assert "timble-19" in said and "thimble-19" in said and "many" in said
    path.write_text("machine,count\nthimble-24,12\nthimble-24,3\n")
    assert read_counts(path, demo_shelf()) == {"thimble-24": 15.0}
