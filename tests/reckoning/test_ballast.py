"""`reckon ballast`: the solver, the enumeration along an array axis and a plain loop find the same cost."""

from __future__ import annotations

import json
from itertools import product
from typing import Any

import numpy as np
import pytest

from handfast.machines.faults import Faults
from handfast.physics.balance import Axles
from handfast.physics.ballast import cheapest, front_relief, sets, totals, useful_mass, with_ballast
from handfast.reckoning.ballast import reckon_ballast

Case = dict[str, Any]


def random_case(seed: int) -> Case:
    """A small shelf for a machine whose load asks for more or less than the shelf has."""
    rng = np.random.default_rng(seed)
    mass = rng.uniform(900.0, 3000.0)
    case: Case = {"front": mass * rng.uniform(0.5, 0.6), "wheelbase": rng.uniform(1.35, 2.2), "mass": mass}
    case |= {"load": mass * rng.uniform(0.15, 0.40), "ahead": rng.uniform(0.8, 1.6), "share": rng.choice([0.20, 0.25])}
    case |= {"hitch_610": mass * rng.uniform(0.15, 0.4), "ends": rng.uniform(0.7, 1.0)}
    case |= {"front_axle": mass * rng.uniform(0.95, 1.6), "rear_axle": mass * rng.uniform(0.7, 1.6)}
    case |= {"front_tyre": mass * rng.uniform(0.45, 0.9), "gross": mass * rng.uniform(1.4, 2.4)}
    options = []
    for number in range(rng.integers(2, 6)):
        at = str(rng.choice(["hitch", "hitch", "rear_wheels", "tyres", "rack"]))
        behind = {"hitch": case["ends"] + rng.uniform(0.3, 1.2), "rack": rng.uniform(0.5, 1.0)}.get(at, 0.0)
        piece = {"id": f"piece-{number}", "mass": mass * rng.uniform(0.03, 0.3), "behind": behind, "at": at}
        options.append({**piece, "price": float(rng.integers(1, 12)) * 50.0, "count_max": int(rng.integers(1, 4))})
    return case | {"options": options}


def as_file(case: Case) -> str:
    """The case as the file that `reckon ballast` reads."""
    lines = ["[machine]", f"mass = {case['mass']!r}", f"front_axle_mass = {case['front']!r}"]
    lines += [f"wheelbase = {case['wheelbase']!r}", f"hitch_lift_610 = {case['hitch_610']!r}"]
    lines += [f"hitch_behind_axle = {case['ends']!r}", f"front_axle_rating = {case['front_axle']!r}"]
    lines += [f"rear_axle_rating = {case['rear_axle']!r}", f"gross_rating = {case['gross']!r}"]
    lines += [f"front_tyre = {{ load_each = {case['front_tyre']!r}, count = 2 }}"]
    lines += ["[front]", f"mass = {case['load']!r}", f"ahead = {case['ahead']!r}"]
    lines += ["[balance]", f"rear_share = {float(case['share'])!r}"]
    for option in case["options"]:
        lines += ["[[option]]", *(f"{k} = {json.dumps(v)}" for k, v in option.items())]
    return "\n".join(lines)


def margins(case: Case, counts: tuple[int, ...]) -> dict[str, float]:
    """Every margin of one set, by moments about the rear axle, in plain arithmetic."""
    whole, moment = case["mass"], case["front"] * case["wheelbase"]
    whole += case["load"]
    moment += case["load"] * (case["wheelbase"] + case["ahead"])
    hung = 0
    got = {"hitch": 1.0}
    for option, count in zip(case["options"], counts, strict=True):
        whole += count * option["mass"]
        moment -= count * option["mass"] * option["behind"]
        if option["at"] == "hitch" and count:
            hung += count
            reach = max(option["behind"] - case["ends"], 0.61)
            got["hitch"] = min(got["hitch"], case["hitch_610"] * 0.61 / reach - option["mass"])
    front = moment / case["wheelbase"]
    got["hitch"] = got["hitch"] if hung <= 1 else -1.0
    got |= {"rear_share_loaded": (whole - front) - case["share"] * whole, "gross": case["gross"] - whole}
    got |= {"front_axle": case["front_axle"] - front, "rear_axle": case["rear_axle"] - (whole - front)}
    return got | {"front_tyres": 2.0 * case["front_tyre"] - front}


def exhaustive(case: Case) -> float | None:
    """Least price over every set, in a plain loop."""
    found = [
        sum(o["price"] * n for o, n in zip(case["options"], counts, strict=True))
        for counts in product(*(range(o["count_max"] + 1) for o in case["options"]))
        if min(margins(case, counts).values()) >= 0.0
    ]
    return min(found, default=None)


def enumerated(case: Case) -> float | None:
    """Least price by the array axis of sets."""
    options = case["options"]
    hitch = [o["at"] == "hitch" for o in options]
    counts = sets([o["count_max"] for o in options], hitch, limit=2000)
    mass, behind = (np.array([o[k] for o in options]) for k in ("mass", "behind"))
    load = Axles(case["front"] + case["load"] * (1 + case["ahead"] / case["wheelbase"]), np.array(0.0))
    load = Axles(load.front, case["mass"] + case["load"] - load.front)
    on = with_ballast(load, *totals(counts, mass, behind), case["wheelbase"])
    good = on.rear >= case["share"] * (on.front + on.rear)
    good &= (on.front <= min(case["front_axle"], 2 * case["front_tyre"])) & (on.rear <= case["rear_axle"])
    good &= on.front + on.rear <= case["gross"]
    able = case["hitch_610"] * 0.61 / np.maximum(behind - case["ends"], 0.61)
    good &= ~((counts > 0) & np.array(hitch) & (mass > able)).any(axis=1)
    price = counts @ np.array([o["price"] for o in options])
    found = int(cheapest(price, good.astype(float)))
    return None if found < 0 else float(price[found])


def test_three_ways_on_200_shelves() -> None:
    """Same cost by scipy's mixed-integer solver, by the array axis and by a plain loop; infeasible where all say so."""
    seen = {"needed": 0, "none": 0, "infeasible": 0}
    for seed in range(200):
        case = random_case(seed)
        want, got = exhaustive(case), reckon_ballast(as_file(case))
        assert enumerated(case) == want, seed
        assert got["cost"] == want, seed
        seen["infeasible" if want is None else "needed" if want else "none"] += 1
        if want is not None:
            counts = tuple(got["chosen"].count(o["id"]) for o in case["options"])
            assert min(margins(case, counts).values()) >= -1e-6
    assert min(seen.values()) >= 15, seen


def test_infeasible_names_what_no_set_meets() -> None:
    """The group named is met by no set; leaving out any one of it, some set meets the rest."""
    named = set()
    for seed in range(200):
        case = random_case(seed)
        got = reckon_ballast(as_file(case))
        if got["infeasible"] is None:
            continue
        group = [name.removeprefix("balance.") for name in got["infeasible"].split(" with ")]
        most = [1 if o["at"] == "hitch" else o["count_max"] for o in case["options"]]
        able = [margins(case, c) for c in product(*(range(n + 1) for n in most))]
        assert not any(all(m[name] >= 0.0 for name in group) for m in able), seed
        for left in group:
            assert any(all(m[name] >= 0.0 for name in group if name != left) for m in able), seed
        named.add(len(group))
    assert {1, 2} <= named


SMALL = """
[machine]
mass = "1043 kg"
front_axle_mass = "605 kg"
wheelbase = "55 in"
hitch_behind_axle = "25 in"
hitch_lift_610 = "340 kg"
[front]
mass = "267.6 kg"
ahead = "1.1 m"
[balance]
rear_share = 0.25
"""
BOX = '[[option]]\nid = "box"\nmass = "300 lb"\nbehind = "49 in"\nat = "hitch"\nprice = 390\n'
WEIGHTS = '[[option]]\nid = "pair"\nmass = "110 lb"\nat = "rear_wheels"\nprice = 120\ncount_max = 2\n'


def test_chosen_names_each_piece_taken() -> None:
    got = reckon_ballast(SMALL + WEIGHTS + BOX)
    assert got["chosen"] in (["box"], ["pair", "box"], ["pair", "pair", "box"], ["pair", "pair"])
    assert got["cost"] == 120.0 * got["chosen"].count("pair") + 390.0 * got["chosen"].count("box")
    assert got["rear_share"] >= 0.25


def test_only_one_piece_hangs_at_the_hitch() -> None:
    """A box there already leaves the hitch taken; too little on the shelf names the share."""
    taken = SMALL + '[[ballast]]\nmass = 20\nbehind = "49 in"\nat = "hitch"\n' + BOX
    assert "balance.hitch" in reckon_ballast(taken)["infeasible"]
    assert reckon_ballast(SMALL + WEIGHTS.replace("110 lb", "5 lb"))["infeasible"] == "balance.rear_share_loaded"
    assert reckon_ballast(SMALL.replace("0.25", "0.01"))["chosen"] == []
    assert reckon_ballast(SMALL)["infeasible"] == "balance.rear_share_loaded"


def test_ends_only_rating_counts_at_its_cautious_end() -> None:
    """A rating at the link ends is worth 0.6 to 0.85 of itself 610 mm behind: 300 lb hang on 0.6 × 227 kg, not 226."""
    text = SMALL.replace("hitch_lift_610", "hitch_lift") + BOX
    assert reckon_ballast(text.replace("340 kg", "227 kg"))["infeasible"] is None
    assert "balance.hitch" in reckon_ballast(text.replace("340 kg", "226 kg"))["infeasible"]


def test_weight_at_the_wheels_does_not_relieve_the_front_axle() -> None:
    """By moments: 100 kg at the axle take nothing off the front, 0.9 m behind a 1.5 m wheelbase 60 kg."""
    assert front_relief(100.0, [0.0, 0.9], 1.5).tolist() == [0.0, 60.0]
    assert useful_mass(100.0, [0.0, 0.9], 1.5, 0.20) == pytest.approx([80.0, 140.0])
    on = with_ballast(Axles(np.array(900.0), np.array(300.0)), 100.0, 0.0, 1.5)
    assert (float(on.front), float(on.rear)) == (900.0, 400.0)


def test_sets_refuses_a_shelf_that_is_too_large() -> None:
    assert len(sets([2, 3, 1, 1], [False, False, True, True])) == 3 * 4 * 3
    with pytest.raises(ValueError, match="more than 500"):
        sets([9, 9, 9], [False, False, False])


def test_cheapest_takes_the_lighter_of_equal_prices() -> None:
    assert int(cheapest([5.0, 5.0, 9.0], [1.0, 1.0, 1.0], mass=[80.0, 60.0, 10.0])) == 1
    assert cheapest([5.0, 4.0], [[0.9, 0.89], [0.95, 0.9]]).tolist() == [0, 1]


def test_a_piece_without_a_price_is_a_fault() -> None:
    with pytest.raises(Faults) as caught:
        reckon_ballast(SMALL + BOX.replace("price = 390\n", ""))
    assert [f.place for f in caught.value.faults] == ["option[0].price"]
