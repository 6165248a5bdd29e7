"""Hoses short at dump: from the tag to a replacement order in at most twelve keys; the next quote has the length."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
OUTFIT = "/inquiries/1/outfits/thicketjaw-42~pinned.ears-pins~diverter"
WAITS = 30_000  # ms that a busy machine may take before a test gives up
SEEN = re.compile(r"/orders/1$")


def test_hoses_short_at_dump_in_twelve_keys(page) -> None:
    page.goto(OUTFIT)
    page.get_by_role("button", name="Quote").click()
    page.wait_for_url(re.compile(r"/quotes/1$"))
    before = page.locator(".hoses tr", has_text="1-A2").inner_text()
    assert "comes with the attachment" in before

    page.goto("/")
    pressed: list[str] = []

    def press(*keys: str) -> None:
        for key in keys:
            page.keyboard.press(key)
            pressed.append(key)

    press("c")
    page.wait_for_url(re.compile(r"/comebacks$"))
    expect(page.get_by_label("Tag or quote number")).to_be_focused(timeout=WAITS)
    press("1", "a", "2", "Enter")
    page.wait_for_url(re.compile(r"/comebacks/new\?tag="))
    expect(page.get_by_role("heading", name="What does the caller say?")).to_be_visible(timeout=WAITS)
    press("1")
    page.wait_for_url(re.compile(r"symptom=short_at_dump"))
    expect(page.get_by_label("Short by")).to_be_focused(timeout=WAITS)
    expect(page.locator(".safe")).to_contain_text("Engine off", timeout=WAITS)
    press("3", "Enter")
    page.wait_for_url(SEEN)
    assert len(pressed) <= 12

    order = page.locator("main").inner_text()
    assert "Replacement order 1" in order
    assert "1-A2" in order
    assert "Short by 3 in" in order
    length = re.search(r"Overall length\s+(\d+ ft(?: \d+ in)?|\d+ in)", order)
    assert length

    page.goto(OUTFIT)
    expect(page.locator("main")).to_contain_text("Hose lengths as built, 20", timeout=WAITS)
    page.get_by_role("button", name="Quote").click()
    page.wait_for_url(re.compile(r"/quotes/2$"))
    after = page.locator(".hoses tr", has_text="2-A2").inner_text()
    assert "as built, 20" in after
    assert length[1] in after

    page.goto("/orders/1")
    page.emulate_media(media="print")
    assert not page.locator(".foot").is_visible()
    assert page.get_by_role("heading", name="Replacement order 1").is_visible()


def test_a_comeback_without_script(browser, served: str) -> None:
    context = browser.new_context(java_script_enabled=False, base_url=served)
    page = context.new_page()
    page.goto("/comebacks")
    page.get_by_label("Tag or quote number").fill("one")
    page.get_by_role("button", name="Next").click()
    assert page.get_by_label("Tag or quote number").get_attribute("aria-invalid") == "true"
    page.get_by_label("Tag or quote number").fill("1")
    page.get_by_role("button", name="Next").click()
    page.get_by_role("link", name="Hoses too short").click()
    page.get_by_label("Short by").fill("a bit")
    page.get_by_role("button", name="Keep it and order").click()
    assert page.get_by_label("Short by").get_attribute("aria-invalid") == "true"
    assert page.get_by_label("Which hose").get_attribute("aria-invalid") == "true"
    page.get_by_label("Which hose").select_option("B2")
    page.get_by_label("Short by").fill("50 mm")
    page.get_by_role("button", name="Keep it and order").click()
    assert re.search(r"/orders/\d+$", page.url)
    page.goto("/quotes/1/as-built")
    page.get_by_label("Relief, by gauge").fill("24 lb")
    page.get_by_role("button", name="Keep as built").click()
    assert page.get_by_label("Relief, by gauge").get_attribute("aria-invalid") == "true"
    page.get_by_label("Relief, by gauge").fill("2000 psi")
    page.get_by_role("group", name="Hose A1").get_by_label("Length as laid").fill("80")
    page.get_by_role("button", name="Keep as built").click()
    assert page.get_by_label("Relief, by gauge").input_value() == "2,000 psi"
    assert page.get_by_role("group", name="Hose A1").get_by_label("Length as laid").input_value() == "80"
    context.close()
