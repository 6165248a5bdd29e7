"""What measurements settle in the answer to a call, what is offered to a caller, and what never is."""

from __future__ import annotations

import json

import pytest

from handfast.advice.advise import advise
from handfast.advice.as_json import to_json
from handfast.advice.from_json import from_json
from handfast.advice.measured import TITLES, offers
from handfast.advice.result import Advice, Question
from handfast.machines.measurement import Measurement, ways
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf_files import DEMO
from handfast.quantities.units import to_si

CALL = (DEMO / "inquiries" / "7-dads-tractor.toml").read_text()
LB = to_si(1.0, "lb")


def answered(*readings: str, call: str = CALL) -> Advice:
    text = call + "".join(f"\n[[measurement]]\n{one}\n" for one in readings)
    return advise(read_inquiry(text), demo_shelf(), 1)


def test_a_call_without_measurements_says_nothing_of_them() -> None:
    answer = answered()
    assert answer.measured is None
    assert "measured" not in to_json(answer)


def test_what_a_scale_settles_is_said_with_its_band_before_and_after() -> None:
    measured = answered('what = "whole_on_scale"\nvalue = "3600 lb"\nby = "Weighbridge"\nwhen = 2026-11-20').measured
    assert measured is not None
    reading = measured.readings[0]
    assert (reading.state, reading.settles, reading.by, reading.when) == ("used", True, "Weighbridge", "2026-11-20")
    mass = reading.moved[0]
    assert mass.before is not None
    assert mass.after.p90 - mass.after.p10 < 0.2 * (mass.before.p90 - mass.before.p10)
    # the ticket, the operator's 75 kg on top, give or take 20 lb (80 % lie within 1.28 standard deviations)
    assert mass.after.p50 == pytest.approx(3600 * LB + 75.0, abs=2.0)
    assert mass.after.p90 - mass.after.p10 == pytest.approx(2 * 1.2816 * 20 * LB, rel=0.05)
    assert reading.said.startswith("Settled: Mass, ready to work ")


def test_the_margin_of_the_leading_outfit_before_and_after() -> None:
    """A heavier tractor leaves more on the rear axle; that the loader lifted a known mass raises what it lifts."""
    call = CALL + 'length = "6 ft"\ndiameter = "9 in"\n'
    for reading in (
        'what = "whole_on_scale"\nvalue = "3680 lb"',
        'what = "known_mass_lifted"\nvalue = "1200 lb"\nahead = "20 in"',
    ):
        measured = answered(reading, call=call).measured
        assert measured is not None and measured.margin is not None
        margin = measured.margin
        assert margin.before is not None
        assert margin.before != margin.after
    assert margin.after.p10 > margin.before.p10


def test_a_reading_that_agrees_with_the_sheet_settles_nothing() -> None:
    sheet = '[machine]\nclass = "compact_small"\nwheelbase = "64 in"\n[[work]]\nkind = "logs"\ndiameter = "10 in"\n'
    measured = answered('what = "wheelbase_by_tape"\nvalue = "64.2 in"', call=sheet).measured
    assert measured is not None
    assert measured.readings[0].said == "It agrees with what was known, and settles nothing."
    assert not measured.readings[0].settles


def test_a_contradiction_is_told_with_a_way_out_and_moves_nothing() -> None:
    plain, odd = answered(), answered('what = "wheelbase_by_tape"\nvalue = "90 in"')
    assert odd.measured is not None
    reading = odd.measured.readings[0]
    assert reading.state == "conflict"
    assert "90 in" in reading.said and "set aside" in reading.said
    assert reading.way_out.startswith("Measure once more. If it reads the same, let the reading stand")
    assert [o.held for o in odd.outfits] == [o.held for o in plain.outfits]
    assert [o.cost for o in odd.outfits] == [o.cost for o in plain.outfits]


def test_a_photo_settles_how_the_bucket_hangs() -> None:
    """Nothing is presumed any more, and it is not asked again."""
    answer = answered('what = "bucket_back_by_photo"\nseen = "pinned"')
    assert "how the bucket comes off" in answered().open_facts
    assert "how the bucket comes off" not in answer.open_facts
    assert all(one.fact != "quick_attach" for one in answer.ask_next)


def test_a_slope_that_was_read_is_no_open_fact() -> None:
    answer = answered('what = "slope_by_phone"\nvalue = "4 deg"')
    assert "the slope" in answered().open_facts
    assert "the slope" not in answer.open_facts
    ground = next(one for one in answer.facts if one.path == "site.slope")
    assert (ground.certainty, ground.origin) == ("about", "measured")


def test_same_measurements_same_bytes_and_the_way_through_json() -> None:
    readings = (
        'what = "front_axle_on_scale"\nvalue = "1950 lb"',
        'what = "known_mass_lifted"\nvalue = "900 lb"\nahead = 0.5',
    )
    one, other = (json.dumps(to_json(answered(*readings)), allow_nan=False) for _ in range(2))
    assert one == other
    assert from_json(json.loads(one)).measured == answered(*readings).measured


# -------------------- what is offered


def asking(fact: str, worth: float) -> Question:
    return Question(fact, "", (), worth, 4.0, "", "")


def test_only_what_a_caller_may_do_is_ever_offered() -> None:
    facts = sorted({way.fact for way in ways().values() if way.fact})
    offered = offers([asking(fact, 1e6) for fact in facts])
    assert offered
    assert all(one.way.who == "caller" for one in offered)
    workshop = {way.fact for way in ways().values() if not way.for_caller and way.fact}
    assert "relief_pressure" in workshop
    assert offers([asking("relief_pressure", 1e6)]) == ()


def test_what_is_not_worth_its_bother_is_not_offered() -> None:
    """A scale is twelve steps of $4 away."""
    assert offers([asking("mass", 47.0)]) == ()
    assert [one.way.id for one in offers([asking("mass", 49.0)])] == ["whole_on_scale"]


def test_what_was_measured_is_not_offered_again() -> None:
    done = [Measurement(what="whole_on_scale", value="3600 lb")]
    assert offers([asking("mass", 500.0)], done) == ()


def test_the_table_keeps_callers_away_from_lines_raised_arms_and_running_engines() -> None:
    """Each of a caller's ways starts with bucket down, engine off, key out; none goes to oil or raised arms."""
    for way in ways().values():
        if way.for_caller:
            assert way.how.startswith("Bucket down, engine off, key out."), way.id
            assert not any(
                word in way.how for word in ("gauge", "relief", "test port", "lift slowly", "rated speed")
            ), way.id
    outside = {"relief_by_gauge", "raise_timed", "known_mass_lifted", "known_mass_refused", "pin_height_max_by_tape"}
    assert all(ways()[name].who == "workshop" for name in outside)


def test_every_way_has_a_title_for_each_figure_it_tells_of() -> None:
    for way in ways().values():
        assert all(name in TITLES for name in way.bears), way.id
        assert way.error > 0.0 or way.error_share > 0.0, way.id
