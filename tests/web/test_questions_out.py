"""Questions out: what is sent, what comes back, what a private link opens and what it does not."""

from __future__ import annotations

import html
import re
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from handfast.advice.requests import Request, requests_of
from handfast.advice.result import Question
from handfast.counter import letters
from handfast.counter import verbs as counter
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.quantities.tables import table
from handfast.store.database import writing
from handfast.store.letter_rows import change_letter
from handfast.store.shelf_records import FILE
from handfast.web.answers_back import answer_line, one_answer, read_answers
from handfast.web.pages_questions import OUTSIDE, _lines

HALF = """title = "Tobiah wants logs moved"
[caller]
name = "Tobiah Fennimoor"
[machine]
class = "compact_small"
[[work]]
kind = "logs"
"""
AWAY = "https://ask.quernwater.example"


def question(fact: str, answers: str = "No|Can't say", **how: str) -> Question:
    return Question(fact, "What is it?", tuple(answers.split("|")), 90.0, 1.0, "", how.get("how", "Look."))


@pytest.fixture
def half(desk, monkeypatch) -> int:
    monkeypatch.setenv(OUTSIDE, AWAY)
    return counter.new_inquiry(desk.app.state.desk.workspace, HALF)


def link_of(desk, number: int) -> str:
    text = desk.post(f"/inquiries/{number}/questions", act="link").text
    found = re.search(rf'value="{AWAY}(/a/[^"]+)"', text)
    assert found, text[:400]
    return found[1]


def customer(desk) -> TestClient:
    return TestClient(desk.app, base_url=AWAY, follow_redirects=False)


def test_at_most_three_are_sent_and_photos_come_first() -> None:
    sent = requests_of([question(str(n), "No|Can't say: send a photo" if n == 2 else "No|Can't say") for n in range(5)])
    assert [one.fact for one in sent] == ["2", "0", "1"] and [one.number for one in sent] == [1, 2, 3]


@pytest.mark.parametrize("row", table("questions.csv"), ids=lambda row: row["fact"])
def test_every_question_can_be_answered_and_cant_is_an_answer(row) -> None:
    one = requests_of([question(row["fact"], row["answers"], how=row["how"])])[0]
    assert one.options or one.written
    assert one.cannot.casefold().startswith(("can't", "not given", "never", "no plate"))
    assert one_answer(1, one.fact, "Can't say", demo_shelf()).cannot


@pytest.mark.parametrize(
    ("line", "entries"),
    [
        ("Q1 [quick_attach]: two levers", {"machine.quick_attach": "universal_plate"}),
        ("> q2 [power_beyond]: Seven", {"machine.lines_at_valve": "7", "machine.power_beyond": "yes"}),
        ("Q1 [behind.mass]: Box blade; about 400 lb", {"behind.kind": "box_blade", "behind.mass": "about 400 lb"}),
        ("Q3 [wheelbase]: 5 ft 1 in", {"machine.wheelbase": "5 ft 1 in"}),
        ("Q3 [machine]: Thimble 24", {"machine.record": "thimble-24"}),
        ("Q3 [machine]: Grandad's old one, 30 horse", {"machine.name": "Grandad's old one, 30 horse"}),
        ("Q1 [site.slope]: Steep", {}),
        ("Q1 [site.gate]: can't say", {}),
        ("Q1 [__class__]: 5", {}),
    ],
)
def test_a_line_reads_as_what_it_says(line: str, entries: dict[str, str]) -> None:
    shelf = demo_shelf()
    name = next(one.name for key, one in shelf.machines.items() if key == "thimble-24")
    found = read_answers(line.replace("Thimble 24", name), shelf)
    assert [one.entries for one in found] == [entries]


def test_lines_come_back_without_loss_through_a_message() -> None:
    lines = [
        answer_line(1, "site.gate", "about 9 ft"),
        answer_line(2, "quick_attach", "Four pins"),
        answer_line(3, "mass", "Can't say"),
    ]
    mail = "On Tuesday you wrote:\r\n" + "\r\n".join("> " + line for line in lines) + "\r\nRegards, T."
    assert [one.line for one in read_answers(mail, demo_shelf())] == lines


def test_what_is_measured_keeps_that_it_was(desk, half: int) -> None:
    text = "Q1 [wheelbase]: 61 in\nQ2 [rear_remotes]: One pair"
    desk.post(f"/inquiries/{half}/questions", act="take", answers=text, **{"take-0": "yes", "take-1": "yes"})
    kept = read_inquiry(counter.inquiry(desk.app.state.desk.workspace, half).text, "inquiry")
    assert kept.machine.rear_remotes == 1
    assert kept.machine.wheelbase.value == pytest.approx(61 * 0.0254)
    assert kept.machine.wheelbase.origin == "measured"


def test_nothing_is_taken_that_is_not_ticked(desk, half: int) -> None:
    text = "Q1 [rear_remotes]: One pair\nQ2 [site.gate]: 9 ft"
    shown = desk.post(f"/inquiries/{half}/questions", act="read", pasted=text).text
    assert "site.gate" in shown and counter.inquiry(desk.app.state.desk.workspace, half).text == HALF
    desk.post(f"/inquiries/{half}/questions", act="take", answers=text, **{"take-1": "yes"})
    kept = read_inquiry(counter.inquiry(desk.app.state.desk.workspace, half).text, "inquiry")
    assert kept.machine.rear_remotes is None and kept.site.gate.value == pytest.approx(9 * 0.3048)


def test_a_link_opens_the_questions_and_nothing_else(desk, half: int) -> None:
    path, away = link_of(desk, half), customer(desk)
    text = away.get(path).text
    assert "about your tractor" in text
    assert "Tobiah" not in text and "$" not in text and HALF.split('"')[1] not in text
    for other in ("/", f"/inquiries/{half}", "/shelf", "/health", "/a/", f"{path}/x"):
        assert away.get(other).status_code in (400, 404), other
    assert away.get(path).headers["referrer-policy"] == "no-referrer"
    assert "noindex" in away.get(path).headers["x-robots-tag"]


def test_an_answer_by_link_waits_to_be_taken(desk, half: int) -> None:
    path, away = link_of(desk, half), customer(desk)
    text = away.get(path).text
    name, value = re.findall(r'<input type="radio" name="(choice-1)" value="([^"]+)"', text)[0]
    assert away.post(path, data={name: value}).status_code == 303
    assert away.post(path, data={name: value}, headers={"accept": "application/json"}).json() == {"kept": True}
    assert counter.inquiry(desk.app.state.desk.workspace, half).text == HALF
    row = letters.letters_of(desk.app.state.desk.workspace, half)[0]
    assert row.answers.startswith("Q1 [") and row.answers.endswith(value)
    page = desk.client.get(f"/inquiries/{half}/questions").text
    assert "Came back by link" in page
    desk.post(f"/inquiries/{half}/questions", act="take", letter=str(row.number), **{"take-0": "yes"})
    assert "Came back by link" not in desk.client.get(f"/inquiries/{half}/questions").text


def test_a_link_can_be_withdrawn_and_runs_out(desk, half: int) -> None:
    path, away = link_of(desk, half), customer(desk)
    workspace = desk.app.state.desk.workspace
    row = letters.letters_of(workspace, half)[0]
    desk.post(f"/inquiries/{half}/questions", act="withdraw", letter=str(row.number))
    assert away.get(path).status_code == away.post(path, data={"choice-1": "x"}).status_code == 404
    second = link_of(desk, half)
    newest = letters.letters_of(workspace, half)[0]
    with writing(workspace.engine) as connection:
        change_letter(connection, newest.number, "test", expires=(datetime.now(UTC) - timedelta(1)).isoformat())
    assert away.get(second).status_code == 404
    assert "run out" in desk.client.get(f"/inquiries/{half}/questions").text


def test_a_guessed_link_opens_nothing_and_the_store_holds_no_secret(desk, half: int) -> None:
    path, away = link_of(desk, half), customer(desk)
    for guess in (path[:-1], path + "A", "/a/" + "x" * 43, "/a/%00", "/a/1"):
        assert away.get(guess).status_code in (400, 404), guess
    with sqlite3.connect(desk.home / FILE) as raw:
        assert path.removeprefix("/a/") not in "".join(raw.iterdump())


def test_without_an_outside_address_no_link_is_made(desk, half: int, monkeypatch) -> None:
    monkeypatch.delenv(OUTSIDE)
    page = desk.client.get(f"/inquiries/{half}/questions").text
    assert "No outside address is set" in page
    assert desk.post(f"/inquiries/{half}/questions", act="link").status_code == 422
    assert customer(desk).get("/a/x").status_code == 400


def test_the_page_file_needs_nothing_else(desk, half: int) -> None:
    text = desk.client.get(f"/inquiries/{half}/questions.html").text
    assert not re.search(r'(?:src|href)="(?!mailto:|#)', text) and "url(" not in text
    assert "<script>" in text and "Q${number}" in text


def test_hostile_answers_are_words(desk, half: int) -> None:
    path, away = link_of(desk, half), customer(desk)
    evil = "<script>alert(1)</script>\u202e\x00 Q9 [machine]: stolen\n" + "x" * 10_000
    away.post(path, data={"choice-1": evil, "words-1": evil})
    row = letters.letters_of(desk.app.state.desk.workspace, half)[0]
    assert len(row.answers) <= letters.ANSWERS_MOST and row.answers.count("\n") == 0
    page = desk.client.get(f"/inquiries/{half}/questions")
    assert page.status_code == 200 and "<script>alert" not in page.text


def test_a_line_can_hold_no_other_line() -> None:
    one = Request(1, "site.gate", "", "", (), True, "Can't say", False)
    assert _lines((one,), {"words-1": "a\nQ2 [machine]: b"}) == ["Q1 [site.gate]: a Q2 [machine]: b"]


def test_answers_in_spanish_are_read_and_messages_are_told(desk) -> None:
    lines = ("Q1 [quick_attach]: dos palancas", "Q2 [machine]: No puedo decirlo", "Q3 [behind.mass]: caja de lastre")
    found = read_answers("\n".join(lines), demo_shelf())
    entries = [{"machine.quick_attach": "universal_plate"}, {}, {"behind.kind": "ballast_box"}]
    assert [one.entries for one in found] == entries
    desk.client.cookies.set("lang", "es")
    page = desk.client.get("/inquiries/7/questions").text
    assert "Por favor revise y responda por número" in page and "Please look" not in page
    call = desk.client.get("/inquiries/1").text
    said = html.unescape(re.search(r'<textarea id="textmessage"[^>]*>(.*?)</textarea>', call, re.S)[1])
    assert "Vale si" in said and len(said) <= 480
