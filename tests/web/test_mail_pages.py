"""Paste the e-mail on the pages: what is shown, what is taken, and texts that no form expects."""

from __future__ import annotations

import html
import re

import pytest

from handfast.counter import verbs as counter
from handfast.machines.reading import read_inquiry
from handfast.web.mail_in import cleaned, read_pasted, segments

LETTER = """Hello, I have a Thimble 24, about 24 horse, bucket is held by pins. No third function.
Moving oak logs 12 in thick and 8 ft long. My neighbour has a Satchel 33 with two remotes.

Thanks,
Tobiah Fennimoor
555-0142"""


def ticks(page: str) -> dict[str, str]:
    """The boxes that a page has ticked."""
    return dict.fromkeys(re.findall(r'name="(take-\d+)" value="yes" checked', page), "yes")


def newest(desk):
    return counter.inquiries(desk.app.state.desk.workspace)[0]


def test_nothing_is_taken_before_it_is_ticked_and_sent(desk) -> None:
    before = desk.count()
    shown = desk.post("/inquiries/paste", act="read", text=LETTER)
    assert shown.status_code == 200 and desk.count() == before
    assert 'class="sure"' in shown.text and "Draft reply" in shown.text


def test_what_is_ticked_makes_an_inquiry(desk) -> None:
    shown = desk.post("/inquiries/paste", act="read", text=LETTER)
    made = desk.post("/inquiries/paste", act="take", text=LETTER, **ticks(shown.text))
    assert made.status_code == 303
    row = newest(desk)
    inquiry = read_inquiry(row.text, "inquiry")
    assert inquiry.machine.record == "thimble-24" and inquiry.machine.quick_attach == "pinned"
    assert inquiry.machine.front_functions == 0 and inquiry.machine.rear_remotes is None
    assert inquiry.machine.engine_power.is_unknown  # "about" is not ticked by itself
    assert (inquiry.work[0].kind, inquiry.work[0].species) == ("logs", "oak")
    assert inquiry.work[0].diameter.value == pytest.approx(0.3048) and inquiry.work[0].diameter.origin == "stated"
    assert inquiry.caller.name == "Tobiah Fennimoor" and inquiry.said == LETTER


def test_what_is_struck_stays_out(desk) -> None:
    made = desk.post("/inquiries/paste", act="take", text=LETTER)
    assert made.status_code == 303
    inquiry = read_inquiry(newest(desk).text, "inquiry")
    assert inquiry.machine.record is None and inquiry.work == ()


def test_a_letter_adds_to_an_inquiry(desk) -> None:
    workspace = desk.app.state.desk.workspace
    number = counter.new_inquiry(workspace, 'said = "rang"\n[[work]]\nkind = "brush"\n')
    text = "We have a 9 ft gate and 20 oak logs to move, brush 4 ft high."
    shown = desk.post(f"/inquiries/{number}/paste", act="read", text=text)
    desk.post(f"/inquiries/{number}/paste", act="take", text=text, **ticks(shown.text))
    inquiry = read_inquiry(counter.inquiry(workspace, number).text, "inquiry")
    assert [one.kind for one in inquiry.work] == ["brush", "logs"] and inquiry.work[1].count.value == 20
    assert inquiry.site.gate.value == pytest.approx(9 * 0.3048) and inquiry.said.startswith("rang\n\nWe have")


def test_two_powers_are_both_shown_and_neither_ticked(desk) -> None:
    shown = desk.post("/inquiries/paste", act="read", text="The tractor is 24 hp. Manual says it has 31 hp.")
    assert shown.text.count("two answers in the letter") == 2 and ticks(shown.text) == {}


def test_answers_to_questions_out_are_read_word_for_word(desk) -> None:
    text = (
        "Hello\nQ1 [quick_attach]: Two levers\nQ2 [behind.mass]: Box blade; about 400 lb\n> Q3 [site.gate]: 9 ft 6 in"
    )
    shown = desk.post("/inquiries/paste", act="read", text=text)
    desk.post("/inquiries/paste", act="take", text=text, **ticks(shown.text))
    inquiry = read_inquiry(newest(desk).text, "inquiry")
    assert inquiry.machine.quick_attach == "universal_plate" and inquiry.behind.kind == "box_blade"
    assert inquiry.behind.mass.value == pytest.approx(400 * 0.45359237) and inquiry.behind.mass.kind == "about"
    assert inquiry.site.gate.value == pytest.approx(9.5 * 0.3048)


def test_facts_that_contradict_the_inquiry_are_refused_with_the_reason(desk) -> None:
    text = "Loader lifts 900 lb at the pins and 1400 lb 500 mm ahead of the pins."
    refused = desk.post("/inquiries/paste", act="take", text=text, **{f"take-{n}": "yes" for n in range(4)})
    assert refused.status_code == 422 and "lift_at_500" in refused.text


NASTY = {
    "markup": '<script>alert(1)</script><b onload="x">24 hp</b> </textarea><img src=x> & "q" my oak logs 8 ft long',
    "right to left": "שלום, יש לי טרקטור 24 hp \u202eabc\u202c مرحبا 9 ft gate",
    "one long word": "x" * 10_000,
    "long lines": "oak logs 12 in thick " * 480,
    "nulls": "24\x00 hp\x00\x01\x02 \x1b[31m 9 ft gate",
    "odd letters": "İstanbul ẞ ﬁ 24 hp \u0085 \ufdd0 \ufffe 👩‍🌾 9 ft gate",
    "only breaks": "\n\r\n\r" * 500,
    "deep brackets": "(" * 3_000 + "24 hp" + ")" * 3_000,
}


@pytest.mark.parametrize("kind", NASTY)
def test_pages_survive_what_is_pasted(desk, kind: str) -> None:
    text = NASTY[kind]
    shown = desk.post("/inquiries/paste", act="read", text=text)
    assert shown.status_code == 200
    assert "<script>alert" not in shown.text and "<img" not in shown.text
    kept = re.search(r'name="text" hidden>\n(.*?)</textarea>', shown.text, re.S)
    assert kept and html.unescape(kept[1]) == cleaned(text)
    made = desk.post("/inquiries/paste", act="take", text=text, **ticks(shown.text))
    assert made.status_code == 303
    assert desk.client.get(made.headers["location"]).status_code == 200


def test_a_lone_surrogate_and_a_null_can_be_shown_and_stored() -> None:
    text = cleaned("24 hp \ud800 \x00 9 ft gate")
    assert text.encode("utf-8") and len(text) == len("24 hp x x 9 ft gate")


def test_a_megabyte_is_refused_with_the_reason(desk) -> None:
    refused = desk.post("/inquiries/paste", act="read", text="oak logs " * 80_000)
    assert refused.status_code == 422 and "a letter has at most" in refused.text
    assert desk.post("/inquiries/paste", act="read", text="oak logs " * 150_000).status_code == 413


def test_the_marked_up_letter_is_the_letter() -> None:
    from handfast.machines.reading import demo_shelf

    reading = read_pasted(LETTER, demo_shelf())
    assert "".join(one.text for one in segments(reading)) == LETTER
    for one in reading.facts:
        assert LETTER[one.start : one.end].strip()


def test_the_reply_is_short_and_asks_three_things_at_most(desk) -> None:
    shown = desk.post("/inquiries/paste", act="read", text=LETTER)
    found = re.search(r'<textarea id="reply"[^>]*>\n(.*?)</textarea>', shown.text, re.S)
    assert found
    reply = html.unescape(found[1])
    assert len(reply) <= 1200 and reply.startswith("Hello Tobiah Fennimoor,")
    assert 1 <= len(re.findall(r"^\d\. ", reply, re.M)) <= 3
