"""Questions out in a real browser: the customer's page on a telephone, without signal, by keys; the page file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from handfast.web.pages_questions import OUTSIDE

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}


HALF_KNOWN = """title = "Tobiah wants logs moved"
[machine]
engine_power = "about 30 hp"
[[work]]
kind = "logs"
"""


@pytest.fixture
def inquiry(page) -> str:
    """Address of a half-known call of its own."""
    page.goto("/inquiries/new?as=text")
    page.locator("textarea").first.fill(HALF_KNOWN)
    page.get_by_role("button", name="Take it and answer").click()
    page.wait_for_url(re.compile(r"/inquiries/\d+$"))
    return page.url


@pytest.fixture
def link(page, inquiry: str, served: str, monkeypatch) -> str:
    """A private link to its questions; the story reaches it under another name of this machine."""
    monkeypatch.setenv(OUTSIDE, served.replace("127.0.0.1", "localhost"))
    page.goto(inquiry + "/questions")
    page.get_by_role("button", name="Make a link").click()
    return page.locator("#link").input_value()


def test_nothing_is_lost_on_a_telephone_without_signal(browser, page, inquiry: str, link: str) -> None:
    context = browser.new_context(viewport=PHONE)
    phone = context.new_page()
    phone.goto(link)
    assert phone.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    phone.get_by_role("radio", name="Four pins").check()
    context.set_offline(True)
    phone.get_by_role("button", name="Send the answers").click()
    phone.get_by_text("No signal. Your answers are kept").wait_for()
    context.set_offline(False)
    phone.get_by_text("Your answers arrived").wait_for()
    phone.reload()
    assert phone.get_by_role("radio", name="Four pins").is_checked()
    context.close()
    page.goto(inquiry + "/questions")
    page.get_by_role("button", name="Take what is ticked").click()
    page.wait_for_url(inquiry)
    assert (
        "pinned" in page.locator("#fact-machine-quick_attach").inner_text().casefold()
        or page.get_by_text("pinned").count()
    )


def test_answers_wait_on_the_phone_across_a_closed_page(browser, link: str) -> None:
    context = browser.new_context(viewport=PHONE)
    phone = context.new_page()
    phone.goto(link)
    phone.get_by_role("radio").first.check()
    chosen = phone.locator("input:checked").get_attribute("value")
    context.set_offline(True)
    phone.get_by_role("button", name="Send the answers").click()
    phone.get_by_text("No signal").wait_for()
    phone.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(link)
    again.get_by_text("Your answers arrived").first.wait_for()
    assert again.locator("input:checked").first.get_attribute("value") == chosen
    context.close()


def test_the_customer_answers_with_keys_alone(browser, link: str) -> None:
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    phone = context.new_page()
    phone.goto(link)
    phone.keyboard.press("Tab")
    phone.keyboard.press("Space")
    for _ in range(30):
        phone.keyboard.press("Tab")
        if phone.evaluate("document.activeElement.tagName") == "BUTTON":
            break
    phone.keyboard.press("Enter")
    phone.get_by_text("Your answers arrived").wait_for()
    context.close()


def test_the_page_file_writes_text_that_is_read_back(browser, page, inquiry: str, tmp_path: Path) -> None:
    page.goto(inquiry + "/questions")
    with page.expect_download() as coming:
        page.get_by_role("link", name="Page file to send").click()
    file = tmp_path / "questions.html"
    coming.value.save_as(file)
    context = browser.new_context(viewport=PHONE)
    phone = context.new_page()
    asked: list[str] = []
    phone.on("request", lambda ask: asked.append(ask.url))
    phone.goto(file.as_uri())
    phone.get_by_role("radio", name="Two levers").check()
    phone.locator("input[maxlength]").first.fill("1,150 lb")
    text = phone.locator("#reply").input_value()
    context.close()
    assert asked == [file.as_uri()]
    assert re.fullmatch(r"Q1 \[quick_attach\]: Two levers\nQ\d \[loader.lift_at_pin\]: 1,150 lb", text), text
    page.get_by_label("Paste the message").fill("Here you go:\n" + text + "\nT.")
    page.get_by_role("button", name="Read it").click()
    assert page.locator(".backs li").count() == 2
    page.get_by_role("button", name="Take what is ticked").click()
    page.wait_for_url(inquiry)
    assert page.get_by_text("1,150 lb").count()
