"""Measurements at the desk: put in, told, let stand, taken out; what is said to callers and what never is."""

from __future__ import annotations

import re

import pytest

from handfast.counter import verbs as counter
from handfast.machines.measurement import ways


def text_of(desk, number: int) -> str:
    return counter.inquiry(desk.app.state.desk.workspace, number).text


def plain(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_a_reading_is_taken_in_and_told(desk) -> None:
    said = desk.post(
        "/inquiries/7/measure", what="whole_on_scale", value="3,600 lb", by="Weighbridge", when="2026-11-20"
    )
    assert (said.status_code, said.headers["location"]) == (303, "/inquiries/7/measure")
    assert 'what = "whole_on_scale"' in text_of(desk, 7)
    page = plain(desk.client.get("/inquiries/7/measure").text)
    assert "Whole tractor on a truck scale, 3600 lb settled" in page
    assert "Mass, ready to work 3," in page
    sheet = plain(desk.client.get("/inquiries/7").text)
    assert "Measured: 1 reading, 1 settled something" in sheet
    assert "Settled: Mass, ready to work" in sheet
    whole = desk.client.get("/inquiries/7/json").json()["measured"]
    assert whole["readings"][0]["state"] == "used"
    assert whole["readings"][0]["moved"][0]["after"]["p50"] == pytest.approx(3600 * 0.45359237 + 75, abs=2.0)


def test_a_reading_that_is_none_is_refused_at_its_field_and_not_stored(desk) -> None:
    before = text_of(desk, 7)
    said = desk.post("/inquiries/7/measure", what="whole_on_scale", value="63 in")
    assert said.status_code == 422
    assert 'aria-invalid="true"' in said.text and "63 in" in said.text
    assert desk.post("/inquiries/7/measure", what="scale", value="3 lb").status_code == 422
    assert desk.post("/inquiries/7/measure", what="known_mass_lifted", value="900 lb").status_code == 422
    assert desk.post("/inquiries/7/measure").status_code == 422
    assert text_of(desk, 7) == before


def test_no_form_no_reading(desk) -> None:
    before = text_of(desk, 7)
    bare = desk.client.post("/inquiries/7/measure", data={"what": "whole_on_scale", "value": "3,600 lb"})
    assert bare.status_code == 403
    assert text_of(desk, 7) == before
    assert desk.client.get("/inquiries/99/measure").status_code == 404


def test_a_contradiction_is_shown_and_can_stand(desk) -> None:
    desk.post("/inquiries/7/measure", what="wheelbase_by_tape", value="90 in")
    page = desk.client.get("/inquiries/7/measure").text
    assert "contradicts" in page and "set aside" in plain(page) and "Let it stand" in page
    sheet = desk.client.get("/inquiries/7").text
    assert "1 set aside" in plain(sheet)
    assert re.search(r'<details class="more measured" open>', sheet)
    assert desk.post("/inquiries/7/measure/0", do="stand").status_code == 303
    assert "instead = true" in text_of(desk, 7)
    assert "set aside" not in plain(desk.client.get("/inquiries/7").text).split("What would answer")[-1]


def test_a_reading_is_taken_out_again(desk) -> None:
    before = desk.client.get("/inquiries/7/json").json()
    desk.post("/inquiries/7/measure", what="gate_by_tape", value="7 ft")
    assert desk.post("/inquiries/7/measure/0", do="out").status_code == 303
    assert "measurement" not in text_of(desk, 7)
    assert desk.client.get("/inquiries/7/json").json() == before
    assert desk.post("/inquiries/7/measure/0", do="out").status_code == 404
    assert desk.post("/inquiries/7/measure/0", do="burn").status_code == 422


def test_what_was_seen_is_typed_in_words(desk) -> None:
    desk.post("/inquiries/7/measure", what="bucket_back_by_photo", value="universal plate")
    assert 'seen = "universal_plate"' in text_of(desk, 7)


def test_what_was_typed_is_text_and_nothing_else(desk) -> None:
    desk.post("/inquiries/7/measure", what="gate_by_tape", value="7 ft", by="<script>alert(1)</script>")
    for address in ("/inquiries/7", "/inquiries/7/measure"):
        page = desk.client.get(address).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert(1)" in page


def test_what_belongs_in_the_workshop_is_never_put_to_a_caller(desk) -> None:
    """Its instructions and its titles stand below its own heading and in the form's own group, nowhere else."""
    for number in range(1, 9):
        sheet = desk.client.get(f"/inquiries/{number}").text
        for way in ways().values():
            if not way.for_caller:
                assert way.how not in sheet and way.title not in sheet, (number, way.id)
    page = desk.client.get("/inquiries/7/measure").text
    ours = page.index("In our workshop only</h2>")
    for way in ways().values():
        if not way.for_caller:
            assert page.index(way.how) > ours
            places = [found.start() for found in re.finditer(re.escape(way.title), page)]
            assert all(at > ours or '<optgroup label="In our workshop only">' in page[:at] for at in places), way.id
    callers = page[page.index("What a caller may be sent to do") : ours]
    assert "Bucket down, engine off, key out" in callers


def test_what_is_worth_it_is_offered_beside_the_question(desk) -> None:
    """Call 7 waits for how the bucket hangs and for the slope."""
    sheet = plain(desk.client.get("/inquiries/7").text)
    assert "Or have it measured: How the bucket hangs, by a photo" in sheet
    desk.post("/inquiries/7/measure", what="bucket_back_by_photo", value="pinned")
    assert "Or have it measured: How the bucket hangs" not in plain(desk.client.get("/inquiries/7").text)


def test_every_picture_says_what_it_shows(desk) -> None:
    page = desk.client.get("/inquiries/7/measure").text
    drawn = re.findall(r'<div class="how-pic">(.*?)</div>', page, re.S)
    assert len(drawn) == sum(bool(way.picture) for way in ways().values())
    assert all("<title" in one and "<desc" in one for one in drawn)


def test_an_outfit_its_depth_a_quote_and_its_papers_with_measurements(desk) -> None:
    """Everything behind the call sheet takes the inquiry as it was measured."""
    desk.post("/inquiries/3/measure", what="slope_by_phone", value="4 deg")
    desk.post("/inquiries/3/measure", what="gate_by_tape", value="9 ft")
    sheet = desk.client.get("/inquiries/3").text
    outfit = re.search(r'href="(/inquiries/3/outfits/[^"]+)" data-outfit="1"', sheet)
    assert outfit
    assert desk.client.get(outfit[1]).status_code == 200
    assert desk.client.get(outfit[1] + "/depth").status_code == 200
    made = desk.post(outfit[1] + "/quote")
    assert made.status_code == 303
    assert desk.client.get(made.headers["location"]).status_code == 200
    assert desk.client.get(made.headers["location"] + "/as-built").status_code == 200
