"""Pages that are handed out again: never older than what is stored, each browser with its own token."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor

from starlette.testclient import TestClient

from handfast.counter import verbs as counter
from handfast.web import pages_inquiry
from handfast.web.app import make_app
from handfast.web.kept import KEPT, Drawn, Sheet

TOKEN = re.compile(r'name="token" value="([^"]+)"')


def counting(monkeypatch) -> list[str]:
    """How often the list of inquiries is really drawn."""
    drawn: list[str] = []
    plain = pages_inquiry.inquiries_page

    async def page(request):
        drawn.append(str(request.url))
        return await plain(request)

    monkeypatch.setattr(pages_inquiry, "inquiries_page", page)
    return drawn


def browser(app) -> TestClient:
    return TestClient(app, base_url="http://127.0.0.1", follow_redirects=False)


def test_a_page_is_drawn_once_until_something_is_written(desk, monkeypatch) -> None:
    drawn = counting(monkeypatch)
    app = make_app(desk.app.state.desk.workspace)
    client = browser(app)
    first, second = client.get("/").text, client.get("/").text
    assert first == second and len(drawn) == 1
    number = counter.new_inquiry(desk.app.state.desk.workspace, 'title = "Larch for Quoin Bank"')
    assert "Larch for Quoin Bank" in client.get("/").text and len(drawn) == 2
    counter.change_state(desk.app.state.desk.workspace, number, "closed")
    client.get("/")
    assert len(drawn) == 3


def test_every_browser_gets_its_own_token_and_it_is_good(desk, monkeypatch) -> None:
    drawn = counting(monkeypatch)
    app = make_app(desk.app.state.desk.workspace)
    one, other = browser(app), browser(app)
    tokens = [TOKEN.search(client.get("/").text) for client in (one, other, one)]
    assert len(drawn) == 1 and all(tokens)
    mine, theirs, again = (token[1] for token in tokens if token)
    assert mine == again != theirs
    took = {client: client.post("/settings", data={"token": token, "units": "metric"}).status_code
            for client, token in ((one, mine), (other, theirs))}  # fmt: skip
    assert set(took.values()) == {303}
    assert browser(app).post("/settings", data={"token": mine, "units": "metric"}).status_code == 403


def test_what_a_page_turns_on_is_never_mixed_up(desk) -> None:
    client = browser(make_app(desk.app.state.desk.workspace))
    us = client.get("/shelf/machines/thimble-24").text
    client.cookies.set("units", "metric")
    metric = client.get("/shelf/machines/thimble-24").text
    assert " lb" in us and " kg" in metric and us != metric
    client.cookies.set("units", "us")
    assert client.get("/shelf/machines/thimble-24").text == us
    assert client.get("/?as=text").text != client.get("/inquiries/new?as=text").text


def test_refusals_are_not_kept(desk) -> None:
    app = make_app(desk.app.state.desk.workspace)
    client = browser(app)
    assert client.get("/inquiries/999").status_code == client.get("/inquiries/999").status_code == 404
    assert not any("999" in look[0] for look in app.state.desk.drawn.sheets)


def test_many_who_ask_at_once_wait_for_one_drawing(desk, monkeypatch) -> None:
    drawn = counting(monkeypatch)
    with TestClient(make_app(desk.app.state.desk.workspace), base_url="http://127.0.0.1") as client, \
            ThreadPoolExecutor(8) as many:  # fmt: skip
        texts = {answer.status_code for answer in many.map(lambda _: client.get("/"), range(16))}
    assert texts == {200} and len(drawn) == 1


def test_the_oldest_page_goes_first() -> None:
    drawn = Drawn()
    for number in range(KEPT + 3):
        drawn.keep((str(number),), Sheet(0, 0.0, b"", ()))
    assert len(drawn.sheets) == KEPT and ("2",) not in drawn.sheets and ("3",) in drawn.sheets
