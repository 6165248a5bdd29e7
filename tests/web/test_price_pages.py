"""Prices at the pages: offers against today, what a list would change, and costs that stay in the house."""

from __future__ import annotations

import re
from decimal import Decimal

from handfast.counter import verbs as counter
from handfast.machines.shelf import Shelf
from handfast.quantities.estimate import Estimate

COST = 4321.09


def quoted(desk):
    """An offer of the best outfit of the first call."""
    workspace = desk.app.state.desk.workspace
    best = next(one for one in counter.answer(workspace, 1).outfits if one.cost.whole)
    return workspace, best, counter.quote(workspace, 1, best.id)


def with_cost(workspace, key: str, **more: Estimate) -> None:
    one = counter.shelf(workspace).attachments[key].model_copy(update={"cost": Estimate.known(COST), **more})
    counter.put_on_shelf(workspace, Shelf(attachments={key: one}))


def test_the_page_holds_offers_against_today(desk) -> None:
    workspace, best, _ = quoted(desk)
    assert "Every open quote would come to the same sum today." in desk.client.get("/shelf/prices").text
    with_cost(workspace, best.attachment, price=Estimate.known(9000.0))
    text = desk.client.get("/shelf/prices").text
    assert "1 of 1 open quotes would come to another sum today." in text
    assert re.search(r"\$[\d,]+\.\d\d more", text)
    assert "52 %" in text  # 1 - 4321.09 / 9000 = 0.5199


def test_a_list_says_which_offers_it_changes(desk) -> None:
    workspace, best, row = quoted(desk)
    kind = counter.shelf(workspace).attachments[best.attachment].kind
    data = f"Item,Type,Price\n{best.attachment},{kind},9999\n".encode()
    sent = desk.client.post("/lists", data={"token": desk.token(), "supplier": ""}, files={"file": ("n.csv", data)})
    text = desk.client.get(sent.headers["location"]).text
    assert "Open quotes that its prices change: 1" in text
    assert f'href="/quotes/{row.number}"' in text
    assert desk.client.get("/quotes").text.count("/shelf/prices") == 1


def test_what_a_thing_costs_the_house_is_on_no_paper_and_no_screen_for_a_customer(desk) -> None:
    """The figure is one of its own, so that finding its digits anywhere is finding the cost."""
    workspace, best, _ = quoted(desk)
    with_cost(workspace, best.attachment)
    row = counter.quote(workspace, 1, best.id)
    assert "4,321.09" in desk.client.get("/shelf/prices").text
    at = "/inquiries/1"
    pages = [at, f"{at}?turned=1", f"{at}/json", f"{at}/outfits/{best.id}", f"{at}/outfits/{best.id}/json"]
    pages += [f"{at}/side-by-side", f"/quotes/{row.number}", "/quotes", f"{at}/questions"]
    for address in pages:
        text = desk.client.get(address).text
        assert not re.search(r"4,?321\.?09", text), address
    assert not re.search(r"4,?321\.09", row.json)


def amounts(text: str) -> list[tuple[str, Decimal]]:
    """Every row of the bill's table that has cents, by its words."""
    table = re.search(r'<table class="cost">.*?</table>', text, re.S)
    assert table
    rows = re.findall(r'<th scope="row">(.*?)</th><td class="r[^"]*">(-?)\$([\d,]+\.\d\d)</td>', table[0], re.S)
    return [(re.sub(r"<[^>]+>", "", what), Decimal(sign + amount.replace(",", ""))) for what, sign, amount in rows]


def test_the_outfit_and_the_quote_add_up_on_their_pages(desk) -> None:
    """The lines above a sum, added up by a calculator, are that sum."""
    _, best, row = quoted(desk)
    *lines, (last, total) = amounts(desk.client.get(f"/inquiries/1/outfits/{best.id}").text)
    assert len(lines) > 3 and "Fitted and delivered" in last
    assert sum(amount for _, amount in lines) == total
    shown = amounts(desk.client.get(f"/quotes/{row.number}").text)
    words = [what for what, _ in shown]
    before, whole = words.index("Before tax"), words.index("Total, likely")
    assert sum(amount for _, amount in shown[:before]) == shown[before][1]
    assert sum(amount for _, amount in shown[before:whole]) == shown[whole][1] == total


def test_everything_goes_out_from_the_page(desk) -> None:
    text = desk.client.get("/lists").text
    for address in re.findall(r'href="(/lists/(?:everything|templates)/[^"]+)"', text):
        sent = desk.client.get(address)
        assert sent.status_code == 200, address
        assert sent.headers["content-disposition"].startswith("attachment; filename="), address
        assert sent.content[:2] in (b"PK", b"It", b"{\n"), address
    assert text.count("/lists/everything/") == 4
    assert text.count("/lists/templates/") == 8
    assert desk.client.get("/lists/everything/nothing").status_code == 404
    assert desk.client.get("/lists/templates/nothing.xlsx").status_code == 404
    assert desk.client.get("/lists/templates/parts.exe").status_code == 404


def test_the_workbook_of_the_page_goes_into_an_empty_workspace(desk, bare) -> None:
    data = desk.client.get("/lists/everything/workbook").content
    sent = bare.client.post("/lists", data={"token": bare.token(), "supplier": ""}, files={"file": ("all.xlsx", data)})
    at = sent.headers["location"]
    text = bare.client.get(at).text
    assert "0 changed, 0 the same, 0 waiting for an answer, 0 refused, 0 passed over" in text
    assert bare.post(at, act="take").status_code == 303
    there, here = (one.app.state.desk.workspace for one in (desk, bare))
    assert counter.export(here)["shelf"] == counter.export(there)["shelf"]
