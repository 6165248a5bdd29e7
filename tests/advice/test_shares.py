"""Shares counted sixty-four samples to a word are the plain shares, for every demo inquiry."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.advice.odds import Judged, judge
from handfast.advice.shares import shares
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.outfits.lay import lay

CALLS = tuple(demo_inquiries().values())


@pytest.fixture(scope="module", params=range(len(CALLS)), ids=lambda k: f"caller {k + 1}")
def judged(request: pytest.FixtureRequest) -> Judged:
    shelf = demo_shelf()
    return judge(lay(CALLS[request.param].resolve(shelf), shelf, 1), shelf)


def test_what_an_outfit_presumes_is_its_mount_and_its_supply(judged: Judged) -> None:
    draws, supply = judged.bench.draws, judged.bare.of("power.supply")
    for row, outfit in enumerate(judged.bench.outfits):
        hangs = draws.picked("quick_attach", outfit.mount.interface) > 0 if "quick_attach" in draws.choices else True
        plain = np.broadcast_to(hangs & (supply.row("capacity", row) > 0), (draws.size,))
        assert np.array_equal(judged.premises.given(row), plain)


def test_shares_are_means_over_the_samples_presumed(judged: Judged) -> None:
    found = shares(judged.bare, judged.premises)
    for row in range(len(judged.bench.outfits)):
        given = judged.premises.given(row)
        together = judged.bare.together[row][given]
        assert found.together[row] == pytest.approx(together.mean() if given.any() else 0.0, abs=1e-15)
        safety = [one for one in judged.bare.findings if one.check.safety and one.check.hard and one.decided[row]]
        held = [np.broadcast_to(one.row("holds", row), given.shape)[given] for one in safety]
        floor = min((float(one.mean()) if given.any() else 0.0 for one in held), default=1.0)
        assert found.floor[row] == pytest.approx(floor, abs=1e-15)
