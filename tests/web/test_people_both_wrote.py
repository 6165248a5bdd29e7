"""Two people in one inquiry: nothing is overwritten unseen, and what does not touch goes side by side."""

from __future__ import annotations

import re
from html import unescape
from itertools import pairwise
from pathlib import Path
from threading import Barrier, Thread

import pytest
from starlette.testclient import TestClient

from handfast.counter import calls, passwords, people, seen
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace, named, open_workspace
from handfast.web.app import HOSTS, make_app
from handfast.web.form import data_of
from handfast.web.taking import take_in

WORDS, NAME = "a short sentence does", "quotes.example"
TEXT = """title = "Orchard"
[caller]
place = "Lathe Hill"
[machine]
engine_power = "24 hp"
[site]
gate = "7 ft"
"""


class House:
    def __init__(self, workspace: Workspace) -> None:
        self.workspace, self.app = workspace, make_app(workspace, (*HOSTS, NAME))
        for name in ("Ada Rowan", "Ben Alder"):
            people.add_person(workspace, name, "sales", WORDS)
        self.number = counter.new_inquiry(workspace, TEXT)

    def browser(self, name: str) -> TestClient:
        found = TestClient(self.app, base_url=f"http://{NAME}", follow_redirects=False, client=("192.0.2.1", 1))
        begun = people.log_in(self.workspace, name, WORDS)
        assert begun
        found.cookies.set("handfast_session", begun.secret)
        return found

    @property
    def at(self) -> str:
        return f"/inquiries/{self.number}"

    def data(self) -> dict:
        return data_of(counter.inquiry(self.workspace, self.number).text)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))
    return House(open_workspace(tmp_path))


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{re.escape(name)}" value="([^"]*)"', page)
    assert found, name
    return unescape(found[1])


def filled(page: str) -> dict[str, str]:
    """The named inputs of the inquiry's form."""
    whole = page.split('class="whole"', 1)[1]
    found = re.findall(r'<input [^>]*name="([^"]+)" value="([^"]*)"', whole)
    return {name: unescape(value) for name, value in found if not name.startswith("theirs:")}


# -------------------- the form


def test_the_second_is_shown_the_difference_and_nothing_is_overwritten(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    hers, his = (filled(one.get(house.at + "/edit").text) for one in (ada, ben))
    sent = ada.post(house.at, data={**hers, "site.gate": "6 ft", "caller.place": "Corn Market"})
    assert sent.status_code == 303
    answer = ben.post(house.at, data={**his, "site.gate": "5 ft", "machine.engine_power": "30 hp"})
    assert answer.status_code == 409
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</th>(.*?)</tr>", answer.text.split('id="faults"', 1)[1], re.S)
    told = {name: re.findall(r"<bdi>(.*?)</bdi>", cells) for name, cells in rows}
    assert sorted(told.values()) == [["7 ft", "6 ft", "5 ft"], ["Lathe Hill", "Corn Market", "Lathe Hill"]]
    assert house.data()["site"]["gate"] == "6 ft"
    assert house.data()["machine"]["engine_power"] == "24 hp"
    again = filled(answer.text)  # theirs where only she wrote, his where he did
    assert [again[name] for name in ("site.gate", "caller.place", "machine.engine_power")] == [
        "5 ft",
        "Corn Market",
        "30 hp",
    ]
    assert ben.post(house.at, data={**again, "theirs:site.gate": "yes"}).status_code == 303
    assert house.data()["site"]["gate"] == "6 ft"
    assert house.data()["caller"]["place"] == "Corn Market"
    assert house.data()["machine"]["engine_power"] == "30 hp"
    log = calls.history(house.workspace, house.number)
    assert [one.who for one in log] == ["counter", "Ada Rowan", "Ben Alder"]


def test_the_second_may_write_it_again(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    his = filled(ben.get(house.at + "/edit").text)
    ada.post(house.at, data={**filled(ada.get(house.at + "/edit").text), "site.gate": "6 ft"})
    answer = ben.post(house.at, data={**his, "site.gate": "5 ft"})
    assert ben.post(house.at, data=filled(answer.text)).status_code == 303
    assert house.data()["site"]["gate"] == "5 ft"


def test_a_third_who_came_between_is_shown_too(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    his = filled(ben.get(house.at + "/edit").text)
    for gate in ("6 ft", "8 ft"):
        ada.post(house.at, data={**filled(ada.get(house.at + "/edit").text), "site.gate": gate})
        answer = ben.post(house.at, data={**his, "site.gate": "5 ft"})
        assert (answer.status_code, gate in answer.text) == (409, True)
        his = filled(answer.text)
    assert house.data()["site"]["gate"] == "8 ft"


def test_as_text_too(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    page = ben.get(house.at + "/edit?as=text").text
    ada.post(house.at, data={**filled(ada.get(house.at + "/edit").text), "site.gate": "6 ft"})
    mine = {"token": hidden(page, "token"), "version": hidden(page.split('class="whole"')[1], "version")}
    text = TEXT.replace("24 hp", "30 hp")
    answer = ben.post(house.at, data={**mine, "toml": text})
    assert answer.status_code == 409
    assert "6 ft" in answer.text
    assert "30 hp" in answer.text
    assert house.data()["site"]["gate"] == "6 ft"
    fresh = {**mine, "version": hidden(answer.text.split('class="whole"')[1], "version")}
    assert ben.post(house.at, data={**fresh, "toml": text}).status_code == 303
    assert house.data()["site"]["gate"] == "7 ft"


def test_moving_it_on_is_no_difference_of_its_facts(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    his = filled(ben.get(house.at + "/edit").text)
    ada.post(house.at + "/state", data={"token": his["token"], "state": "closed"})
    counter.change_state(house.workspace, house.number, "quoted")
    assert ben.post(house.at, data={**his, "site.gate": "5 ft"}).status_code == 303
    assert house.data()["site"]["gate"] == "5 ft"


def test_the_same_written_twice_is_no_difference(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    his = filled(ben.get(house.at + "/edit").text)
    ada.post(house.at, data={**filled(ada.get(house.at + "/edit").text), "site.gate": "5 ft"})
    assert ben.post(house.at, data={**his, "site.gate": "5 ft"}).status_code == 303


# -------------------- the state


def test_two_who_move_it(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    page = ben.get(house.at).text
    mine = {"token": hidden(page, "token"), "was": hidden(page, "was"), "state": "quoted"}
    assert mine["was"] == "asked"
    ada.post(
        house.at + "/state", data={"token": hidden(ada.get(house.at).text, "token"), "was": "asked", "state": "closed"}
    )
    answer = ben.post(house.at + "/state", data=mine)
    assert answer.status_code == 409
    for word in ("asked", "closed", "quoted"):
        assert f"<dd>{word}</dd>" in answer.text
    assert counter.inquiry(house.workspace, house.number).state == "closed"
    again = {"token": mine["token"], "was": hidden(answer.text, "was"), "state": "quoted"}
    assert ben.post(house.at + "/state", data=again).status_code == 303
    assert counter.inquiry(house.workspace, house.number).state == "quoted"


# -------------------- the call sheet


def test_different_facts_go_side_by_side(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    hers, his = (one.get(house.at).text for one in (ada, ben))
    for browser, page, facts in ((ada, hers, {"site.gate": "6 ft"}), (ben, his, {"machine.engine_power": "30 hp"})):
        told = {"token": hidden(page, "token"), "version": hidden(page, "version"), **facts}
        assert browser.post(house.at + "/facts", data=told).status_code == 303
    assert house.data()["site"]["gate"] == "6 ft"
    assert house.data()["machine"]["engine_power"] == "30 hp"


def test_the_same_fact_is_shown_and_asked(house: House) -> None:
    ada, ben = house.browser("Ada Rowan"), house.browser("Ben Alder")
    hers, his = (one.get(house.at).text for one in (ada, ben))
    ada.post(
        house.at + "/facts",
        data={"token": hidden(hers, "token"), "version": hidden(hers, "version"), "site.gate": "6 ft"},
    )
    told = {"token": hidden(his, "token"), "version": hidden(his, "version")}
    both = {"site.gate": "5 ft", "caller.place": "Corn Market"}
    answer = ben.post(house.at + "/facts", data={**told, **both})
    assert answer.status_code == 422
    for words in ("“6 ft”", "“7 ft”", "“5 ft”", "put in meanwhile by somebody else"):
        assert words in answer.text, words
    assert house.data()["site"]["gate"] == "6 ft"  # hers stands
    assert house.data()["caller"]["place"] == "Corn Market"  # and what does not touch is in
    again = {**told, "version": hidden(answer.text, "version"), "site.gate": "5 ft"}
    assert ben.post(house.at + "/facts", data=again).status_code == 303
    assert house.data()["site"]["gate"] == "5 ft"


def test_a_typed_line_is_held_against_the_others_too(house: House) -> None:
    page = house.browser("Ben Alder").get(house.at).text
    ben = house.browser("Ben Alder")
    told = {"token": hidden(ben.get(house.at).text, "token"), "version": hidden(page, "version"), "line": "gate 5 ft"}
    take_in(named(house.workspace, "Ada Rowan"), house.number, {"site.gate": "6 ft"})
    answer = ben.post(house.at + "/facts", data=told)
    assert answer.status_code == 422
    assert 'value="gate 5 ft"' in answer.text
    assert house.data()["site"]["gate"] == "6 ft"


FACTS = {
    "site.gate": "6 ft", "machine.engine_power": "30 hp", "caller.place": "Corn Market", "site.slope": "10 %",
    "wishes.budget": "4000", "caller.name": "B. Elm", "machine.mass": "2,600 lb", "behind.mass": "400 lb",
}  # fmt: skip


def test_eight_at_once_lose_nothing(house: House) -> None:
    """Eight threads put a fact of their own in at the same moment; all eight stand, each under its own name."""
    gate, failed = Barrier(len(FACTS)), []

    def put(place: str, text: str) -> None:
        gate.wait()
        refusal = take_in(named(house.workspace, place), house.number, {place: text})
        if not refusal.none:
            failed.append((place, refusal))

    threads = [Thread(target=put, args=one) for one in FACTS.items()]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert failed == []
    data = house.data()
    assert [data[table][name] for table, name in (place.split(".") for place in FACTS)] == list(FACTS.values())
    log = calls.history(house.workspace, house.number)
    assert {one.who for one in log} == {"counter", *FACTS}
    assert all(later.before == earlier.after for earlier, later in pairwise(log))


def test_a_text_is_made_anew_where_somebody_was_quicker(house: House) -> None:
    tries = []

    def put(before: str) -> str:
        tries.append(before)
        if len(tries) == 1:
            counter.change_inquiry(house.workspace, house.number, before.replace("7 ft", "6 ft"))
        return before.replace("24 hp", "30 hp")

    seen.rewrite(house.workspace, house.number, put)
    assert len(tries) == 2
    assert house.data() == data_of(TEXT.replace("7 ft", "6 ft").replace("24 hp", "30 hp"))
