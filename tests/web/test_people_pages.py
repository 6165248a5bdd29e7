"""Logging in and out, the forms' tokens, guessing slowed, the people's page, and names in the histories."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from httpx import Response
from starlette.testclient import TestClient

from handfast.counter import calls, passwords, people
from handfast.counter import verbs as counter
from handfast.counter.guesses import FREE, KEPT, Guesses, delay
from handfast.counter.verbs import Workspace, open_workspace
from handfast.web.app import HOSTS, make_app

NAME, ELSEWHERE = "quotes.example", ("192.0.2.10", 40000)
WORDS, OTHER = "a short sentence does", "another sentence does"
COOKIE = "handfast_session"


class Browser:
    """A browser that keeps its cookies and sends the token of the form it was shown."""

    def __init__(self, app, client=ELSEWHERE, name: str = NAME, scheme: str = "http") -> None:
        self.client = TestClient(app, base_url=f"{scheme}://{name}", follow_redirects=False, client=client)

    def token(self, at: str = "/login") -> str:
        found = re.search(r'name="token" value="([^"]+)"', self.client.get(at).text)
        assert found, at
        return found[1]

    def post(self, path: str, seen: str = "/login", **fields: str) -> Response:
        return self.client.post(path, data={"token": self.token(seen), **fields})

    def log_in(self, name: str = "Ada Rowan", password: str = WORDS, **more: str) -> Response:
        return self.post("/login", name=name, password=password, **more)


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


class House:
    def __init__(self, workspace: Workspace) -> None:
        self.workspace, self.app, self.clock = workspace, make_app(workspace, (*HOSTS, NAME)), Clock()
        self.app.state.desk.guesses.clock = self.clock
        for name, role in (("Ada Rowan", "owner"), ("Ben Alder", "sales"), ("Eve Sorrel", "reader")):
            people.add_person(workspace, name, role, WORDS)

    def browser(self, *given: object, **named: object) -> Browser:
        return Browser(self.app, *given, **named)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[House]:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))
    yield House(open_workspace(tmp_path))


# -------------------- in and out


def test_in_and_out(house: House) -> None:
    browser = house.browser()
    answer = browser.log_in(next="/shelf?find=oak")
    assert (answer.status_code, answer.headers["location"]) == (303, "/shelf?find=oak")
    page = browser.client.get("/")
    assert page.status_code == 200
    assert "Ada Rowan" in page.text
    secret = browser.client.cookies[COOKIE]
    out = browser.post("/logout", "/about")
    assert out.headers["location"] == "/login"
    assert COOKIE not in browser.client.cookies
    browser.client.cookies.set(COOKIE, secret)  # kept by somebody: it opens nothing any more
    assert browser.client.get("/").status_code == 303


@pytest.mark.parametrize("scheme", ["http", "https"])
def test_the_cookies_flags(house: House, scheme: str) -> None:
    """HttpOnly, SameSite, Path=/; Secure with the __Host- prefix (RFC 6265bis, 4.1.3.2) where the way is encrypted."""
    line = next(one for one in house.browser(scheme=scheme).log_in().headers.get_list("set-cookie") if "session" in one)
    flags = {part.strip().lower() for part in line.split(";")[1:]}
    assert {"httponly", "samesite=lax", "path=/"} <= flags
    assert not any(one.startswith("domain") for one in flags)
    assert ("secure" in flags, line.startswith("__Host-")) == ((True, True) if scheme == "https" else (False, False))


def test_behind_one_who_encrypts_the_cookie_is_secure_too(house: House) -> None:
    browser = house.browser()
    browser.client.headers["x-forwarded-proto"] = "https"
    line = next(one for one in browser.log_in().headers.get_list("set-cookie") if "session" in one)
    assert "Secure" in line
    assert line.startswith("__Host-")


def test_the_headers_of_the_login_page(house: House) -> None:
    headers = house.browser().client.get("/login").headers
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert "form-action 'self'" in headers["content-security-policy"]
    assert (headers["x-content-type-options"], headers["x-frame-options"]) == ("nosniff", "DENY")
    assert headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "where", ["//evil.example", "https://evil.example", "/\\evil.example", "\\\\evil", "javascript:x", "/\n/x"]
)
def test_the_login_leads_to_no_other_site(house: House, where: str) -> None:
    assert house.browser().log_in(next=where).headers["location"] == "/"


def test_the_answer_does_not_tell_who_works_here(house: House) -> None:
    told = set()
    for name in ("Ada Rowan", "Nobody Known"):
        answer = house.browser().log_in(name, OTHER)
        token = re.compile(r'name="token" value="[^"]+"')
        told.add((answer.status_code, token.sub("", answer.text).replace(name, "")))
    assert len(told) == 1
    assert told.pop()[0] == 422


def test_no_fixation(house: House) -> None:
    """A secret that was there before is never the session's: the login gives a new one and ends the old."""
    browser = house.browser()
    browser.client.cookies.set(COOKIE, "x" * 43)
    browser.log_in()
    first = [one.value for one in browser.client.cookies.jar if one.name == COOKIE]
    assert "x" * 43 not in [one for one in first if people.person_of_session(house.workspace, str(one))]
    assert people.person_of_session(house.workspace, "x" * 43) is None
    other = house.browser()
    other.log_in("Ben Alder")
    before = other.client.cookies[COOKIE]
    other.post("/login", "/login", name="Ada Rowan", password=WORDS)
    assert other.client.cookies[COOKIE] != before
    assert people.person_of_session(house.workspace, before) is None


def test_two_secrets_at_once_are_none(house: House) -> None:
    browser = house.browser()
    browser.log_in()
    secret = browser.client.cookies[COOKIE]
    fresh = house.browser().client
    assert fresh.get("/", headers={"cookie": f"{COOKIE}={secret}"}).status_code == 200
    assert fresh.get("/", headers={"cookie": f"{COOKIE}={secret}; {COOKIE}=y"}).status_code == 303


# -------------------- tokens of forms


def test_forms_take_only_their_own_sessions_token(house: House) -> None:
    ada, ben = house.browser(), house.browser()
    before = ada.token()
    ada.log_in()
    ben.log_in("Ben Alder")
    fields = {"toml": 'title = "x"\n'}
    wrong = {
        "none": None, "empty": "", "torn": ada.token("/about")[:-2], "of before the login": before,
        "of another session": ben.token("/about"), "made up": "x.y",
    }  # fmt: skip
    for what, token in wrong.items():
        data = fields if token is None else {"token": token, **fields}
        assert ada.client.post("/inquiries", data=data).status_code == 403, what
    assert counter.inquiries(house.workspace) == []
    assert ada.client.post("/inquiries", data={"token": ada.token("/about"), **fields}).status_code == 303


def test_a_token_dies_with_its_session(house: House) -> None:
    browser = house.browser()
    browser.log_in()
    old = browser.token("/about")
    browser.post("/logout", "/about")
    browser.log_in()
    answer = browser.client.post("/inquiries", data={"token": old, "toml": 'title = "x"\n'})
    assert answer.status_code == 403


def test_kept_pages_are_no_ones_elses(house: House) -> None:
    """A page drawn for one is never handed to another with the first one's name or token."""
    ada, eve = house.browser(), house.browser()
    ada.log_in()
    eve.log_in("Eve Sorrel")
    for _ in range(2):
        mine, hers = ada.client.get("/shelf").text, eve.client.get("/shelf").text
        assert "Ada Rowan" in mine
        assert "Ada Rowan" not in hers
        assert 'action="/calls" class="newcall"' in mine
        assert 'action="/calls" class="newcall"' not in hers
        assert eve.token("/shelf") != ada.token("/shelf")


# -------------------- guessing


def test_guessing_waits_twice_as_long_each_time(house: House) -> None:
    browser, clock, waits = house.browser(), house.clock, []
    for _ in range(FREE):
        assert browser.log_in(password=OTHER).status_code == 422
    for _ in range(6):
        answer = browser.log_in()  # even the right one waits
        assert answer.status_code == 429
        waits.append(int(answer.headers["retry-after"]))
        clock.now += waits[-1]
        assert browser.log_in(password=OTHER).status_code == 422
    assert waits == [1, 2, 4, 8, 16, 32]
    clock.now += 64
    assert browser.log_in().status_code == 303
    assert house.browser().log_in().status_code == 303  # forgiven


def test_guesses_are_counted_by_name_and_by_address(house: House) -> None:
    for at in range(FREE):
        assert house.browser((f"192.0.2.{at + 20}", 1)).log_in(password=OTHER).status_code == 422
    assert house.browser(("192.0.2.99", 1)).log_in(" ada  ROWAN ").status_code == 429  # by name, from anywhere
    assert house.browser(("192.0.2.99", 1)).log_in("Ben Alder").status_code == 303
    for at in range(FREE):
        assert house.browser(("198.51.100.7", 9)).log_in(f"nobody {at}").status_code == 422
    assert house.browser(("198.51.100.7", 1)).log_in("Eve Sorrel").status_code == 429  # by address, for any name
    for at in range(FREE):
        assert house.browser((f"2001:db8:0:1::{at}", 9)).log_in(f"none {at}").status_code == 422
    assert house.browser(("2001:db8:0:1:ffff::9", 1)).log_in("Eve Sorrel").status_code == 429  # the same network
    assert house.browser(("2001:db8:0:2::9", 1)).log_in("Eve Sorrel").status_code == 303


def test_a_wait_is_no_guess_and_many_at_once_are_no_way_round() -> None:
    clock = Clock()
    guesses = Guesses(clock)
    let_in = [guesses.begin(("name a",)) == 0.0 for _ in range(100)]
    assert let_in.count(True) == FREE
    clock.now += delay(FREE)
    assert guesses.begin(("name a",)) == 0.0  # the 97 that waited have not made it longer
    assert guesses.begin(("name a",)) == delay(FREE + 1)


def test_guesses_take_bounded_memory() -> None:
    clock = Clock()
    guesses = Guesses(clock)
    for at in range(3 * KEPT):
        guesses.begin((f"name {at}", f"from {at}"))
    assert len(guesses.wrong) <= KEPT
    assert delay(10**6) == delay(100) == 900.0


def test_the_old_password_is_guessed_as_slowly(house: House) -> None:
    browser = house.browser()
    browser.log_in("Ben Alder")
    for _ in range(FREE):
        assert browser.post("/me", "/me", old=OTHER, new=OTHER, again=OTHER).status_code == 422
    assert browser.post("/me", "/me", old=WORDS, new=OTHER, again=OTHER).status_code == 429


# -------------------- people


def test_the_owner_adds_changes_and_retires(house: House) -> None:
    ada = house.browser()
    ada.log_in()
    assert ada.post("/people", "/people", name="Cy Elder", role="parts", password=WORDS).status_code == 303
    assert "Cy Elder" in ada.client.get("/people").text
    assert ada.post("/people/4", "/people", act="role", role="reader").status_code == 303
    cy = house.browser()
    assert cy.log_in("Cy Elder").status_code == 303
    assert cy.client.get("/people").status_code == 403
    assert ada.post("/people/4", "/people", act="password", password=OTHER).status_code == 303
    assert cy.client.get("/").status_code == 303  # logged out by it
    assert cy.log_in("Cy Elder", OTHER).status_code == 303
    assert ada.post("/people/4", "/people", act="retire").status_code == 303
    assert cy.client.get("/").status_code == 303
    assert cy.log_in("Cy Elder", OTHER).status_code == 422
    bad = {"act": "role", "role": "king"}, {"act": "password", "password": "short"}, {"act": "nothing"}
    assert [ada.post("/people/2", "/people", **one).status_code for one in bad] == [422, 422, 422]
    only = ada.post("/people/1", "/people", act="retire")
    assert (only.status_code, "only owner" in only.text) == (422, True)


def test_a_token_is_shown_once(house: House) -> None:
    ada = house.browser()
    ada.log_in()
    made = ada.post("/people/2", "/people", act="token", name="stock list")
    found = re.search(r"hf_[\w-]{43}", made.text)
    assert found
    assert people.person_of_token(house.workspace, found[0])
    page = ada.client.get("/people").text
    assert "stock list" in page
    assert found[0] not in page
    number = people.tokens(house.workspace)[0].number
    assert ada.post("/people/2", "/people", act="withdraw", token_number=f"{number}").status_code == 303
    assert people.person_of_token(house.workspace, found[0]) is None


def test_ones_own_password(house: House) -> None:
    ben, elsewhere = house.browser(), house.browser()
    ben.log_in("Ben Alder")
    elsewhere.log_in("Ben Alder")
    for old, new, again in ((OTHER, OTHER, OTHER), (WORDS, OTHER, WORDS), (WORDS, "short", "short")):
        assert ben.post("/me", "/me", old=old, new=new, again=again).status_code == 422
    assert ben.post("/me", "/me", old=WORDS, new=OTHER, again=OTHER).status_code == 200
    assert ben.client.get("/me").status_code == 200
    assert elsewhere.client.get("/me").status_code == 303
    assert house.browser().log_in("Ben Alder", OTHER).status_code == 303


def test_here_one_needs_no_login_unless_the_owner_says_so(house: House) -> None:
    here = house.browser(("127.0.0.1", 1), "127.0.0.1")
    assert here.client.get("/people").status_code == 200
    form = here.client.get("/settings").text
    fields = dict(re.findall(r'name="(version|book)" value="(\d+)"', form))
    sent = {"units:": "us", "ballast_share": "20 %", "book:currency": "USD", "book:valid_days": "30", **fields}
    assert here.post("/settings/house", "/settings", **sent, login_here="yes").status_code == 303
    assert here.client.get("/people").status_code == 303
    assert here.log_in().status_code == 303
    assert here.client.get("/people").status_code == 200


def test_nobody_locks_the_house_up(tmp_path: Path) -> None:
    here = Browser(make_app(open_workspace(tmp_path)), ("127.0.0.1", 1), "127.0.0.1")
    sent = {"units:": "us", "ballast_share": "20 %", "book:currency": "USD", "version": "0", "book": "0"}
    answer = here.post("/settings/house", "/settings", **sent, login_here="yes")
    assert (answer.status_code, "nobody to log in as" in answer.text) == (422, True)


def test_what_is_written_carries_the_name(house: House) -> None:
    ben = house.browser()
    ben.log_in("Ben Alder")
    assert ben.post("/inquiries", "/about", toml='title = "Orchard"\n').status_code == 303
    assert ben.post("/inquiries/1/state", "/about", state="closed").status_code == 303
    assert {one.who for one in calls.history(house.workspace, 1)} == {"Ben Alder"}
    assert ben.client.get("/inquiries/1/history").text.count("Ben Alder") >= 3  # twice in the list, once at the top
    here = house.browser(("127.0.0.1", 1), "127.0.0.1")
    here.post("/inquiries/1/state", "/about", state="asked")
    assert calls.history(house.workspace, 1)[-1].who == "counter"
