"""The shelf in a real browser: add a tractor, copy an attachment, retire a part; with the mouse, and by keys alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_add_copy_and_retire(page) -> None:
    page.goto("/shelf")
    page.get_by_role("link", name="Add a tractor").click()
    page.get_by_label("Name", exact=True).fill("Umberfold Thimble 26")
    page.get_by_label("Class").select_option("subcompact")
    open_up(page, "Size and weight")
    page.get_by_label("Mass, loader on [lb]", exact=True).fill("2400 hp")
    page.get_by_label("Wheelbase [in]", exact=True).fill("fifty")
    page.get_by_role("button", name="Keep it").last.click()
    expect(page.locator("#faults")).to_be_focused()
    expect(page.locator("#faults")).to_contain_text("2 things to put right")
    expect(page.get_by_label("Mass, loader on [lb]", exact=True)).to_have_value("2400 hp")
    page.get_by_label("Mass, loader on [lb]", exact=True).fill("about 2400")
    page.get_by_label("Mass, loader on: where from").select_option("weighed")
    page.get_by_label("Wheelbase [in]", exact=True).fill("95")
    page.get_by_role("button", name="Keep it").last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Umberfold Thimble 26")
    expect(page.locator("main")).to_contain_text("about 2,400 lb")
    expect(page.locator("main")).to_contain_text("about, weighed")
    expect(page.locator(".asked")).to_contain_text("wheelbase: 7 ft 11 in; expected")

    page.get_by_role("link", name="Shelf", exact=True).first.click()
    page.get_by_role("link", name="Billetjaw 32 log grapple").click()
    page.get_by_role("link", name="Copy").click()
    page.get_by_label("Name", exact=True).fill("Billetjaw 34 log grapple")
    page.get_by_role("group", name="Size and weight").get_by_label("Width [in]").fill("34")
    page.get_by_role("button", name="As text").click()
    expect(page.get_by_label("The record as text (TOML)")).to_have_value(containing('width = { value = "34 in"'))
    page.get_by_role("button", name="Fields").click()
    page.get_by_role("button", name="Keep it").last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Billetjaw 34 log grapple")
    expect(page.locator("main")).to_contain_text("2 ft 10 in")

    page.goto("/shelf?find=third+function&only=parts")
    page.locator(".shelflist a[href^='/shelf/parts/']").first.click()
    name = page.get_by_role("heading", level=1).inner_text()
    page.get_by_role("button", name="Retire").click()
    expect(page.locator(".head")).to_contain_text("retired")
    page.goto("/shelf?only=parts")
    expect(page.get_by_role("link", name=name, exact=True)).to_be_hidden()
    page.get_by_text("Retired: 1").click()
    page.get_by_role("link", name=name, exact=True).click()
    page.get_by_role("button", name="Bring back").click()
    expect(page.get_by_role("button", name="Retire")).to_be_visible()


def containing(text: str):
    import re

    return re.compile(re.escape(text))


def open_up(page, title: str) -> None:
    """Unfold a group where it is folded."""
    group = page.locator("details.group", has=page.get_by_role("heading", name=title, exact=True))
    if group.get_attribute("open") is None:
        group.locator("summary").first.click()


def tab_to(page, reached: str, back: bool = False) -> None:
    """Press Tab until the element is reached that the script finds."""
    for _ in range(600):
        page.keyboard.press("Shift+Tab" if back else "Tab")
        if page.evaluate(f"() => {{ const e = document.activeElement; return Boolean({reached}); }}"):
            return
    raise AssertionError(f"never reached by keys: {reached}")


def test_the_same_by_keys_alone(page) -> None:
    page.goto("/shelf")
    tab_to(page, "e.textContent === 'Add a tractor'")
    page.keyboard.press("Enter")
    page.wait_for_url("**/shelf/machines/new")
    tab_to(page, "e.id === 'f-name'")
    page.keyboard.type("Umberfold Thimble 28")
    tab_to(page, "e.id === 'f-mass'")
    page.keyboard.type("2500")
    tab_to(page, "e.tagName === 'SUMMARY' && e.textContent === 'Loader'")
    page.keyboard.press("Enter")
    tab_to(page, "e.id === 'f-loader-lift_at_pin'")
    page.keyboard.type("960 lb")
    page.keyboard.press("Enter")  # from any field, as by its button
    page.wait_for_url("**/shelf/machines/umberfold-thimble-28")
    expect(page.locator("main")).to_contain_text("2,500 lb")

    page.goto("/shelf/attachments/billetjaw-40")
    tab_to(page, "e.textContent === 'Copy'")
    page.keyboard.press("Enter")
    page.wait_for_url("**/new?copy=billetjaw-40")
    tab_to(page, "e.id === 'f-name'")
    page.keyboard.press("Control+a")
    page.keyboard.type("Billetjaw 41")
    tab_to(page, "e.textContent === 'Keep it' && e.className === 'main'")
    page.keyboard.press("Enter")
    page.wait_for_url("**/shelf/attachments/billetjaw-41")

    page.goto("/shelf/parts/third-function-open")
    tab_to(page, "e.textContent === 'Retire'")
    page.keyboard.press("Enter")
    expect(page.locator(".head")).to_contain_text("retired")
    tab_to(page, "e.textContent === 'Bring back'")
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Retire")).to_be_visible()


def test_a_word_of_the_trade_opens_in_place_by_a_key(page) -> None:
    page.goto("/shelf/machines/thimble-24")
    tab_to(page, "e.tagName === 'SUMMARY' && e.textContent.includes('breakout force')")
    page.keyboard.press("Enter")
    expect(page.get_by_text("It says little about what can be carried up.")).to_be_visible()
