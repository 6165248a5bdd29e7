"""What became of a quote is kept, shown, and counted on the page of how often we were right."""

from __future__ import annotations

import json
import re

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.machines.outcome import Outcome
from handfast.store import quote_rows
from handfast.store.database import writing


def quoted(desk) -> int:
    workspace = desk.app.state.desk.workspace
    best = counter.answer(workspace, 5).outfits[0]
    return counter.quote(workspace, 5, best.id).number


def test_it_is_said_on_the_quotes_page_and_counted(desk) -> None:
    number = quoted(desk)
    assert "Nothing has been heard of yet." in desk.client.get("/calibration").text
    assert "What became of it" in desk.client.get(f"/quotes/{number}").text
    done = desk.post(f"/quotes/{number}/outcome", became="fitted", payload="900 lb", hours="4 h")
    assert done.status_code == 303
    assert "It was fitted" in desk.client.get(f"/quotes/{number}").text
    page = desk.client.get("/calibration").text
    assert re.search(r"of 1 called \d+ in 100, 100 in 100 held", page, re.I)
    assert "<desc" in page and "900 lb" in page
    desk.post(f"/quotes/{number}/outcome", became="returned", why="too heavy")
    verdicts, _ = aftercare.calibrations(desk.app.state.desk.workspace)
    assert verdicts.count == 1 and verdicts.bins[0].held == 0.0  # the newest counts


def test_what_comes_back_has_a_reason_and_a_price_is_no_misfit(desk) -> None:
    number = quoted(desk)
    refused = desk.post(f"/quotes/{number}/outcome", became="returned")
    assert refused.status_code == 422 and 'role="alert"' in refused.text
    assert desk.post(f"/quotes/{number}/outcome", became="fitted", payload="heavy").status_code == 422
    assert desk.post("/quotes/99/outcome", became="fitted").status_code == 404
    desk.post(f"/quotes/{number}/outcome", became="returned", why="price")
    assert aftercare.calibrations(desk.app.state.desk.workspace)[0].count == 0


def test_a_weighed_payload_is_held_against_the_band_that_was_offered() -> None:
    band = {"p10": 200.0, "p50": 220.0, "p90": 240.0}
    weighed = Outcome(became="fitted", payload="230 kg")
    assert aftercare.payload_claims(band, weighed) == [(0.9, 1.0), (0.5, 1.0), (0.1, 0.0)]
    assert aftercare.payload_claims(None, weighed) == []
    assert aftercare.payload_claims(band, Outcome(became="fitted")) == []


def test_a_years_offers_bend_where_nine_in_ten_came_back(desk) -> None:
    workspace = desk.app.state.desk.workspace
    offered = json.dumps({"outfit": {"held": 0.92, "payload": {"full_height": None}}})
    for k in range(30):
        with writing(workspace.engine) as connection:
            number = quote_rows.add_quote(connection, 5, "a", offered, "desk").number
        why = {"became": "returned", "why": "too heavy"} if k % 3 else {"became": "fitted"}
        aftercare.say_outcome(workspace, number, Outcome(**why))
    page = desk.client.get("/calibration").text
    assert "Claims are kinder than what happens" in page and ">bends<" in page
    assert any(row["quote"] for row in counter.export(workspace)["outcomes"])
