"""The log is told before the tractor: every page and paper answers, nothing is drawn that is not known."""

from __future__ import annotations

from urllib.parse import quote

import pytest

from handfast.counter import verbs as counter
from handfast.documents.kinds import KINDS

LOG = """title = "The log came first"
[machine]
quick_attach = "pinned"
[[work]]
kind = "logs"
species = "oak"
diameter = "12 in"
length = "8 ft"
"""


@pytest.fixture
def number(desk) -> int:
    return counter.new_inquiry(desk.app.state.desk.workspace, LOG)


def outfits(desk, number: int) -> list[str]:
    whole = desk.client.get(f"/inquiries/{number}/json")
    assert whole.status_code == 200
    return [one["id"] for one in whole.json()["outfits"]]


def test_the_call_answers(desk, number: int) -> None:
    for path in ("", "?turned=1", "/side-by-side", "/questions", "/edit", "/measure", "/history", "/paste"):
        assert desk.client.get(f"/inquiries/{number}{path}").status_code == 200, path


def test_each_outfit_and_its_papers_answer(desk, number: int) -> None:
    found = outfits(desk, number)
    assert found
    at = f"/inquiries/{number}/outfits/{quote(found[0], safe='')}"
    page = desk.client.get(at)
    assert page.status_code == 200 and "Not drawn: no tractor is known yet" in page.text
    assert "Not drawn" in desk.client.get(at + "/drawing?height=40").text
    assert desk.client.get(at + "/depth").status_code == 200
    for kind in KINDS:
        wanted = 422 if kind == "seat-card" else 200  # no card without loads that are known
        assert desk.client.get(f"{at}/{kind}.pdf").status_code == wanted, kind
