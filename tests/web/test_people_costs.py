"""What a thing costs the house is seen by the owner and sales, and by nobody else: pages, forms, text, programs."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from handfast.counter import passwords, people, shelving
from handfast.counter.verbs import Workspace, open_workspace
from handfast.machines.part import Part
from handfast.web.app import HOSTS, make_app

WORDS, NAME = "a short sentence does", "quotes.example"
BEFORE = {"id": "box-9", "kind": "ballast", "name": "Ballast box", "price": 987, "cost": 613.5, "list_price": 1207.25}
DATED = {"prices": [{"valid_from": "2031-01-01", "price": 999, "cost": 631.75}]}
SECRET = re.compile(r"(?<![.\d])(?:61[34]\b|613[.,]5|1,?207|63[12]\b|631[.,]75)")
SEES, BLIND = ("owner", "sales"), ("parts", "reader")


class House:
    def __init__(self, workspace: Workspace) -> None:
        self.workspace, self.app = workspace, make_app(workspace, (*HOSTS, NAME))
        shelving.add_record(workspace, "part", "box-9", Part.model_validate({**BEFORE, "cost": 600.5, **DATED}))
        shelving.change_record(workspace, "part", "box-9", Part.model_validate({**BEFORE, **DATED}), self.row().version)
        for role in (*SEES, *BLIND):
            people.add_person(workspace, f"{role} person", role, WORDS)

    def row(self):
        return shelving.record(self.workspace, "part", "box-9")

    def record(self) -> dict:
        return json.loads(self.row().record)

    def browser(self, role: str) -> TestClient:
        found = TestClient(self.app, base_url=f"http://{NAME}", follow_redirects=False, client=("192.0.2.1", 1))
        begun = people.log_in(self.workspace, f"{role} person", WORDS)
        assert begun
        found.cookies.set("handfast_session", begun.secret)
        return found

    def program(self, role: str) -> TestClient:
        number = next(one.number for one in people.persons(self.workspace) if one.role == role)
        token, _ = people.new_token(self.workspace, number, "list")
        told = {"authorization": f"Bearer {token}"}
        return TestClient(self.app, base_url=f"http://{NAME}", client=("192.0.2.1", 1), headers=told)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))
    return House(open_workspace(tmp_path))


PAGES = (
    "/shelf/parts/box-9",
    "/shelf/parts/box-9/edit",
    "/shelf/parts/box-9/edit?as=text",
    "/shelf/parts/new?copy=box-9",
)
PROGRAMS = ("/api/shelf/parts/box-9", "/api/shelf/parts/box-9/history", "/api/shelf/parts")


@pytest.mark.parametrize("role", SEES)
def test_who_bargains_sees_what_it_cost(house: House, role: str) -> None:
    for at in PAGES:
        assert SECRET.search(house.browser(role).get(at).text), at
    for at in PROGRAMS[:2]:
        assert SECRET.search(house.program(role).get(at).text), at


@pytest.mark.parametrize("role", BLIND)
def test_who_does_not_sees_none_of_it(house: House, role: str) -> None:
    for at in (*PAGES, "/shelf", "/shelf?find=box"):
        answer = house.browser(role).get(at)
        assert answer.status_code == (403 if role == "reader" and ("edit" in at or "new" in at) else 200)
        assert not SECRET.search(answer.text), at
        assert answer.status_code == 403 or "Ballast box" in answer.text
    for at in PROGRAMS:
        answer = house.program(role).get(at)
        assert "Ballast box" in answer.text or at.endswith("history")
        assert not SECRET.search(answer.text), at
        assert '"cost"' not in answer.text


class Form(HTMLParser):
    """What a browser would send of a form's fields as they stand."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self.select = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "input" and told.get("name"):
            self.fields.setdefault(told["name"], told.get("value", ""))
        elif tag == "select":
            self.select = told.get("name", "")
        elif tag == "option" and (self.select not in self.fields or "selected" in told):
            self.fields[self.select] = told.get("value", "")


def form(page: str) -> dict[str, str]:
    return Form(page.split('class="whole"', 1)[1].split("</form>", 1)[0]).fields


@pytest.mark.parametrize("way", ["fields", "text", "program"])
def test_what_they_change_keeps_the_costs(house: House, way: str) -> None:
    """The parts counter changes where the box stands; what it cost stays to the cent, and can't be put in either."""
    kept = {name: house.record().get(name) for name in ("cost", "list_price", "prices")}
    assert kept["cost"]["value"] == 613.5
    if way == "program":
        told = house.program("parts").get(PROGRAMS[0]).json()["record"]
        body = {**told, "place": "yard 4", "cost": 1}
        sent = house.program("parts").put(f"{PROGRAMS[0]}?version={house.row().version}", json=body)
        assert sent.status_code == 200, sent.text
        assert not SECRET.search(sent.text)
    else:
        browser = house.browser("parts")
        page = browser.get("/shelf/parts/box-9/edit" + ("?as=text" if way == "text" else "")).text
        fields = {**form(page), "act": "save"}
        if way == "text":
            fields["toml"] = 'kind = "ballast"\nname = "Ballast box"\nprice = 987\nplace = "yard 4"\ncost = 1\n'
        else:
            fields |= {"place": "yard 4", "cost": "1", "how:cost": "stated", "prices[0].cost": "2"}
        sent = browser.post("/shelf/parts/box-9/edit", data=fields)
        assert sent.status_code == 303, sent.text
    assert house.record()["place"] == "yard 4"
    assert {name: house.record().get(name) for name in kept} == kept


def test_the_second_to_save_is_shown_no_costs_either(house: House) -> None:
    browser = house.browser("parts")
    fields = {**form(browser.get("/shelf/parts/box-9/edit").text), "act": "save", "place": "yard 4"}
    newer = Part.model_validate({**BEFORE, "cost": 614.0, "place": "yard 5"})
    shelving.change_record(house.workspace, "part", "box-9", newer, house.row().version)
    answer = browser.post("/shelf/parts/box-9/edit", data=fields)
    assert answer.status_code == 409
    assert "yard 5" in answer.text
    assert not SECRET.search(answer.text)
    sent = house.program("parts").put(f"{PROGRAMS[0]}?version=1", json={"kind": "ballast", "name": "Other"})
    assert sent.status_code == 409
    assert not SECRET.search(sent.text)
