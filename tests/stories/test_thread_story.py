"""The thread page in a real browser: an end measured in the yard, told apart from its look-alikes, by keys alone too.

9/16-18 UNF is the thread of a 37-degree flare -6, an O-ring boss -6 and a face seal -4 (SAE J514, SAE J1926-1, SAE
J1453; from memory): the thread alone can't tell them apart, what seals can.
"""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


def families(page) -> list[str]:
    return [text.casefold() for text in page.locator("table.list tbody th").all_inner_texts()]


def reach(page, selector: str, presses: int = 40) -> None:
    """Go to a control with the tab key alone."""
    for _ in range(presses):
        page.keyboard.press("Tab")
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
    raise AssertionError(f"{selector} is not reached by the keyboard")


def test_an_end_is_told_apart_by_what_seals(page) -> None:
    page.goto("/reckoning/thread")
    page.locator("#f-od").fill("0.56")
    page.locator("#f-tpi").fill("18")
    page.get_by_role("button", name="What is it?").click()
    before = families(page)
    assert len(before) >= 3 and page.get_by_role("heading", name="What would settle it").is_visible()
    seat = page.locator("#f-seat")
    seat.select_option(next(o for o in seat.locator("option").all_inner_texts() if "37" in o))
    page.get_by_role("button", name="What is it?").click()
    after = families(page)
    assert "37" in after[0] and len(after) <= len(before)


def test_the_same_by_keys_alone(page) -> None:
    page.goto("/reckoning/thread")
    reach(page, "#f-od")
    page.keyboard.type("0.56")
    reach(page, "#f-tpi")
    page.keyboard.type("18")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="It may be").wait_for()
    assert len(families(page)) >= 3


def test_a_wrong_unit_is_said_at_its_field(page) -> None:
    page.goto("/reckoning/thread?od=24+lb")
    assert page.locator("#f-od").get_attribute("aria-invalid") == "true"
    assert page.locator("#f-od").input_value() == "24 lb"
