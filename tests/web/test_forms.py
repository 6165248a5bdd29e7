"""Forms: what is taken, what is refused at its field, and that nothing is stored of what is refused."""

from __future__ import annotations

import html
import re
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.advice.result import Question
from handfast.counter import verbs as counter
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf_files import DEMO
from handfast.quantities.tables import table
from handfast.web.asking import asked
from handfast.web.fields import groups
from handfast.web.form import filled_in, text_of_form, values_of
from handfast.web.guard import LIMIT
from handfast.web.toml_write import toml_text

TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in sorted((DEMO / "inquiries").glob("*.toml"))}


def stored(desk, number: int) -> str:
    return counter.inquiry(desk.app.state.desk.workspace, number).text


def test_a_filled_in_form_becomes_an_inquiry(bare) -> None:
    fields = {
        "title": "Logs",
        "said": "I've got a tractor.\r\nThirty horse.",
        "machine.engine_power": "about 30 hp",
        "machine.front_functions": "1",
        "machine.seat_belt": "yes",
        "work[0].kind": "logs",
        "work[0].diameter": "12 in",
        "site.slope": "10 %",
        "wishes.budget": "4000",
        "seen_elsewhere[0].name": "Heavy one",
        "seen_elsewhere[0].kind": "root_grapple",
        "seen_elsewhere[0].interfaces": "universal_plate",
    }
    answer = bare.post("/inquiries", **fields)
    assert (answer.status_code, answer.headers["location"]) == (303, "/inquiries/1")
    read = read_inquiry(stored(bare, 1))
    assert read.said == "I've got a tractor.\nThirty horse."
    assert read.machine.front_functions == 1
    assert read.machine.seat_belt is True
    assert read.work[0].diameter.value == pytest.approx(12 * 0.0254)
    assert read.seen_elsewhere[0].interfaces == ("universal_plate",)


def test_a_tractor_is_named_as_it_is_called(desk) -> None:
    desk.post("/inquiries", title="By name", **{"machine.record": "umberfold  THIMBLE 24"})
    assert tomllib.loads(stored(desk, 9))["machine"] == {"record": "thimble-24"}


FAULTY = {
    "machine.engine_power": "24 lb",
    "machine.front_functions": "one",
    "work[0].kind": "logs",
    "work[0].diameter": "-3 in",
    "work[0].mass": "nan lb",
    "site.slope": "30",
    "behind.mass": "8,5,1 kg",
    "wishes.budget": "cheap",
}


def test_every_fault_stands_at_its_field_and_nothing_is_stored(desk) -> None:
    before = desk.count()
    answer = desk.post("/inquiries", title="Faulty", **FAULTY)
    assert answer.status_code == 422
    assert desk.count() == before
    text = answer.text
    for place, value in FAULTY.items():
        if place == "work[0].kind":
            continue
        fid = "f-" + place.replace(".", "-").replace("[", "").replace("]", "")
        field = re.search(rf'<input id="{fid}"[^>]*>', text)
        assert field, place
        assert 'aria-invalid="true"' in field[0], place
        assert f'aria-describedby="{fid}-fault"' in field[0], place
        assert html.escape(value) in field[0], place
        assert f'id="{fid}-fault"' in text
    assert "Not stored: 7 things" in text


def test_a_record_that_is_not_on_the_shelf_is_a_fault_at_its_field(desk) -> None:
    answer = desk.post("/inquiries", title="x", **{"machine.record": "timble-24"})
    assert answer.status_code == 422
    assert "thimble-24" in answer.text
    assert desk.count() == 8


def test_text_with_faults_is_shown_with_their_lines(desk) -> None:
    text = 'title = "x"\n[machine.loader]\npin_hieght = "72 in"\n[site]\nslope = 1e400\n'
    answer = desk.post("/inquiries", toml=text)
    assert answer.status_code == 422
    assert "Line 3, machine.loader.pin_hieght: no such entry" in answer.text
    assert "Line 5" in answer.text
    assert html.escape(text, quote=False).replace('"', "&#34;") in answer.text
    assert desk.count() == 8


@pytest.mark.parametrize("text", ["\x00\x01\x02", "title = ", "[[[", "a" * 1000])
def test_what_is_no_inquiry_is_refused(desk, text: str) -> None:
    assert desk.post("/inquiries", toml=text).status_code == 422
    assert desk.count() == 8


def test_a_mark_before_the_text_is_left_out(desk) -> None:
    answer = desk.post("/inquiries", toml='\ufefftitle = "x"\n[machine]\nrecord = "thimble-24"\n')
    assert answer.status_code == 303
    assert stored(desk, 9).startswith("title")
    assert desk.client.get("/inquiries/9").status_code == 200


def test_too_much_is_refused_while_it_comes_in(desk) -> None:
    answer = desk.post("/inquiries", toml="x" * (LIMIT + 1))
    assert answer.status_code == 413
    assert desk.count() == 8


def test_a_form_from_elsewhere_is_refused(desk) -> None:
    good = desk.token()
    bent = good[:5] + ("x" if good[5] != "x" else "y") + good[6:]
    for given_token in ("", "made.up", bent):
        answer = desk.client.post("/inquiries", data={"token": given_token, "title": "x"})
        assert answer.status_code == 403
    token = desk.token()
    desk.client.cookies.clear()
    assert desk.client.post("/inquiries", data={"token": token, "title": "x"}).status_code == 403
    assert desk.client.post("/inquiries", json={"title": "x"}).status_code == 415
    assert desk.count() == 8


STRANGE = {
    "markup": "<script>alert(1)</script><b onmouseover=alert(1)>&amp;</b>",
    "right to left": "שלום \u202eتجربة\u202c ok",
    "template": "{{ 7*7 }} {% for x in y %}",
    "quotes": "\"\"\" ''' \\ \\u0000 \t end",
    "long": "oak " * 2500,
}


@pytest.mark.parametrize("name", STRANGE)
def test_what_is_pasted_survives_word_for_word(desk, name: str) -> None:
    words = STRANGE[name].strip()
    answer = desk.post("/inquiries", title=words, said=words, **{"caller.place": words})
    assert answer.status_code == 303
    assert read_inquiry(stored(desk, 9)).said == words
    for path in ("/inquiries/9", "/inquiries/9/edit", "/inquiries/9/edit?as=text", "/"):
        text = desk.client.get(path).text
        assert "<script>alert" not in text
        assert "<b onmouseover" not in text
        assert "49 " not in text or name != "template"
    form = html.unescape(desk.client.get("/inquiries/9/edit").text)
    assert words in form


def test_an_unchanged_form_leaves_the_text_alone(desk) -> None:
    shelf = demo_shelf()
    for text in TEXTS.values():
        values = values_of(tomllib.loads(text), shelf)
        assert text_of_form(text, values, shelf) == text


@pytest.mark.parametrize("name", TEXTS)
def test_one_changed_field_changes_nothing_else(name: str) -> None:
    shelf, before = demo_shelf(), tomllib.loads(TEXTS[name])
    values = {**values_of(before, shelf), "site.gate": "5 ft"}
    text = text_of_form(TEXTS[name], values, shelf)
    after = tomllib.loads(text)
    assert after.get("site", {}).pop("gate") == "5 ft"
    after = {key: value for key, value in after.items() if value != {}}
    assert after == {key: value for key, value in before.items() if value != {}}
    assert text.startswith("# Invented for the demonstration.")


def test_the_form_reaches_every_field_it_shows() -> None:
    """Each field's place is one that the record knows: the door itself says so."""
    from handfast.machines.reading import Faults

    said = {"text": "7 wx", "area": "x", "whole": "x", "yes_no": "x", "pick": "x"}
    for group in groups():
        for field in group.fields:
            data = filled_in({}, {field.place: said[field.kind]}, demo_shelf())
            try:
                read_inquiry(toml_text(data))
            except Faults as faults:
                assert not any("no such entry" in fault.found for fault in faults.faults), field.place


PLAIN = st.recursive(
    st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(st.text(), PLAIN, max_size=4))
def test_written_text_reads_back(data: dict) -> None:
    """The standard library's reader is the judge."""
    assert tomllib.loads(toml_text(data)) == data


def test_facts_are_changed_one_by_one_and_the_sheet_answers(desk) -> None:
    part = {"hx-request": "true"}
    answer = desk.post("/inquiries/1/facts", part, **{"behind.kind": "none", "behind.mass": "0 lb"})
    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<div id="call"')
    read = read_inquiry(stored(desk, 1))
    assert (read.behind.kind, read.behind.mass.value) == ("none", 0.0)
    assert read.said.startswith("Got the little Thimble")
    assert desk.post("/inquiries/1/facts", line="gate 5 ft 6 in").status_code == 303
    assert read_inquiry(stored(desk, 1)).site.gate.value == pytest.approx(66 * 0.0254)


def test_a_wrong_fact_is_said_at_its_field_and_not_stored(desk) -> None:
    before = stored(desk, 1)
    for fields in ({"site.gate": "5 lb"}, {"line": "gate 5 lb"}, {"line": "nonsense words"}):
        answer = desk.post("/inquiries/1/facts", {"hx-request": "true"}, **fields)
        assert answer.status_code == 422
        assert 'role="alert"' in answer.text
        assert stored(desk, 1) == before
    assert 'value="nonsense words"' in answer.text


def test_only_known_places_are_written(desk) -> None:
    before = stored(desk, 1)
    assert desk.post("/inquiries/1/facts", **{"machine.loader.__class__": "x", "nothing": "y"}).status_code == 303
    assert stored(desk, 1) == before


def test_an_answer_to_the_question_is_a_fact(desk) -> None:
    text = desk.client.get("/inquiries/7").text
    assert "How does your bucket come off" in text
    desk.post("/inquiries/7/facts", **{"machine.quick_attach": "pinned"})
    after = desk.client.get("/inquiries/7").text
    assert read_inquiry(stored(desk, 7)).machine.quick_attach == "pinned"
    asked = re.search(r'<p class="say">(.*?)</p>', after, re.S)
    assert asked is None or "bucket come off" not in asked[1]


def test_every_question_can_be_answered_and_every_answer_is_taken() -> None:
    for row in table("questions.csv"):
        said = tuple(row["answers"].split("|"))
        one = asked(Question(row["fact"], row["question"], said, 0.0, 1.0, "", ""), Inquiry())
        assert one.replies or one.field, row["fact"]
        for reply in one.replies:
            assert reply.words in said, row["fact"]
            read_inquiry(toml_text(filled_in({}, reply.entries, demo_shelf())))


def test_an_inquiry_moves_on(desk) -> None:
    assert desk.post("/inquiries/3/state", state="waiting on caller").status_code == 303
    assert counter.inquiry(desk.app.state.desk.workspace, 3).state == "waiting on caller"
    assert desk.post("/inquiries/3/state", state="lost").status_code == 422


def test_facts_that_contradict_the_shelf_are_shown_as_such(desk) -> None:
    workspace = desk.app.state.desk.workspace
    number = counter.new_inquiry(workspace, 'title = "Gone"\n[machine]\nrecord = "sold-long-ago"\n')
    answer = desk.client.get(f"/inquiries/{number}")
    assert answer.status_code == 422
    assert "sold-long-ago" in answer.text
    assert desk.client.get("/").status_code == 200
    assert desk.client.get(f"/inquiries/{number}/edit").status_code == 200
