"""The papers at their addresses: size of the sheet, one supplier's order, what can't be had said with its reason."""

from __future__ import annotations

import re
import subprocess
from urllib.parse import quote

import pytest

from handfast.counter import verbs as counter
from handfast.documents.kinds import KINDS

A4, LETTER = rb"/MediaBox ?\[ ?0 0 595\.2\d* 841\.8\d* ?\]", rb"/MediaBox ?\[ ?0 0 612 792 ?\]"
"""ISO 216 and ANSI/ASME Y14.1 in points of 1/72 in."""


def at(desk, call: int = 4) -> str:
    one = counter.answer(desk.app.state.desk.workspace, call).outfits[0]
    return f"/inquiries/{call}/outfits/{quote(one.id, safe='')}"


@pytest.mark.parametrize("kind", KINDS)
def test_size_by_the_address(desk, kind: str) -> None:
    for query, box in (("", LETTER), ("?page=letter", LETTER), ("?page=a4", A4)):
        paper = desk.client.get(f"{at(desk)}/{kind}.pdf{query}")
        assert paper.status_code == 200 and re.search(box, paper.content), query
    refused = desk.client.get(f"{at(desk)}/{kind}.pdf?page=foolscap")
    assert refused.status_code == 422 and "letter or a4" in refused.text


def test_the_house_chooses_where_the_address_does_not(desk) -> None:
    from handfast.counter import house, shelving
    from handfast.machines.price_book import PriceBook
    from handfast.machines.settings import Settings

    workspace = desk.app.state.desk.workspace
    version, now = house.settings_and_version(workspace)
    book = shelving.record(workspace, "price_book", "price_book")
    new = Settings.model_validate({**now.plain(), "paper": "a4"})
    house.change_settings(workspace, new, version, PriceBook.model_validate_json(book.record), book.version)
    assert re.search(A4, desk.client.get(f"{at(desk)}/pick-list.pdf").content)
    assert re.search(LETTER, desk.client.get(f"{at(desk)}/pick-list.pdf?page=letter").content)


def test_a_quotes_papers_and_the_quotation_itself(desk) -> None:
    desk.post(f"{at(desk)}/quote")
    page = desk.client.get("/quotes/1").text
    for kind in KINDS:
        assert f"/quotes/1/{kind}.pdf" in page
        assert desk.client.get(f"/quotes/1/{kind}.pdf?page=a4").status_code == 200, kind
    assert re.search(A4, desk.client.get("/quotes/1.pdf?page=a4").content)
    assert desk.client.get("/quotes/1.pdf?page=x").status_code == 422


def test_what_can_not_be_had_says_why(desk) -> None:
    from handfast.documents.words import verdict_of

    workspace = desk.app.state.desk.workspace
    bad = next(one for one in counter.answer(workspace, 1).outfits if verdict_of(one) == "does_not_fit")
    card = desk.client.get(f"/inquiries/1/outfits/{quote(bad.id, safe='')}/seat-card.pdf")
    assert card.status_code == 422 and "made for an outfit that holds" in card.text
    nobody = desk.client.get(f"{at(desk)}/purchase-order.pdf?supplier=Nobody")
    assert nobody.status_code == 422 and "bought from" in nobody.text


def test_the_hand_over_says_what_was_answered_about_the_weight(desk) -> None:
    from handfast.counter.quoting import answer_ballast

    desk.post(f"{at(desk)}/quote")
    answer_ballast(desk.app.state.desk.workspace, 1, "accepted", "A. Rowan", "B. Marl")
    pdf = desk.client.get("/quotes/1/hand-over.pdf").content
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    assert re.search(r"answered on the offer.*\n.*accepted +A\. Rowan", done.stdout.decode())


def test_costs_are_for_those_who_may_see_them(desk, monkeypatch: pytest.MonkeyPatch) -> None:
    from handfast.machines.reading import demo_shelf
    from handfast.quantities.estimate import Estimate
    from handfast.web import pages_papers

    workspace, shelf = desk.app.state.desk.workspace, demo_shelf()
    parts = {
        k: p.model_copy(update={"stock": 0, "cost": Estimate.known(1.25)}) for k, p in shelf.parts.items() if p.supplier
    }
    counter.put_on_shelf(workspace, shelf.model_copy(update={"parts": {**shelf.parts, **parts}}))

    def read() -> str:
        pdf = desk.client.get(f"{at(desk)}/purchase-order.pdf").content
        done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
        return done.stdout.decode()

    assert "$1.25" in read()
    monkeypatch.setattr(pages_papers, "may_here", lambda _request, area: area != "costs")
    assert "$" not in read()


def test_an_outfit_without_a_lid_has_its_papers_too(desk) -> None:
    forks = next(one for one in counter.answer(desk.app.state.desk.workspace, 8).outfits if one.power.route == "none")
    here = f"/inquiries/8/outfits/{quote(forks.id, safe='')}"
    page = desk.client.get(here).text
    for kind in ("fit-sheet", "pick-list", "receiving", "hand-over"):
        assert f'href="{here}/{kind}.pdf"' in page
        assert desk.client.get(f"{here}/{kind}.pdf").status_code == 200


def test_each_suppliers_order_is_led_to(desk) -> None:
    from handfast.machines.reading import demo_shelf

    shelf = demo_shelf()
    tools = {key: one.model_copy(update={"stock": 0}) for key, one in shelf.attachments.items()}
    counter.put_on_shelf(desk.app.state.desk.workspace, shelf.model_copy(update={"attachments": tools}))
    page = desk.client.get(at(desk)).text
    found = re.search(r'href="([^"]+purchase-order\.pdf\?supplier=[^"]+)"', page)
    assert found and desk.client.get(found[1].replace("&amp;", "&")).status_code == 200
