"""Side by side: what differs is marked, the best is named, and nothing is said that the outfits do not say."""

from __future__ import annotations

import re

import pytest

from handfast.web.pages_side import MOST, line


def ids(desk, number: int) -> list[str]:
    return [one["id"] for one in desk.client.get(f"/inquiries/{number}/json").json()["outfits"]]


def test_the_best_is_named_only_where_figures_differ() -> None:
    assert line("Hours", ("4", "6", "4"), (4.0, 6.0, 4.0), least=True, word="fewest").best == (0, 2)
    assert line("Hours", ("4", "4"), (4.0, 4.0), least=True, word="fewest").best == ()
    assert line("Price", ("$5", ""), (5.0, None), least=True, word="least").best == ()
    assert line("Hangs", ("pins", "plate")).differs and not line("Hangs", ("pins", "pins")).differs
    assert line("Lifts", ("", "")).cells == ("not known", "not known")


def test_up_to_four_outfits_stand_on_one_scale(desk) -> None:
    chosen = ids(desk, 1)[:MOST]
    page = desk.client.get("/inquiries/1/side-by-side", params={"outfit": chosen})
    assert page.status_code == 200
    assert len(re.findall(r'<svg[^>]*class="dr side"', page.text)) == len(chosen)
    assert 'class="differs"' in page.text and ">differs<" in page.text
    hubs = re.findall(r"<table class=\"beside\">.*?</table>", page.text, re.S)
    assert len(hubs) == 1


def test_the_figures_are_those_of_the_outfits(desk) -> None:
    whole = desk.client.get("/inquiries/1/json").json()["outfits"][:2]
    text = desk.client.get("/inquiries/1/side-by-side", params={"outfit": [one["id"] for one in whole]}).text
    for one in whole:
        if one["cost"]["p50"] is not None:
            assert f"${one['cost']['p50']:,.0f}" in text


def test_without_a_choice_the_best_of_each_kind_are_compared(desk) -> None:
    text = desk.client.get("/inquiries/1/side-by-side").text
    assert 1 <= text.count(" checked>") <= MOST


@pytest.mark.parametrize("asked", [["nothing"], ["a", "b"]])
def test_an_outfit_that_is_not_there_is_said(desk, asked: list[str]) -> None:
    assert desk.client.get("/inquiries/1/side-by-side", params={"outfit": asked}).status_code == 404


def test_five_are_too_many(desk) -> None:
    assert desk.client.get("/inquiries/1/side-by-side", params={"outfit": list("abcde")}).status_code == 422


def test_a_call_without_an_answer_says_so(desk) -> None:
    desk.post("/inquiries", title="nothing known")
    page = desk.client.get(f"/inquiries/{desk.count()}/side-by-side")
    assert page.status_code == 200
