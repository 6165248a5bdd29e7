"""`reckon connect`: chains worked by hand, near misses, faults."""

from __future__ import annotations

import json

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.connect import EXAMPLE, reckon_connect

LINE = """
[connect]
from = "orb -8 female"
to = "coupler_ag 1/2 male"
breaks = ["coupler_flat 1/2", "coupler_a 1/2"]
pressure = "165 bar"
bore = "9 mm"
joint_cost = 1
spans = ["2 m", 0, 0]
""" + "".join(
    f'[[part]]\nid = "{i}"\nkind = "{k}"\nends = ["{a}", "{b}"]\nprice = "{p}"\n'
    f'pressure_max = "{r} bar"\nbore = "12 mm"\n{x}\n'
    for i, k, a, b, p, r, x in [
        ("adapter", "adapter", "orb -8 male", "flare37 -8 male", 5, 300, ""),
        ("hose-2", "hose_assembly", "flare37 -8 female", "flare37 -8 female", 30, 275, 'length = "2.1 m"'),
        ("hose-1", "hose_assembly", "flare37 -8 female", "flare37 -8 female", 18, 275, 'length = "1 m"'),
        ("flat-f", "coupler", "flare37 -8 male", "coupler_flat 1/2 female", 40, 250, ""),
        ("flat-m", "coupler", "flare37 -8 male", "coupler_flat 1/2 male", 35, 250, ""),
        ("farm-f", "coupler", "flare37 -8 male", "coupler_a 1/2 female", 22, 250, ""),
    ]
)


def test_a_line_with_two_breaks_worked_by_hand():
    """By hand: adapter 5, hose-2 30, flat-f 40 | flat-m 35, hose-1 18, farm-f 22 | port; 7 joints of 1.

    The second break is met at the port itself, ISO 5675 and ISO 7241-A 1/2 being one interface.
    """
    result = reckon_connect(LINE, "line.toml")
    assert sorted(result["parts"]) == ["adapter", "farm-f", "flat-f", "flat-m", "hose-1", "hose-2"]
    assert result["parts"][:2] == ["adapter", "hose-2"]
    assert result["parts"][4:] == ["hose-1", "farm-f"]
    assert (result["price"], result["joints"], result["total"]) == (150.0, 7, 157.0)
    assert json.loads(json.dumps(result, allow_nan=False)) == result


def test_the_tractor_half_is_chosen():
    female = reckon_connect(LINE.replace("joint_cost", 'tractor_half = "female"\njoint_cost'), "line.toml")
    assert female["parts"][2:4] == ["flat-f", "flat-m"]
    male = reckon_connect(LINE.replace("joint_cost", 'tractor_half = "male"\njoint_cost'), "line.toml")
    assert male["parts"][2:4] == ["flat-m", "flat-f"]


def test_no_chain_gives_the_nearest_and_why():
    """260 bar asked, couplers bear 250; 3 m asked of 2.1 m hoses."""
    weak = reckon_connect(LINE.replace("165 bar", "260 bar"), "line.toml")
    assert weak["parts"] is None
    assert weak["short"] == "pressure"
    assert weak["met"] == pytest.approx(250 / 260)
    assert weak["nearest"]["total"] == 157.0
    assert "250 bar" in weak["why"]
    short = reckon_connect(LINE.replace('"2 m"', '"3 m"'), "line.toml")
    assert (short["short"], short["met"]) == ("length", pytest.approx(0.7))


def test_a_rating_that_is_not_known_is_not_relied_on():
    result = reckon_connect(EXAMPLE.replace('pressure_max = "4000 psi"\n', ""), "connect.toml")
    assert result["parts"] is None
    assert result["short"] == "pressure"


def test_drop_budget_takes_the_dearer_part():
    """Two ways, 6.50 losing 3 bar and 9 losing 1 bar, 2 bar allowed."""
    wide = EXAMPLE[EXAMPLE.index("[[part]]") :].replace("elbow", "wide").replace("6.50", "9")
    text = EXAMPLE.replace("joint_cost", 'drop_budget = "2 bar"\njoint_cost')
    result = reckon_connect(text + 'drop = "3 bar"\n' + wide + 'drop = "1 bar"\n', "connect.toml")
    assert (result["parts"], result["total"]) == (["wide"], 13.0)


def test_faults_are_named_at_once():
    with pytest.raises(Faults) as caught:
        reckon_connect('[connect]\nbreaks = ["glue"]\nspans = [1]\n', "connect.toml")
    places = {f.place for f in caught.value.faults}
    assert places == {"connect.from", "connect.to", "connect.breaks[0]", "connect.spans"}
    with pytest.raises(Faults) as caught:
        reckon_connect(EXAMPLE.replace('price = "6.50"\n', ""), "connect.toml")
    assert [f.place for f in caught.value.faults] == ["part[0].price"]
