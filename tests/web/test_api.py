"""The API by hand: round trips, what is stale, who may, and every kind of refusal."""

from __future__ import annotations

import io
import json
import tomllib
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from handfast.cli.main import main
from handfast.counter import people
from handfast.counter import verbs as counter
from handfast.counter.roles import ROLES, may
from handfast.machines.shelf_files import DEMO
from handfast.web.api_table import verbs
from handfast.web.pages_reckoning import CHAPTERS, example

PROBLEM = "application/problem+json"
CALL = DEMO / "inquiries" / "3-nothing-spare-little-money.toml"
TOML = {"content-type": "application/toml"}
PASSWORD = "three loads of wet oak"


@pytest.fixture
def api(desk: Any) -> TestClient:
    """A program on this machine, without cookies."""
    return TestClient(desk.app, base_url="http://127.0.0.1", client=("127.0.0.1", 50000), raise_server_exceptions=False)


def refused(answer: Any, status: int, kind: str) -> dict[str, Any]:
    """The problem document of a refusal (RFC 9457, section 3)."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == PROBLEM
    told = answer.json()
    assert told["type"] == f"/api#{kind}"
    assert told["status"] == status
    assert told["title"]
    assert told["detail"]
    return dict(told)


def faults(answer: Any) -> dict[str, dict[str, Any]]:
    return {one["place"]: one for one in refused(answer, 422, "faults")["faults"]}


def changes(api: TestClient) -> int:
    return counter.newest_change(api.app.state.desk.workspace)


# -------------------- round trips


def test_an_inquiry_is_answered_as_at_the_terminal(api: TestClient, desk: Any) -> None:
    text = CALL.read_text("utf-8")
    taken = api.post("/api/inquiries", content=text.encode(), headers=TOML)
    assert taken.status_code == 201
    number = taken.json()["number"]
    assert taken.headers["location"] == f"/api/inquiries/{number}"
    assert taken.json()["text"] == text
    ran = CliRunner().invoke(main, ["advise", str(CALL), "--json"], env={"HANDFAST_HOME": str(desk.home)})
    assert ran.exit_code == 0, ran.output
    told = json.loads(ran.stdout)
    assert api.get(f"/api/inquiries/{number}/advice").json() == told
    assert api.post("/api/advise", json=tomllib.loads(text)).json() == told
    first = told["outfits"][0]
    assert api.get(f"/api/inquiries/{number}/outfits/{quote(first['id'], safe='')}").json() == first


def test_json_and_toml_say_the_same(api: TestClient) -> None:
    for path in sorted((DEMO / "inquiries").glob("*.toml")):
        text = path.read_text("utf-8")
        one = api.post("/api/inquiries", content=text.encode(), headers=TOML).json()
        other = api.post("/api/inquiries", json=tomllib.loads(text)).json()
        assert one["record"] == other["record"]
        assert tomllib.loads(other["text"]) == tomllib.loads(text)


def test_what_is_read_can_be_sent_back(api: TestClient) -> None:
    read = api.get("/api/inquiries/1").json()
    back = api.put(f"/api/inquiries/1?version={read['version']}", json=read["record"])
    assert back.status_code == 200
    assert back.json()["record"] == read["record"]
    for folder, key in (("machines", "thimble-24"), ("attachments", "billetjaw-32"), ("parts", "box-300")):
        record = api.get(f"/api/shelf/{folder}/{key}").json()
        back = api.put(f"/api/shelf/{folder}/{key}?version={record['version']}", json=record["record"])
        assert back.json() == record, "nothing was changed, so nothing is written"
    book = api.get("/api/shelf/price-book").json()
    assert api.put(f"/api/shelf/price-book?version={book['version']}", json=book["record"]).json() == book


def test_an_outfit_is_quoted(api: TestClient) -> None:
    outfit = api.get("/api/inquiries/3/advice").json()["outfits"][0]
    made = api.post("/api/inquiries/3/quotes", json={"outfits": [outfit["id"]]})
    assert made.status_code == 201
    number = made.json()["number"]
    assert made.json()["kept"]["outfit"] == outfit
    assert api.get(made.headers["location"]).json() == made.json()
    assert made.json()["version"] == 1
    assert [one["number"] for one in api.get("/api/quotes?inquiry=3").json()["quotes"]] == [number]
    assert api.get("/api/inquiries/3").json()["state"] == "quoted"
    assert json.loads(api.get("/api/inquiries/3/history").text)["changes"][0]["after"] == "state: quoted"


def test_a_quote_goes_its_way(api: TestClient, desk: Any) -> None:
    outfits = [one["id"] for one in api.get("/api/inquiries/3/advice").json()["outfits"]]
    at = api.post("/api/inquiries/3/quotes", json={"outfits": outfits[:1]}).headers["location"]
    assert api.put(f"{at}/state", json={"state": "sent"}).json()["state"] == "sent"
    told = refused(api.put(f"{at}/state", json={"state": "delivered"}), 409, "not-now")
    assert "from there it can be" in told["detail"]
    anew = api.post(f"{at}/versions?version=1", json={"outfits": outfits[:2], "note": "and a second way"})
    assert anew.json()["version"] == 2
    refused(api.post(f"{at}/versions?version=1", json={"outfits": outfits[:1]}), 409, "not-now")
    first, second = api.get(f"{at}/versions").json()["versions"]
    assert (first["difference"], second["note"]) == ([], "and a second way")
    assert second["difference"]
    assert api.get(f"{at}?version=1").json()["kept"] != anew.json()["kept"]
    assert api.put(f"{at}/state", json={"state": "sent"}).status_code == 200
    answer = {"became": "accepted", "how": "spoken", "name": "A. Rowan", "outfit": outfits[0], "ballast": "accepted"}
    refused(api.post(f"{at}/answer?version=1", json=answer), 409, "not-now")
    assert api.post(f"{at}/answer?version=2", json=answer).json()["state"] == "accepted"
    parts = token_of(desk, "parts")
    refused(api.put(f"{at}/state", json={"state": "withdrawn"}, headers=parts), 403, "may-not")
    assert api.put(f"{at}/state", json={"state": "ordered"}, headers=parts).json()["state"] == "ordered"


def test_lists_go_on_where_they_stop(api: TestClient) -> None:
    found, address = [], "/api/inquiries?limit=3"
    while address:
        page = api.get(address).json()
        assert page["count"] == 8
        found += [one["number"] for one in page["inquiries"]]
        address = page["next"]
    assert found == [8, 7, 6, 5, 4, 3, 2, 1]
    words = api.get("/api/search", params={"words": "oak", "limit": 1}).json()
    following = api.get(words["next"]).json()
    assert following["count"] == words["count"]
    assert following["inquiries"][0]["number"] < words["inquiries"][0]["number"]


def test_promises_are_made_and_kept(api: TestClient) -> None:
    made = api.post("/api/inquiries/2/promises", json={"who": "we", "what": "ring back", "by": "2026-03-06"}).json()
    assert made["done"] is None
    assert api.get("/api/promises?inquiry=2").json()["promises"] == [made]
    assert api.put(f"/api/promises/{made['number']}", json={"done": True}).json()["done"]
    assert api.put(f"/api/promises/{made['number']}", json={"done": False}).json() == made


@pytest.mark.parametrize("chapter", [*CHAPTERS])
def test_chapters_reckon_as_at_the_terminal(api: TestClient, chapter: str, tmp_path: Path) -> None:
    file = tmp_path / f"{chapter}.toml"
    file.write_text(example(chapter), "utf-8")
    ran = CliRunner().invoke(main, ["reckon", chapter, str(file), "--json"])
    told = json.loads(ran.stdout)
    assert api.post(f"/api/reckoning/{chapter}", json=tomllib.loads(example(chapter))).json() == told
    assert api.post(f"/api/reckoning/{chapter}", content=example(chapter).encode(), headers=TOML).json() == told


def test_a_thread_and_a_letter_are_read(api: TestClient) -> None:
    thread = api.post("/api/reckoning/thread", json={"od": "20.7 mm", "pitch": "1.814 mm", "flare": "30"}).json()
    assert thread["candidates"][0]["designation"] == "G 1/2-14"  # ISO 228-1: 20.955 mm, 14 to the inch
    text = "My tractor is a Thimble 24. No remotes."
    found = api.post("/api/letters/read", json={"text": text}).json()["facts"]
    assert {one["place"]: one["entry"] for one in found}["machine.record"] == "thimble-24"
    assert all(text[one["start"] : one["end"]] == one["text"] for one in found)


def test_the_whole_workspace_goes_out(api: TestClient) -> None:
    whole = api.get("/api/export").json()
    assert len(whole["inquiries"]) == 8
    packed = api.get("/api/archive")
    assert packed.headers["content-type"] == "application/zip"
    names = zipfile.ZipFile(io.BytesIO(packed.content)).namelist()
    assert {"manifest.json", "inquiries.jsonl", "shelf.jsonl"} <= set(names)


# -------------------- the shelf, and two at once


def test_a_record_comes_and_goes(api: TestClient) -> None:
    data = {"name": "Box blade weight", "kind": "ballast", "at": "hitch", "mass": "410 lb", "price": 380}
    made = api.post("/api/shelf/parts", json=data)
    assert made.status_code == 201
    assert made.json()["id"] == "box-blade-weight"
    at = made.headers["location"]
    assert api.post("/api/shelf/parts", json=data).json()["faults"][0]["place"] == "id"
    version = made.json()["version"]
    changed = api.put(f"{at}?version={version}", json={**data, "price": 395}).json()
    assert changed["record"]["price"]["value"] == 395.0
    assert refused(api.delete(f"{at}?version={version}"), 409, "stale")["version"] == changed["version"]
    gone = api.delete(f"{at}?version={changed['version']}").json()
    assert gone["retired"]
    refused(api.delete(f"{at}?version={gone['version']}"), 409, "not-now")
    back = api.post(f"{at}/back?version={gone['version']}").json()
    assert not back["retired"]
    assert len(api.get(f"{at}/history").json()["changes"]) == 4
    assert api.get("/api/shelf/machines/thimble-24/used").json()["uses"]


def test_a_stale_change_writes_nothing_and_tells_the_difference(api: TestClient) -> None:
    seen = api.get("/api/inquiries/1").json()
    mine, theirs = dict(seen["record"]), dict(seen["record"])
    theirs["notes"] = "He rang again: the logs are ten feet."
    mine["title"] = "Mine"
    first = api.put(f"/api/inquiries/1?version={seen['version']}", json=theirs)
    assert first.status_code == 200
    before = changes(api)
    told = refused(api.put(f"/api/inquiries/1?version={seen['version']}", json=mine), 409, "stale")
    assert changes(api) == before
    assert api.get("/api/inquiries/1").json()["record"]["notes"] == theirs["notes"]
    assert told["version"] == first.json()["version"]
    notes = next(one for one in told["difference"] if one["place"] == "notes")
    assert notes == {"place": "notes", "seen": seen["record"]["notes"], "now": theirs["notes"], "yours": mine["notes"]}
    assert "title" not in {one["place"] for one in told["difference"]}, "only what they changed"
    again = api.put(f"/api/inquiries/1?version={told['version']}", json={**theirs, "title": "Mine"})
    assert again.json()["title"] == "Mine"


def test_a_stale_state_and_a_stale_record_tell_it_too(api: TestClient) -> None:
    seen = api.get("/api/inquiries/4").json()
    at = f"/api/inquiries/4/state?version={seen['version']}"
    assert api.put(at, json={"state": "ordered"}).json()["state"] == "ordered"
    told = refused(api.put(at, json={"state": "closed"}), 409, "stale")
    assert told["difference"] == [{"place": "state", "seen": "asked", "now": "ordered", "yours": "closed"}]
    record = api.get("/api/shelf/parts/box-300").json()
    at = f"/api/shelf/parts/box-300?version={record['version']}"
    assert api.put(at, json={**record["record"], "price": 410}).status_code == 200
    before = changes(api)
    told = refused(api.put(at, json={**record["record"], "price": 999}), 409, "stale")
    assert changes(api) == before
    [price] = told["difference"]
    assert (price["place"], price["now"]["value"], price["yours"]["value"]) == ("price", 410.0, 999.0)


def test_of_many_at_once_one_is_taken(api: TestClient, desk: Any) -> None:
    seen, record = api.get("/api/inquiries/5").json(), api.get("/api/shelf/parts/box-300").json()

    def write(place: int) -> tuple[int, int]:
        own = TestClient(desk.app, base_url="http://127.0.0.1", client=("127.0.0.1", 50000))
        mine = {**seen["record"], "notes": f"by program {place}"}
        changed = own.put(f"/api/inquiries/5?version={seen['version']}", json=mine)
        moved = own.delete(f"/api/shelf/parts/box-300?version={record['version']}")
        return changed.status_code, moved.status_code

    with ThreadPoolExecutor(6) as pool:
        found = list(pool.map(write, range(6)))
    for statuses in zip(*found, strict=True):
        assert sorted(statuses) == [200, 409, 409, 409, 409, 409]


# -------------------- what is wrong with what was given


def test_every_fault_is_named_with_its_line(api: TestClient) -> None:
    before = changes(api)
    body = '{"title": "x",\n "site": {"slope": "steep"},\n "machine": {\n  "pin_hieght": 3,\n  "mass": "9 ft"}}'
    found = faults(api.post("/api/inquiries", content=body, headers={"content-type": "application/json"}))
    assert {place: one["line"] for place, one in found.items()} == {
        "site.slope": 2, "machine.pin_hieght": 4, "machine.mass": 5,
    }  # fmt: skip
    assert found["machine.pin_hieght"]["found"] == "no such entry"
    text = 'title = "x"\n[machine]\nrecord = "thimbel-24"\n'
    found = faults(api.post("/api/inquiries", content=text, headers=TOML))
    assert found["machine.record"]["line"] == 3
    found = faults(api.post("/api/inquiries", json=tomllib.loads(text)))
    assert found["machine.record"]["line"] == 1
    assert changes(api) == before


BAD = {
    "NaN": ('{"seed": NaN}', "seed"),
    "without end": ('{"site": {"slope": Infinity}}', "site.slope"),
    "a number beyond any": ('{"site": {"slope": 1e999}}', "site.slope"),
    "a whole number beyond any": ('{"seed": ' + "9" * 5000 + "}", "seed"),
    "nothing": ('{"title": null}', "title"),
    "a name twice": ('{"title": "a", "title": "b"}', "title"),
    "half a character": ('{"title": "\\ud83d"}', "title"),
    "a mark that no keyboard writes": ('{"title": "a\\u0000b"}', "title"),
    "an unknown name": ('{"tittle": "a"}', "tittle"),
    "nested a hundred thousand deep": ('{"title": ' + "[" * 100_000, ""),
    "nested forty deep": ('{"title": ' + "[" * 40 + "]" * 40 + "}", ""),
    "no object": ("[1, 2]", ""),
    "no JSON": ('{"title": "a",}', ""),
    "nothing at all": ("", ""),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_json_is_refused_at_its_place(api: TestClient, name: str) -> None:
    body, place = BAD[name]
    for address in ("/api/inquiries", "/api/advise"):
        assert place in faults(api.post(address, content=body, headers={"content-type": "application/json"})), name


def test_bytes_that_are_no_text_are_refused(api: TestClient) -> None:
    for media in ("application/json", "application/toml"):
        assert faults(api.post("/api/inquiries", content=b"\xff\xfe\x00", headers={"content-type": media}))


def test_parameters_are_read_strictly(api: TestClient) -> None:
    assert "limit" in faults(api.get("/api/inquiries?limit=0"))
    assert "limit" in faults(api.get("/api/inquiries?limit=1&limit=2"))
    assert "lmit" in faults(api.get("/api/inquiries?lmit=1"))
    assert "state" in faults(api.get("/api/inquiries?state=lost"))
    assert "version" in faults(api.put("/api/inquiries/1", json={}))
    assert "words" in faults(api.get("/api/search"))


def test_what_is_not_there(api: TestClient) -> None:
    for address in ("/api/inquiries/99", "/api/inquiries/0", "/api/inquiries/x", f"/api/inquiries/{10**30}",
                    "/api/quotes/1", "/api/shelf/parts/none", "/api/nothing", "/api/inquiries/1/outfits/none",
                    "/api/inquiries/99/advice", "/api/shelf/parts/none/used"):  # fmt: skip
        refused(api.get(address), 404, "not-there")
    refused(api.post("/api/inquiries/1/quotes", json={"outfits": ["none"]}), 404, "not-there")


def test_the_other_refusals(api: TestClient) -> None:
    wrong = api.request("PATCH", "/api/inquiries/1")
    refused(wrong, 405, "no-such-way")
    assert wrong.headers["allow"] == "GET, HEAD, PUT"
    refused(api.post("/api/inquiries", content="a,b", headers={"content-type": "text/csv"}), 415, "media")
    refused(api.post("/api/inquiries", content=b" " * 1_100_000, headers=TOML), 413, "too-large")
    refused(api.post("/api/inquiries/1/requests"), 409, "not-now")


def test_a_failure_of_ours_is_told_as_one(api: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("a secret of the house")

    monkeypatch.setattr("handfast.counter.verbs.inquiries", broken)
    assert "secret" not in json.dumps(refused(api.get("/api/inquiries"), 500, "failed"))


# -------------------- who may


def token_of(desk: Any, role: str) -> dict[str, str]:
    workspace = desk.app.state.desk.workspace
    person = people.add_person(workspace, f"Ada {role.title()}", role, PASSWORD)
    return {"authorization": f"Bearer {people.new_token(workspace, person.number, 'a program')[0]}"}


@pytest.mark.parametrize("role", ROLES)
def test_a_token_may_what_its_person_may(api: TestClient, desk: Any, role: str) -> None:
    headers = token_of(desk, role)
    for verb in verbs():
        address = verb.path.replace("{number}", "9999").replace("{id}", "none").replace("{outfit}", "none")
        answer = api.request(verb.method, address, headers=headers)
        if may(role, verb.area):
            assert answer.status_code not in (401, 403), (verb.name, answer.text)
        else:
            refused(answer, 403, "may-not")


def test_what_a_token_writes_is_written_in_its_persons_name(api: TestClient, desk: Any) -> None:
    headers = token_of(desk, "sales")
    made = api.post("/api/inquiries", json={"title": "By a program"}, headers=headers).json()
    log = api.get(f"/api/inquiries/{made['number']}/history").json()["changes"]
    assert [one["who"] for one in log] == ["Ada Sales"]


def test_wrong_and_withdrawn_tokens_open_nothing(api: TestClient, desk: Any) -> None:
    good = token_of(desk, "owner")
    assert api.get("/api/health", headers=good).status_code == 200
    for wrong in ("Bearer hf_wrong", "Bearer", "Basic YTpi", "Bearer " + "x" * 5000, good["authorization"][7:]):
        answer = api.get("/api/health", headers={"authorization": wrong})
        refused(answer, 401, "who")
        assert answer.headers["www-authenticate"].startswith("Bearer")
    people.withdraw_token(desk.app.state.desk.workspace, 1)
    refused(api.get("/api/health", headers=good), 401, "who")


def test_from_elsewhere_only_with_a_token(desk: Any) -> None:
    afar = TestClient(desk.app, base_url="http://127.0.0.1", client=("192.0.2.7", 50000))
    refused(afar.get("/api/health"), 401, "who")
    refused(afar.post("/api/inquiries", json={}), 401, "who")
    assert afar.get("/api/health", headers=token_of(desk, "reader")).status_code == 200


@pytest.mark.parametrize(
    "sent", [{"cookie": "handfast=x"}, {"origin": "http://127.0.0.1"}, {"sec-fetch-site": "same-origin"}]
)
def test_what_a_browser_sends_unasked_writes_nothing(api: TestClient, sent: dict[str, str]) -> None:
    before = changes(api)
    for verb in verbs():
        if verb.method != "GET":
            address = verb.path.replace("{number}", "1").replace("{id}", "box-300")
            refused(api.request(verb.method, address, headers=sent, params={"version": 1}), 401, "who")
    assert changes(api) == before
