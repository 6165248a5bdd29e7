"""Calls, promises, undo, search and history as a browser without script sees them."""

from __future__ import annotations

import re

import pytest

from handfast.counter import calls
from handfast.counter import verbs as counter


def workspace(desk):
    return desk.app.state.desk.workspace


def text(desk, number: int) -> str:
    return counter.inquiry(workspace(desk), number).text


def test_a_call_begins_empty_and_the_bare_sheet_says_what_to_do(bare) -> None:
    page = bare.client.get("/calls").text
    assert "No call open. Press n, or start typing what the caller says." in page
    answer = bare.post("/calls")
    assert answer.status_code == 303
    sheet = bare.client.get(answer.headers["location"])
    assert sheet.status_code == 200
    assert "Name a tractor, or a class and a power. Two facts are enough for a first figure." in sheet.text
    assert re.search(r'id="line"[^>]* autofocus', sheet.text)
    assert bare.post("/calls").headers["location"] == answer.headers["location"]  # still empty: the same one
    assert bare.count() == 1


def test_facts_from_the_calls_page_and_what_is_not_understood(desk) -> None:
    answer = desk.post("/calls", line="thimble 24, oak logs, wants it soon")
    assert answer.status_code == 422
    assert "Not understood" in answer.text
    assert 'value="wants it soon"' in answer.text
    assert 'record = "thimble-24"' in text(desk, 9)
    assert desk.post("/calls", line="24 horse").headers["location"] == "/inquiries/10"


def test_a_digit_in_the_line_answers_without_script(desk) -> None:
    assert "bucket come off" in desk.client.get("/inquiries/7").text
    assert desk.post("/inquiries/7/facts", line="2").status_code == 303
    assert 'quick_attach = "pinned"' in text(desk, 7)
    assert desk.post("/inquiries/7/facts", line="9").status_code == 422


def test_what_holds_of_a_line_is_in_and_the_rest_stays(desk) -> None:
    answer = desk.post("/inquiries/1/facts", line="gate 5 ft, slope 30")
    assert answer.status_code == 422
    assert 'gate = "5 ft"' in text(desk, 1)
    assert "slope" not in text(desk, 1)
    assert 'name="site.slope" value="30"' in answer.text
    assert "30 % is 16.7 deg" in answer.text
    assert desk.post("/inquiries/1/facts", **{"site.slope": "30 %"}).status_code == 303
    assert 'slope = "30 %"' in text(desk, 1)


def test_hold_resume_and_the_strip(desk) -> None:
    desk.post("/calls", line="caller Ada Thornbury, thimble 24")
    desk.post("/calls", hold="9", line="caller Bede Marlowe, satchel 29")
    sheet = desk.client.get("/inquiries/10").text
    assert "Ada Thornbury" in sheet
    assert "on hold" in sheet
    assert desk.post("/inquiries/9/resume", hold="10").headers["location"] == "/inquiries/9"
    assert [one.call.state for one in calls.open_calls(workspace(desk))] == ["on the line", "on hold"]
    desk.post("/inquiries/9/ring-off")
    assert "Ada" not in re.search(r"<main.*?</ul>", desk.client.get("/calls").text, re.S)[0]
    assert desk.post("/inquiries/99/hold").status_code == 404


def test_undo_and_redo_as_buttons(desk) -> None:
    before = text(desk, 2)
    assert "/inquiries/2/undo" not in desk.client.get("/inquiries/2").text
    desk.post("/inquiries/2/facts", line="gate 7 ft")
    assert "/inquiries/2/undo" in desk.client.get("/inquiries/2").text
    desk.post("/inquiries/2/undo")
    assert text(desk, 2) == before
    assert "/inquiries/2/redo" in desk.client.get("/inquiries/2").text
    desk.post("/inquiries/2/redo")
    assert 'gate = "7 ft"' in text(desk, 2)


def test_what_the_caller_cannot_say_is_not_asked_again(desk) -> None:
    first = re.search(r'class="say">“(.*?)”', desk.client.get("/inquiries/7").text)[1]
    fact = re.search(r'name="fact" value="([^"]+)"', desk.client.get("/inquiries/7").text)[1]
    desk.post("/inquiries/7/cannot-say", fact=fact)
    assert re.search(r'class="say">“(.*?)”', desk.client.get("/inquiries/7").text)[1] != first
    desk.post("/inquiries/7/cannot-say")
    assert re.search(r'class="say">“(.*?)”', desk.client.get("/inquiries/7").text)[1] == first


def test_promises_stand_first_and_overdue_is_said_by_word(desk) -> None:
    desk.post("/inquiries/3/promises", who="we", what="ring with <b>the price</b>", by="2020-01-02 12:00")
    desk.post("/inquiries/4/promises", who="the caller", what="sends a photo", by="")
    page = desk.client.get("/").text
    assert "Overdue: was due Thu 2 Jan, 12:00" in page
    assert "ring with &lt;b&gt;the price&lt;/b&gt;" in page
    assert page.index("Inquiry 3: ") < page.index("Inquiry 8: ")  # the one overdue stands first
    assert "the caller waits for us: ring with" in page
    assert "we wait for the caller: sends a photo" in page
    assert desk.post("/promises/1/done", back="/").headers["location"] == "/"
    assert "Overdue" not in desk.client.get("/").text
    for wrong in ({"what": ""}, {"what": "x", "by": "some day"}, {"what": "x", "who": "nobody"}):
        assert desk.post("/inquiries/3/promises", **{"who": "we", **wrong}).status_code == 422
    assert len(calls.promises(workspace(desk))) == 2
    assert desk.post("/promises/99/done").status_code == 404


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ("", {1, 2, 3, 4, 5, 6, 7, 8}),
        ("?find=oak+logs", {1, 4}),
        ("?find=tinderb", {3}),
        ("?state=quoted", {5}),
        ("?state=asked&find=oak", {1, 4}),
        ("?state=quoted&find=oak", set()),
        ("?state=lost", {1, 2, 3, 4, 5, 6, 7, 8}),
        ("?find=zzz%22%20OR%20oak", set()),
    ],
)
def test_the_list_is_searched_and_filtered(desk, query: str, shown: set[int]) -> None:
    counter.change_state(workspace(desk), 5, "quoted")
    found = re.findall(r"Inquiry (\d+): ", desk.client.get("/" + query).text)
    assert {int(number) for number in found} == shown


def test_the_history_tells_who_when_from_what_to_what(desk) -> None:
    desk.post("/inquiries/1/facts", line="gate 5 ft")
    desk.post("/inquiries/1/facts", line="gate 6 ft")
    desk.post("/inquiries/1/undo")
    desk.post("/inquiries/1/state", state="waiting on caller")
    desk.post("/inquiries/1/promises", who="we", what="ring <i>back</i>", by="2026-03-05 12:00")
    page = desk.client.get("/inquiries/1/history").text
    words = re.sub(r"<[^>]+>", "", page)
    assert "Narrowest gate: was 5 ft, now 6 ft" in words
    assert "undone" in words
    assert "Narrowest gate: was 6 ft, now 5 ft" in words
    assert "State: was asked, now waiting on caller" in words
    assert "ring &lt;i&gt;back&lt;/i&gt;, by 5 Mar 2026, 12:00" in words
    assert "counter" in words
    assert desk.client.get("/inquiries/99/history").status_code == 404


def test_the_turned_sheet_has_no_money_and_nobody_else(desk) -> None:
    desk.post("/calls", line="caller Ada Thornbury, thimble 24")
    for number in range(1, 9):
        page = desk.client.get(f"/inquiries/{number}?turned=1").text
        assert not re.search(r"[$€£]\s?\d|budget|margin|\bAda\b|Thornbury", page, re.I), number
        own = counter.inquiry(workspace(desk), number)
        assert own.title not in page
        for other in counter.inquiries(workspace(desk)):
            assert not other.title or other.title not in page
        assert f'href="/inquiries/{number}"' in page  # the way back


def test_a_field_is_made_about_sure_or_unknown_without_script(desk) -> None:
    for certainty, kept in (("about", "about 300 lb"), ("sure", "300 lb"), ("unknown", "unknown")):
        desk.post("/inquiries/2/facts", **{"behind.mass": "300 lb", "certainty": certainty})
        assert f'mass = "{kept}"' in text(desk, 2)


def test_markup_and_long_lines_are_only_words(desk) -> None:
    for line in ("<script>alert(1)</script>", "א" * 10_000, "note " + "x" * 9_990, ", ; ," * 2000):
        answer = desk.post("/inquiries/1/facts", line=line)
        assert answer.status_code in (303, 422)
        assert "<script>alert" not in answer.text
