"""What being told what hangs behind is worth, enumerated by hand on a half-known caller of the demonstration."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from handfast.advice.advise import _priced
from handfast.advice.ask import MONEY_A_STEP
from handfast.advice.hanging import PATH, hung_kinds, losses_hung, worth_of_hung
from handfast.advice.knowing import worth_of_answers
from handfast.advice.odds import Judged, judge
from handfast.advice.rank import Losses, losses
from handfast.advice.work_done import work_done
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.work import Behind
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate


def chosen(name: str, behind: Behind) -> tuple[Judged, Losses]:
    shelf = demo_shelf()
    inquiry = demo_inquiries()[name].model_copy(update={"behind": behind}).resolve(shelf)
    judged = judge(lay(inquiry, shelf, 1), shelf)
    return judged, losses(judged, _priced(judged, inquiry, shelf, work_done(judged, inquiry)), inquiry, shelf)


def test_what_hangs_there_saves_the_ballast_that_it_stands_in_for() -> None:
    """Where the outfit without ballast is cheaper than the one chosen only if something heavy hangs there."""
    judged, found = chosen("4-long-wet-logs", Behind())
    heavy = judged.bench.frame.mass.mean() * 0.32  # a backhoe, as the table has it
    by_hand = 0.0
    given, share = losses_hung(judged, found)
    kinds = [one for one in hung_kinds() for _ in range(3)]
    for case, one in enumerate(kinds):
        for row, ballast in enumerate(judged.sets):
            saved = found.mean[row] - given[row, case]
            assert saved == pytest.approx(0.0) or saved == pytest.approx(ballast.fitted if ballast else 0.0)
            if one.kind == "none" and judged.chosen[row].needed > 0.0:
                assert saved == pytest.approx(0.0)
            if one.kind == "backhoe" and case % 3 == 1 and judged.chosen[row].needed < 0.9 * heavy:
                assert saved == pytest.approx(ballast.fitted if ballast else 0.0)
        by_hand += share[case] * (given[found.choice, case] - min(given[:, case]))
    assert worth_of_hung(judged, found) == pytest.approx(by_hand)
    assert by_hand > 0.0


def test_nothing_once_it_is_told() -> None:
    for behind in (Behind(kind="none"), Behind(kind="box_blade", mass=Estimate.known(200.0))):
        judged, found = chosen("4-long-wet-logs", behind)
        assert worth_of_hung(judged, found) == 0.0
        assert PATH not in worth_of_answers(judged, found)


def test_nothing_where_every_outfit_saves_alike() -> None:
    """A saving that the outfit chosen has too is no matter of the choice."""
    judged, found = chosen("4-long-wet-logs", Behind())
    row = found.choice
    alone = replace(found, acts=np.where(np.arange(len(found.acts))[:, None] == row, found.acts, 1e9))
    assert worth_of_hung(judged, alone) == pytest.approx(0.0)


def test_a_guess_is_worth_less() -> None:
    judged, found = chosen("4-long-wet-logs", Behind())
    sure = worth_of_answers(judged, found)[PATH]
    assert worth_of_answers(judged, found, lambda path: 0.5)[PATH] == pytest.approx(0.5 * sure)
    assert sure > MONEY_A_STEP
