"""The pages of quotes: list by state, versions, answers, and the customer's page behind a private link."""

from __future__ import annotations

import html
import json
import re

import pytest
from starlette.testclient import TestClient

from handfast.counter import answering, quoting
from handfast.counter import verbs as counter
from handfast.counter.offering import Said, Wanted
from handfast.web.pages_questions import OUTSIDE

AWAY = "https://offers.quernwater.example"
LOW, HIGH = 1, 5  # invented calls: with nothing behind the rear axle bears less than a fifth, and more


def workspace(desk):
    return desk.app.state.desk.workspace


def quoted(desk, inquiry: int = HIGH, ways: int = 1, customer: str = "") -> int:
    ids = [one.id for one in counter.answer(workspace(desk), inquiry).outfits[:ways]]
    names = ("Good", "Better", "Best") if ways > 1 else ("",)
    wanted = [Wanted(one, name) for one, name in zip(ids, names, strict=False)]
    return counter.offer(workspace(desk), inquiry, wanted, said=Said(customer=customer)).number


def do(desk, number: int, act: str, **fields: str):
    version = str(quoting.quote_at(workspace(desk), number).version)
    end = "/state" if fields.get("to") in ("ordered", "delivered", "returned") else ""
    return desk.post(f"/quotes/{number}{end}", act=act, **{"version": version, **fields})


def link_to(desk, number: int, monkeypatch) -> tuple[TestClient, str]:
    monkeypatch.setenv(OUTSIDE, AWAY)
    do(desk, number, "move", to="sent")
    told = do(desk, number, "link").text
    found = re.search(rf'value="{AWAY}(/a/offer/[^"]+)"', told)
    assert found, told[:300]
    return TestClient(desk.app, base_url=AWAY, follow_redirects=False), found[1]


def shown_in(text: str) -> dict[str, str]:
    return dict(re.findall(r'<input type="hidden" name="(shown|version)" value="([^"]+)"', text))


# -------------------- list and page


def test_the_list_is_by_state_and_finds_customers(desk) -> None:
    first, second = quoted(desk, customer="Tobiah Fennimoor"), quoted(desk, customer="Ada <b>Quill</b>")
    do(desk, second, "move", to="sent")
    every = desk.client.get("/quotes").text
    assert "Tobiah Fennimoor" in every and "Ada &lt;b&gt;Quill&lt;/b&gt;" in every
    sent = desk.client.get("/quotes?state=sent").text
    assert f'"/quotes/{second}"' in sent and f'"/quotes/{first}"' not in sent
    found = desk.client.get("/quotes?find=fennimoor").text
    assert f'"/quotes/{first}"' in found and f'"/quotes/{second}"' not in found
    assert "No quote answers to that" in desk.client.get("/quotes?find=nobody").text


def test_made_anew_on_its_page_with_the_difference_shown(desk) -> None:
    number = quoted(desk)
    form = desk.client.get(f"/quotes/{number}/anew").text
    assert "Way 3" in form and "Not included, one a line" in form
    ids = [one.id for one in counter.answer(workspace(desk), HIGH).outfits[:3]]
    fields = {"outfit-1": ids[0], "name-1": "Good", "outfit-2": ids[1], "name-2": "Better", "customer": "T. Fennimoor"}
    done = desk.post(f"/quotes/{number}/anew", version="1", not_included="Paint.\n\nRust.", note="two ways", **fields)
    assert done.status_code == 303
    text = html.unescape(desk.client.get(f"/quotes/{number}").text)
    assert "Two ways to do it" in text and "Way 1: Good" in text and "Against version 1" in text
    assert "two ways" in text and "Paint." in text
    old = desk.client.get(f"/quotes/{number}?version=1").text
    assert "An older version, as it was." in old and "Two ways to do it" not in re.sub("<h1>.*?</h1>", "", old)[:3000]
    for version in (1, 2):
        assert desk.client.get(f"/quotes/{number}.pdf?version={version}").content.startswith(b"%PDF")
    stale = desk.post(f"/quotes/{number}/anew", version="1", **fields)
    assert stale.status_code == 422 and "meanwhile" in stale.text and "T. Fennimoor" in stale.text
    same = desk.post(f"/quotes/{number}/anew", version="2", **{"outfit-1": ids[0], "outfit-2": ids[0]})
    assert same.status_code == 422


def test_illegal_moves_are_refused_with_a_sentence(desk) -> None:
    number = quoted(desk)
    refused = do(desk, number, "move", to="ordered")
    assert refused.status_code == 422
    assert "is a draft; from there it can be sent or withdrawn, not ordered." in refused.text
    assert do(desk, number, "move", to="sent").status_code == 303
    assert desk.post(f"/quotes/{number}", act="move", to="sent", version="9").status_code == 422
    assert do(desk, number, "fly").status_code == 422
    assert desk.client.post(f"/quotes/{number}", data={"act": "move", "to": "withdrawn"}).status_code == 403


def test_parts_only_on_page_and_paper_until_confirmed(desk) -> None:
    number = quoted(desk, LOW)
    do(desk, number, "ballast", ballast="declined", by="T. Fennimoor", taken_by="Ada Quill")
    text = desk.client.get(f"/quotes/{number}").text
    assert "Second person of the house" in text and "no fitting, no fit statement" in text
    assert do(desk, number, "move", to="sent").status_code == 422
    assert do(desk, number, "confirm", second="Ada Quill").status_code == 422
    assert do(desk, number, "confirm", second="Ben Garth").status_code == 303
    assert "Ben Garth" in desk.client.get(f"/quotes/{number}").text
    assert do(desk, number, "move", to="sent").status_code == 303


def test_a_pasted_reply_is_read_then_taken(desk) -> None:
    number = quoted(desk)
    do(desk, number, "move", to="sent")
    page = html.unescape(desk.client.get(f"/quotes/{number}").text)
    line = re.search(r"I accept quote .*________", page)
    assert line
    wrong = do(desk, number, "read", pasted="I accept quote 99 version 1, name T. F.")
    assert wrong.status_code == 422 and f"It is about quote 99, not {number}." in wrong.text
    reply = line[0].replace("________", "Tobiah Fennimoor")
    read = do(desk, number, "read", pasted=reply)
    assert "It says" in read.text and quoting.quote_at(workspace(desk), number).state == "sent"
    assert do(desk, number, "reply", pasted=reply).status_code == 303
    kept = answering.answers_to(workspace(desk), number)[0]
    assert (kept.how, kept.name, kept.became) == ("reply", "Tobiah Fennimoor", "accepted")
    assert "reply in writing" in desk.client.get(f"/quotes/{number}").text
    assert desk.client.get(f"/quotes/{number}.pdf").content.startswith(b"%PDF")


def test_the_message_is_in_the_units_that_are_set(desk) -> None:
    number = quoted(desk)
    for units, mass in (("us", " lb"), ("metric", " kg")):
        desk.client.cookies.set("units", units)
        text = desk.client.get(f"/quotes/{number}").text
        message = text.split('<textarea id="message"', 1)[1].split("</textarea>")[0]
        assert mass in message and "<" not in message.split(">", 1)[1]


# -------------------- the customer's page


def test_a_customer_accepts_by_link_without_script(desk, monkeypatch) -> None:
    number = quoted(desk)
    away, path = link_to(desk, number, monkeypatch)
    page = away.get(path)
    assert page.status_code == 200 and "<script" not in page.text and page.headers["referrer-policy"] == "no-referrer"
    assert "noindex" in page.headers["x-robots-tag"] and page.headers["cache-control"] == "no-store"
    fields = {**shown_in(page.text), "opts": "yes", "o-1-carriage": "yes", "o-1-fitting": "yes"}
    half = away.post(path, data={**fields, "became": "accepted", "name": "T. F."})
    assert half.status_code == 422 and "Say whether the weight behind" in half.text
    named = {**fields, "ballast": "accepted", "name": "Tobiah Fennimoor", "became": "accepted"}
    assert away.post(path, data=named).status_code == 303
    kept = answering.answers_to(workspace(desk), number)[0]
    assert (kept.how, kept.who, kept.name) == ("link", "customer", "Tobiah Fennimoor")
    assert "This is what was shown." in away.get(path).text
    assert counter.inquiry(workspace(desk), HIGH).state == "ordered"
    assert "private link" in desk.client.get(f"/quotes/{number}").text
    assert away.post(path, data=named).status_code == 422


def test_a_choice_that_changes_the_figures_is_shown_before_it_counts(desk, monkeypatch) -> None:
    number = quoted(desk)
    away, path = link_to(desk, number, monkeypatch)
    first = away.get(path).text
    without = {**shown_in(first), "opts": "yes", "o-1-carriage": "yes", "ballast": "accepted", "name": "T. F."}
    looked = away.post(path, data={**without, "became": "accepted"})
    assert "These are the figures for what you chose" in looked.text and "Fitting: the owner does it." in looked.text
    assert quoting.quote_at(workspace(desk), number).state == "sent"
    assert away.post(path, data={**without, **shown_in(looked.text), "became": "accepted"}).status_code == 303
    shown = json.loads(answering.answers_to(workspace(desk), number)[0].shown)["shown"]
    total = re.search(r"Total, likely: (\$[\d,.]+\d)\.", looked.text)
    assert total and shown["ways"][0]["total"] == total[1]


def test_a_customer_chooses_one_of_three_ways(desk, monkeypatch) -> None:
    number = quoted(desk, ways=3)
    away, path = link_to(desk, number, monkeypatch)
    page = away.get(path).text
    assert page.count('name="way"') == 3
    ticks = {f"o-{k}-{one}": "yes" for k in (1, 2, 3) for one in ("fitting", "carriage")}
    given = {**shown_in(page), **ticks, "opts": "yes", "way": "2", "ballast": "accepted", "name": "T. F."}
    looked = away.post(path, data={**given, "became": "accepted"})
    if looked.status_code == 200:
        looked = away.post(path, data={**given, **shown_in(looked.text), "became": "accepted"})
    assert looked.status_code == 303
    second = counter.answer(workspace(desk), HIGH).outfits[1].id
    assert quoting.quote_at(workspace(desk), number).outfit == second
    assert desk.client.get(f"/quotes/{number}/parts-order.pdf").content.startswith(b"%PDF")


def test_a_customer_who_declines_the_weight_gets_parts_only_from_the_dealer_first(desk, monkeypatch) -> None:
    number = quoted(desk, LOW)
    away, path = link_to(desk, number, monkeypatch)
    given = {**shown_in(away.get(path).text), "opts": "yes", "o-1-fitting": "yes", "o-1-carriage": "yes"}
    given |= {"ballast": "declined", "name": "T. F.", "became": "accepted"}
    looked = away.post(path, data=given)
    assert "Parts only" in looked.text
    told = away.post(path, data={**given, **shown_in(looked.text)})
    assert told.status_code == 200 and "nothing is ordered yet" in told.text
    row = quoting.quote_at(workspace(desk), number)
    assert (row.version, row.state) == (2, "draft") and quoting.is_parts_only(row)
    assert away.get(path).status_code == 404


def test_a_customer_declines(desk, monkeypatch) -> None:
    number = quoted(desk)
    away, path = link_to(desk, number, monkeypatch)
    done = away.post(path, data={**shown_in(away.get(path).text), "became": "declined", "name": "T. F."})
    assert done.status_code == 303 and quoting.quote_at(workspace(desk), number).state == "declined"
    assert counter.inquiry(workspace(desk), HIGH).state == "closed"


def test_a_link_tells_nothing_but_its_offer(desk, monkeypatch) -> None:
    other = quoted(desk, LOW, customer="Somebody Else")
    number = quoted(desk, customer="Tobiah Fennimoor")
    away, path = link_to(desk, number, monkeypatch)
    text = away.get(path).text.casefold()
    for word in (
        "margin",
        "markup",
        "our cost",
        "somebody else",
        "supplier",
        f"quote {other}<",
        "/inquiries",
    ):
        assert word not in text, word
    for inside in ("/", f"/quotes/{number}", f"/quotes/{number}.pdf", "/shelf"):
        assert away.get(inside).status_code == 400
    link = answering.links_of(workspace(desk), number)[0]
    assert do(desk, number, "close", link=str(link.number)).status_code == 303
    closed = away.get(path)
    assert closed.status_code == 404 and "This link is closed" in closed.text
    assert away.post(path, data={"became": "accepted", "name": "T. F."}).status_code == 404


def test_without_an_outside_address_no_link_is_made(desk, monkeypatch) -> None:
    monkeypatch.delenv(OUTSIDE, raising=False)
    number = quoted(desk)
    do(desk, number, "move", to="sent")
    assert "No outside address is set" in desk.client.get(f"/quotes/{number}").text
    assert do(desk, number, "link").status_code == 422


@pytest.mark.parametrize("fields", [{"way": "9"}, {"way": "-1"}, {"way": "²"}, {"version": "x"}, {"o-1-x": "yes"}])
def test_odd_fields_are_no_error(desk, monkeypatch, fields) -> None:
    number = quoted(desk, ways=2)
    away, path = link_to(desk, number, monkeypatch)
    given = {"became": "accepted", "opts": "yes", "name": "T. F.", **fields}
    assert away.post(path, data=given).status_code in (200, 422)
