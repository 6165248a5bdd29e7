"""Pasting an e-mail in a real browser: facts marked, struck or taken, a reply drafted; by keys alone too."""

from __future__ import annotations

import re

import pytest

pytestmark = pytest.mark.browser
LETTER = """Hello, I have a Thimble 24, bucket pinned on. Want to lift oak logs, 12 inches by 8 feet.
My neighbour has a Hamper 42 with two remotes. Budget is 3,000 dollars.
Odo Treadwell, Sawpit Bend"""


def reach(page, selector: str, presses: int = 60) -> None:
    """Go to a control with the tab key alone."""
    for _ in range(presses):
        page.keyboard.press("Tab")
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
    raise AssertionError(f"{selector} is not reached by the keyboard")


def test_a_letter_becomes_an_inquiry_of_what_is_ticked(page) -> None:
    page.goto("/inquiries/paste")
    page.get_by_label("Paste the e-mail or the message").fill(LETTER)
    page.get_by_role("button", name="Read it").click()
    marked = page.locator(".letter mark").all_inner_texts()
    assert any("Thimble 24" in one for one in marked) and not any("Hamper" in one for one in marked)
    assert page.locator("#reply").input_value()
    budget = page.locator(".found li", has_text="3000").get_by_role("checkbox")
    budget.uncheck()
    page.get_by_role("button", name="Make an inquiry of what is ticked").click()
    page.wait_for_url(re.compile(r"/inquiries/\d+$"))
    facts = page.locator("section.facts").inner_text()
    assert "Umberfold Thimble 24" in facts and "pinned" in facts and "oak" in facts and "$3,000" not in facts


def test_the_same_by_keys_alone(page) -> None:
    page.goto("/inquiries/paste")
    reach(page, "#text")
    page.keyboard.insert_text(LETTER)
    reach(page, "button[value=read]")
    page.keyboard.press("Enter")
    page.locator(".found").wait_for()
    reach(page, ".found input")
    assert page.evaluate("document.activeElement.checked")
    page.keyboard.press("Space")
    assert not page.evaluate("document.activeElement.checked")
    reach(page, "button[value=take]")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/inquiries/\d+$"))


def test_on_a_telephone_nothing_runs_out_of_the_page(browser, served: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, base_url=served)
    phone = context.new_page()
    phone.goto("/inquiries/paste")
    phone.get_by_label("Paste the e-mail or the message").fill(LETTER + "\n" + "x" * 500)
    phone.get_by_role("button", name="Read it").click()
    phone.locator(".found").wait_for()
    assert phone.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    context.close()
