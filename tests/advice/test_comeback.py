"""Comebacks as data: complete, in an order, each with its cause and who pays; a longer hose by hand."""

from __future__ import annotations

import pytest

from handfast.advice.comeback import PAYERS, REMEDIES, SAFETY, longer, symptom_of, symptoms, who_pays
from handfast.quantities.tables import table

# What the trade sees after the sale: an owner's questions after buying and the failures a shop knows.
CASES = {
    "short_at_dump", "wrong_thread", "turned", "rubs", "stops", "backwards", "slow", "leaks", "opens",
    "will_not_connect", "one_first", "hitch_weak", "goes_dead", "pump_noise", "no_force", "hot", "now_and_then",
    "came_off", "bent", "wheels_up", "front_axle", "reach", "damaged", "service",
}  # fmt: skip


def test_every_case_of_the_trade_is_there_with_its_looks() -> None:
    assert {one.id for one in symptoms()} == CASES
    for one in symptoms():
        assert one.looks, one.id
        assert [look.id for look in one.looks] == [f"{one.id}_{k}" for k in range(1, len(one.looks) + 1)]


def test_every_look_says_what_is_done_and_who_pays() -> None:
    for one in symptoms():
        for look in one.looks:
            assert look.remedy in REMEDIES, look.id
            assert all((look.look, look.found, look.cure)), look.id
            for owner in (False, True):
                payer = who_pays(look.cause, owner)
                assert payer.who in PAYERS
                if look.cause == "handling":
                    assert look.remedy == "none", look.id
                assert (payer.who == "nobody") == (look.cause == "handling"), look.id


def test_the_tables_hold_no_row_that_nothing_uses() -> None:
    assert {row["symptom"] for row in table("comeback_checks.csv")} == CASES
    used = {look.cause for one in symptoms() for look in one.looks}
    assert {row["cause"] for row in table("comeback_payers.csv")} == used


def test_a_coupler_not_home_is_the_first_thing_where_it_stops() -> None:
    """The one failure that a shop can settle over the phone: pushed home again at both ends, nothing ordered."""
    first = symptom_of("stops").looks[0]
    assert "both ends" in first.look
    assert first.remedy == "none"
    assert "tool" in symptom_of("will_not_connect").looks[0].cure  # a jet from a prodded coupler blinds


def test_the_safety_words_name_the_four_dangers() -> None:
    said = " ".join(SAFETY)
    for word in ("Engine off", "pressure", "ground", "skin"):
        assert word in said


@pytest.mark.parametrize(
    ("fitted", "missing", "needed"),
    [(0.900, 0.096, 1.025), (1.8288, 0.0, 1.8538), (0.5, 0.048, 0.575)],
)
def test_a_longer_hose_by_hand(fitted: float, missing: float, needed: float) -> None:
    """0.096 m pulled straight is 0.1 m of hose that pressure shortens by 4 % (SAE J517); 25 mm in reserve."""
    assert longer(fitted, missing) == pytest.approx(needed)


def test_no_such_thing_is_said_so() -> None:
    with pytest.raises(KeyError):
        symptom_of("sulks")
    with pytest.raises(KeyError):
        symptom_of("stops").look("stops_9")
    with pytest.raises(KeyError):
        who_pays("weather", owner_fitted=False)
