"""`reckon linkage`: sheets printed by linkages that the test builds are met; both answers of a measured machine differ.

The linkages are class linkages stretched in the test; what each lifts is reckoned by `reckon lift` from its pins.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from handfast.cli.reckoning_page import reckoning_page
from handfast.machines.faults import Faults
from handfast.machines.reading import demo_shelf
from handfast.physics.linkage_fit import Loader, class_loader, scaled, sheet_of
from handfast.reckoning.fitted import both, record_of
from handfast.reckoning.lift import reckon_lift
from handfast.reckoning.linkage import reckon_linkage
from handfast.web.toml_write import toml_text

BASE = 1.6  # m, wheelbase
HIDDEN = np.array([0.03, 0.02, -0.04, 0.02, 0.01, -0.03, 0.03, 0.02, 0.06, -0.05])


def hidden(kind: str) -> Loader:
    made = scaled(class_loader("compact_small", kind), HIDDEN)
    return made._replace(weights=made.weights._replace(tool_mass=0.0, tool_cg=np.asarray(0j)))


def file_of(made: Loader, **more: Any) -> dict[str, Any]:
    """The machine whose sheet this linkage prints, to the full."""
    s = sheet_of(made)
    ahead = {"down": s.pin_x_down - BASE, "level": s.pin_x_level - BASE, "up": s.pin_x_up - BASE}
    names = ("pin_height_max", "pin_height_down", "lift_at_pin", "lift_at_500", "breakout_at_pin", "curl_at_500")
    loader = {name: getattr(s, name) for name in names} | {"raise_time": s.raise_time, "pin_ahead": ahead}
    loader |= {"arms_mass": float(made.weights.arm_mass), "ratings_with": "nothing"} | more
    oil = {"relief_pressure": made.pressure, "pump_flow": made.flow}
    return {"machine": {"class": "compact_small", "wheelbase": BASE, **oil, "loader": loader}}


@pytest.mark.parametrize("kind", ["direct", "bellcrank", "levelling"])
def test_a_printed_sheet_is_met_and_the_answer_is_a_record(kind: str) -> None:
    made = hidden(kind)
    given = file_of(made, self_levelling=kind == "levelling") | {"linkage": {"kind": kind}}
    got = reckon_linkage(toml_text(given))
    json.dumps(got, allow_nan=False)
    assert (got["origin"], got["class"], got["kind"]) == ("computed", "compact_small", kind)
    assert len(got["sheet"]) == 10 and abs(got["furthest_off_by"]) < 2e-3
    assert all(abs(row["residual"]) < 1e-4 for row in got["sheet"][:-1])
    # the record is read by another chapter, and lifts at full height what the sheet says
    given["machine"]["loader"]["linkage"] = got["linkage"]
    del given["linkage"]
    rows = reckon_lift(toml_text(given | {"load": [{"cg": [0.5, 0.0]}]}))["loads"][0]["rows"]
    assert rows[-1]["lift_limited"] == pytest.approx(given["machine"]["loader"]["lift_at_500"], rel=1e-3)


def test_what_the_sheet_overstates_stands_as_the_difference() -> None:
    """A sheet that prints 10 % more than its own pins lift: the linkage answers a tenth below it, at full height."""
    made = hidden("direct")
    sheet = sheet_of(made)
    more = {"lift_at_pin": 1.1 * sheet.lift_at_pin, "lift_at_500": 1.1 * sheet.lift_at_500}
    got = reckon_linkage(toml_text(file_of(made, **more, linkage=record_of(made))))
    top = got["both"][-1]
    assert top["pin_z"] == pytest.approx(sheet.pin_height_max)
    assert top["at_pin_difference"] == pytest.approx(-0.1 * sheet.lift_at_pin)
    assert top["at_500_difference"] == pytest.approx(-0.1 * sheet.lift_at_500)
    measured = {row["figure"]: row["residual"] for row in got["measured"]}
    assert measured["lift_at_pin"] == pytest.approx(1 / 1.1 - 1, abs=1e-6)
    assert measured["pin_height_max"] == pytest.approx(0.0, abs=1e-6)


def test_demo_machines_with_a_measured_linkage_agree_with_their_sheet_at_full_height() -> None:
    """The shelf's measured linkages lift up to a tenth more than printed: pumps wear and sheets round down."""
    held = [m for m in demo_shelf().machines.values() if m.loader.linkage is not None]
    assert len(held) >= 3
    for machine in held:
        top = both(machine)[-1]
        for name in ("at_pin", "at_500"):
            assert 0.0 <= top[f"{name}_difference"] <= 0.10 * top[f"{name}_sheet"], machine.id


def test_every_fault_at_once_and_the_page() -> None:
    with pytest.raises(Faults) as caught:
        reckon_linkage("[machine]\n[machine.loader]\npin_ahead = { up = 0.7 }\n[linkage]\nkind = 'z-bar'\n")
    assert "linkage.kind" in {fault.place for fault in caught.value.faults}
    with pytest.raises(Faults) as caught:
        reckon_linkage("[machine]\n[machine.loader]\npin_ahead = { up = 0.7 }\n")
    assert {f.place for f in caught.value.faults} >= {"machine.class", "machine.wheelbase"}
    page = reckoning_page(reckon_linkage(toml_text(file_of(hidden("direct")))), "us")
    assert "computed" in page and "residual" in page and "pin height max" in page
