"""Who may go where: every address and verb × every role × nobody, against a table written by hand from the trade."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from handfast.counter import passwords, people
from handfast.counter.verbs import Workspace, newest_change, open_workspace
from handfast.web.app import HOSTS, make_app
from handfast.web.areas import TABLE
from handfast.web.routes import routes

NAME = "quotes.example"
ELSEWHERE = ("192.0.2.10", 40000)
WORDS = "a short sentence does"
LETTERS = {"owner": "O", "sales": "S", "parts": "P", "reader": "R"}

MATRIX = """
GET  /                                                   O S P R
GET  /inquiries/new                                      O S P R
POST /inquiries                                          O S P
GET  /inquiries/{number:int}                             O S P R
POST /inquiries/{number:int}                             O S P
GET  /inquiries/{number:int}/edit                        O S P R
GET  /inquiries/{number:int}/first                       O S P R
POST /inquiries/{number:int}/facts                       O S P
POST /inquiries/{number:int}/state                       O S P
GET  /inquiries/{number:int}/json                        O S P R
GET  /inquiries/{number:int}/measure                     O S P R
POST /inquiries/{number:int}/measure                     O S P
POST /inquiries/{number:int}/measure/{place:int}         O S P
GET  /calls                                              O S P R
POST /calls                                              O S P
POST /inquiries/{number:int}/hold                        O S P
POST /inquiries/{number:int}/resume                      O S P
POST /inquiries/{number:int}/ring-off                    O S P
POST /inquiries/{number:int}/undo                        O S P
POST /inquiries/{number:int}/redo                        O S P
POST /inquiries/{number:int}/cannot-say                  O S P
POST /inquiries/{number:int}/promises                    O S P
POST /promises/{number:int}/done                         O S P
GET  /inquiries/{number:int}/history                     O S P R
GET  /inquiries/{number:int}/questions                   O S P R
POST /inquiries/{number:int}/questions                   O S P
GET  /inquiries/{number:int}/questions.html              O S P R
GET  /inquiries/{number:int}/questions/sheet             O S P R
GET  /a/{secret}                                         O S P R nobody
POST /a/{secret}                                         O S P R nobody
GET  /inquiries/paste                                    O S P R
POST /inquiries/paste                                    O S P
GET  /inquiries/{number:int}/paste                       O S P R
POST /inquiries/{number:int}/paste                       O S P
GET  /inquiries/{number:int}/side-by-side                O S P R
GET  /inquiries/{number:int}/outfits/{outfit}            O S P R
GET  /inquiries/{number:int}/outfits/{outfit}/drawing    O S P R
GET  /inquiries/{number:int}/outfits/{outfit}/depth      O S P R
GET  /inquiries/{number:int}/outfits/{outfit}/json       O S P R
GET  /inquiries/{number:int}/outfits/{outfit}/{kind}.pdf O S P R
POST /inquiries/{number:int}/outfits/{outfit}/quote      O S
GET  /quotes                                             O S P R
GET  /quotes/{number:int}.pdf                            O S P R
GET  /quotes/{number:int}                                O S P R
POST /quotes/{number:int}                                O S
POST /quotes/{number:int}/state                          O S P
GET  /quotes/{number:int}/anew                           O S
POST /quotes/{number:int}/anew                           O S
GET  /a/offer/{secret}                                   O S P R nobody
POST /a/offer/{secret}                                   O S P R nobody
GET  /quotes/{number:int}/{kind}.pdf                     O S P R
GET  /quotes/{number:int}/as-built                       O S P R
POST /quotes/{number:int}/as-built                       O S P
GET  /comebacks                                          O S P R
POST /comebacks                                          O S P
GET  /comebacks/new                                      O S P R
GET  /comebacks/{number:int}                             O S P R
GET  /orders/{number:int}                                O S P R
POST /orders/{number:int}/state                          O S P
POST /quotes/{number:int}/outcome                        O S P
GET  /numbers                                            O S
GET  /calibration                                        O S P R
GET  /shelf/machines/{id}/photo                          O S P R
POST /shelf/machines/{id}/photo                          O S P
POST /shelf/machines/{id}/photo/marks                    O S P
GET  /shelf/machines/{id}/photo/{number:int}             O S P R
GET  /login                                              O S P R nobody
POST /login                                              O S P R nobody
POST /logout                                             O S P R
GET  /me                                                 O S P R
POST /me                                                 O S P R
GET  /people                                             O
POST /people                                             O
POST /people/{number:int}                                O
POST /settings                                           O S P R nobody
GET  /settings                                           O
POST /settings/house                                     O
GET  /shelf                                              O S P R
GET  /shelf/price-book                                   O S
GET  /shelf/prices                                       O S
GET  /shelf/price-book/edit                              O
POST /shelf/price-book/edit                              O
GET  /shelf/{folder}/new                                 O S P
POST /shelf/{folder}/new                                 O S P
GET  /shelf/{folder}/{id}                                O S P R
POST /shelf/{folder}/{id}                                O S P
GET  /shelf/{folder}/{id}/edit                           O S P
POST /shelf/{folder}/{id}/edit                           O S P
GET  /glossary                                           O S P R
GET  /lists                                              O
POST /lists                                              O
GET  /lists/{number:int}                                 O
GET  /lists/everything/{way}                             O
GET  /lists/templates/{kind}.{form}                      O
POST /lists/{number:int}                                 O
GET  /lists/templates/{kind}.{form}                      O
GET  /lists/everything/{way}                             O
GET  /reckoning                                          O S P R
GET  /reckoning/thread                                   O S P R
GET  /reckoning/{chapter}                                O S P R
POST /reckoning/{chapter}                                O S P R
GET  /about                                              O S P R
GET  /api                                                O S P R
GET  /health                                             O S P R
"""
API = """
GET  /api/inquiries                          O S P R
POST /api/inquiries                          O S P
GET  /api/search                             O S P R
GET  /api/inquiries/{number}                 O S P R
PUT  /api/inquiries/{number}                 O S P
PUT  /api/inquiries/{number}/state           O S P
GET  /api/inquiries/{number}/history         O S P R
GET  /api/inquiries/{number}/advice          O S P R
GET  /api/inquiries/{number}/outfits/{outfit} O S P R
POST /api/advise                             O S P R
GET  /api/inquiries/{number}/requests        O S P R
POST /api/inquiries/{number}/requests        O S P
POST /api/inquiries/{number}/quotes          O S
GET  /api/quotes                             O S P R
GET  /api/quotes/{number}                    O S P R
GET  /api/quotes/{number}/versions           O S P R
POST /api/quotes/{number}/versions           O S
PUT  /api/quotes/{number}/state              O S P
POST /api/quotes/{number}/answer             O S
GET  /api/promises                           O S P R
POST /api/inquiries/{number}/promises        O S P
PUT  /api/promises/{number}                  O S P
GET  /api/shelf/price-book                   O S
PUT  /api/shelf/price-book                   O
GET  /api/shelf/price-book/history           O S
GET  /api/shelf/machines                     O S P R
POST /api/shelf/machines                     O S P
GET  /api/shelf/machines/{id}                O S P R
PUT  /api/shelf/machines/{id}                O S P
DELETE /api/shelf/machines/{id}              O S P
POST /api/shelf/machines/{id}/back           O S P
GET  /api/shelf/machines/{id}/history        O S P R
GET  /api/shelf/machines/{id}/used           O S P R
GET  /api/shelf/attachments                  O S P R
POST /api/shelf/attachments                  O S P
GET  /api/shelf/attachments/{id}             O S P R
PUT  /api/shelf/attachments/{id}             O S P
DELETE /api/shelf/attachments/{id}           O S P
POST /api/shelf/attachments/{id}/back        O S P
GET  /api/shelf/attachments/{id}/history     O S P R
GET  /api/shelf/attachments/{id}/used        O S P R
GET  /api/shelf/parts                        O S P R
POST /api/shelf/parts                        O S P
GET  /api/shelf/parts/{id}                   O S P R
PUT  /api/shelf/parts/{id}                   O S P
DELETE /api/shelf/parts/{id}                 O S P
POST /api/shelf/parts/{id}/back              O S P
GET  /api/shelf/parts/{id}/history           O S P R
GET  /api/shelf/parts/{id}/used              O S P R
POST /api/letters/read                       O S P R
POST /api/reckoning/lift                     O S P R
POST /api/reckoning/linkage                  O S P R
POST /api/reckoning/balance                  O S P R
POST /api/reckoning/ballast                  O S P R
POST /api/reckoning/slope                    O S P R
POST /api/reckoning/grip                     O S P R
POST /api/reckoning/circuit                  O S P R
POST /api/reckoning/cable                    O S P R
POST /api/reckoning/connect                  O S P R
POST /api/reckoning/thread                   O S P R
GET  /api/export                             O
GET  /api/archive                            O
GET  /api/health                             O S P R
GET  /api/openapi.json                       O S P R
"""
EXPECTED = {(one[0], one[1]): set(one[2:]) for one in (line.split() for line in MATRIX.strip().splitlines())}
VERBS = {(one[0], one[1]): set(one[2:]) for one in (line.split() for line in API.strip().splitlines())}
ROLES = ("owner", "sales", "parts", "reader", "nobody")


class House:
    """A dealer with one person of each role, each in a browser elsewhere."""

    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self.app = make_app(workspace, (*HOSTS, NAME))
        for role in LETTERS:
            people.add_person(workspace, f"{role} person", role, WORDS)
        self.browsers = {role: self.browser(role) for role in LETTERS} | {"nobody": self.browser("")}

    def browser(self, role: str, client: tuple[str, int] = ELSEWHERE, name: str = NAME) -> TestClient:
        found = TestClient(self.app, base_url=f"http://{name}", follow_redirects=False, client=client)
        if role:
            begun = people.log_in(self.workspace, f"{role} person", WORDS)
            assert begun
            found.cookies.set("handfast_session", begun.secret)
        return found


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))
        yield House(open_workspace(tmp_path_factory.mktemp("doors")))


def address(pattern: str) -> str:
    """An address of a pattern."""
    return re.sub(r"\{\w+:int\}", "1", re.sub(r"\{\w+\}", "x", pattern))


def test_every_route_has_an_area_and_a_row_in_the_matrix() -> None:
    every = {(method, route.path) for route in routes() for method in (route.methods or ("GET",)) if method != "HEAD"}
    programs = {one for one in every if one[1].startswith("/api/")}
    assert programs - {("GET", "/api/{rest:path}")} == set(VERBS), "put these into the second matrix, by hand"
    there = every - programs
    assert there - set(TABLE) == set(), "put these into web/areas.py"
    assert set(TABLE) - there == set(), "web/areas.py names what is not there"
    assert there == set(EXPECTED), "put these into the matrix above, by hand"


def test_the_matrix(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behind each door stands a plain answer, so that only the doors are tried: all of them, and all verbs."""
    for route in house.app.routes:
        if isinstance(route, Route):
            monkeypatch.setattr(route, "app", PlainTextResponse("let in"))
    wrong = []
    for method, pattern in EXPECTED:
        may = EXPECTED[method, pattern]
        for role in ROLES:
            for verb in (method, "HEAD") if method == "GET" else (method,):
                answer = house.browsers[role].request(verb, address(pattern))
                wanted = 200 if LETTERS.get(role, role) in may else 303 if role == "nobody" else 403
                if answer.status_code != wanted:
                    wrong.append((role, verb, pattern, answer.status_code, wanted))
                if wanted == 303 and not answer.headers["location"].startswith("/login"):
                    wrong.append((role, verb, pattern, answer.headers["location"]))
                if wanted == 403 and verb == method and "Who may" not in answer.text:
                    wrong.append((role, verb, pattern, "does not say who may"))
    assert wrong == []


def test_the_matrix_of_programs(house: House) -> None:
    """Every verb with the token of each role, with a wrong one, and with none, from elsewhere."""
    wrong, tokens = [], {role: people.new_token(house.workspace, at, "all")[0] for at, role in enumerate(LETTERS, 1)}
    nobody = house.browsers["nobody"]
    for (method, pattern), may in VERBS.items():
        for role in ROLES:
            told = {"authorization": f"Bearer {tokens[role]}"} if role in tokens else {}
            answer = nobody.request(method, address(pattern), headers=told)
            refused = answer.status_code in (401, 403)
            if refused != (LETTERS.get(role) not in may) or (
                refused and answer.status_code != 401 and role == "nobody"
            ):
                wrong.append((role, method, pattern, answer.status_code))
        bad = ("Bearer hf_" + "x" * 43, "Bearer", "Basic eDp5", "")
        asked = [nobody.request(method, address(pattern), headers={"authorization": one}).status_code for one in bad]
        if asked != [401] * len(bad):
            wrong.append((asked, method, pattern))
        if house.browsers["owner"].request(method, address(pattern)).status_code != 401:
            wrong.append(("a session", method, pattern))
    assert wrong == []


def test_what_is_refused_changes_nothing_even_with_a_good_token(house: House) -> None:
    reader, before = house.browsers["reader"], newest_change(house.workspace)
    found = re.search(r'name="token" value="([^"]+)"', reader.get("/about").text)
    assert found
    fields = {
        "token": found[1],
        "toml": 'title = "x"\n',
        "name": "Eve",
        "role": "owner",
        "password": WORDS,
        "act": "back",
    }
    for method, pattern in EXPECTED:
        if method == "POST" and "R" not in EXPECTED[method, pattern]:
            assert reader.post(address(pattern), data=fields).status_code == 403, pattern
            assert house.browsers["nobody"].post(address(pattern), data=fields).status_code == 303, pattern
    assert newest_change(house.workspace) == before


def test_an_address_that_is_not_there_tells_nobody(house: House) -> None:
    nobody, reader = house.browsers["nobody"], house.browsers["reader"]
    for path in ("/nothing", "/people/../quotes", "/Shelf", "//shelf", "/inquiries/1/", "/inquiries/x"):
        assert nobody.get(path).status_code in (303, 400), path
    assert reader.get("/nothing").status_code == 404
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        assert nobody.request(method, "/people").status_code == 303
        assert reader.request(method, "/people").status_code in (403, 405)


def test_the_login_leads_back_to_where_one_was_going(house: House) -> None:
    answer = house.browsers["nobody"].get("/shelf?find=oak&only=parts")
    assert answer.headers["location"] == "/login?next=/shelf%3Ffind%3Doak%26only%3Dparts"
    part = house.browsers["nobody"].get("/", headers={"hx-request": "true"})
    assert (part.status_code, part.headers["hx-redirect"]) == (401, "/login")


def test_a_program_is_told_in_its_own_way(house: House) -> None:
    nobody = house.browsers["nobody"]
    for headers in ({}, {"authorization": "Bearer hf_nothing"}, {"authorization": "Basic b3duZXI6eA=="}):
        answer = nobody.get("/api/nothing", headers=headers)
        assert answer.status_code == 401
        assert answer.headers["www-authenticate"].startswith("Bearer")
    assert house.browsers["owner"].get("/api/nothing").status_code == 401  # a browser's session is no token
    here = house.browser("", ("127.0.0.1", 1), "127.0.0.1")
    assert here.get("/api/nothing", headers={"authorization": "Bearer hf_nothing"}).status_code == 401
    token, _ = people.new_token(house.workspace, 4, "list")
    assert nobody.get("/api/nothing", headers={"authorization": f"Bearer {token}"}).status_code == 404
    assert nobody.get("/shelf", headers={"authorization": f"Bearer {token}"}).status_code == 303  # pages take none


FAKED = {
    "a plain one": ({}, True),
    "through a go-between": ({"x-forwarded-for": "127.0.0.1"}, False),
    "through one that speaks of itself": ({"forwarded": "for=127.0.0.1"}, False),
    "with a real address": ({"x-real-ip": "127.0.0.1"}, False),
    "with another header of that kind": ({"x-forwarded-anything": "1"}, False),
    "via": ({"via": "1.1 someone"}, False),
    "asked under another name": ({"host": NAME}, False),
    "asked under a name that looks like ours": ({"host": "127.0.0.1.example"}, None),
    "sent by a page elsewhere": ({"origin": "https://dealer.example"}, False),
    "shown as a page elsewhere": ({"referer": "https://dealer.example/shelf"}, False),
    "a link followed from elsewhere": ({"referer": "https://mail.example/", "sec-fetch-site": "cross-site"}, True),
    "our own page": ({"referer": "http://127.0.0.1/shelf", "origin": "http://127.0.0.1"}, True),
}


@pytest.mark.parametrize("how", FAKED)
def test_here_is_not_faked(house: House, how: str) -> None:
    headers, let_in = FAKED[how]
    answer = house.browser("", ("127.0.0.1", 50000), "127.0.0.1").get("/people", headers=headers)
    assert answer.status_code == {True: 200, False: 303, None: 400}[let_in]


@pytest.mark.parametrize(
    "client", ["192.0.2.10", "10.0.0.1", "::2", "::ffff:192.0.2.10", "localhost", "testclient", ""]
)
def test_an_address_elsewhere_is_never_here(house: House, client: str) -> None:
    for headers in ({}, {"x-forwarded-for": "127.0.0.1"}, {"forwarded": "for=localhost"}):
        answer = house.browser("", (client, 1), "127.0.0.1").get("/people", headers=headers)
        assert answer.status_code == 303


@pytest.mark.parametrize("client", ["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1"])
def test_this_machine_is_here(house: House, client: str) -> None:
    assert house.browser("", (client, 1), "localhost").get("/people").status_code == 200


def test_the_server_takes_no_address_from_a_header(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The server's own habit of believing X-Forwarded-For of a go-between on this machine is switched off."""
    import uvicorn

    from handfast.cli import serving

    told = {}
    monkeypatch.setattr(uvicorn, "Config", lambda app, **given: told.update(given))
    monkeypatch.setattr(uvicorn, "Server", lambda _config: type("Server", (), {"run": lambda self, sockets: None})())
    monkeypatch.setenv("HANDFAST_PORT", "0")
    serving.serve_pages(open_workspace(tmp_path))
    assert told["proxy_headers"] is False
