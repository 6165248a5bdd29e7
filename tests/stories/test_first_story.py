"""The main job in a real browser: a new inquiry, ranked outfits, a drawing that moves, a paper that opens."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def drawn(page) -> str:
    return page.locator("#drawing").inner_html()


def moved(page, before: str) -> None:
    for _ in range(100):
        if drawn(page) != before:
            return
        page.wait_for_timeout(50)
    raise AssertionError("the drawing did not move")


def slide(page, to: str, what: str = "height") -> None:
    slider = page.locator(f"#s-{what}")
    before = drawn(page)
    slider.focus()
    slider.press(to)
    moved(page, before)


def test_from_a_new_inquiry_to_a_paper(page) -> None:
    page.goto("/")
    assert page.locator(".callrow").count() == 8
    page.get_by_role("link", name="New inquiry").click()
    page.get_by_label("What it is about").fill("Oak logs, little tractor")
    page.get_by_label("Tractor on the shelf").fill("Umberfold Thimble 24")
    first = page.get_by_role("group", name="Work", exact=True)
    first.get_by_label("Kind of work").select_option("logs")
    first.get_by_label("Species").fill("red oak")
    first.get_by_label("Diameter").fill("12 lb")
    first.get_by_label("Length").fill("8 ft")
    page.get_by_role("button", name="Take it and answer").click()

    fault = first.get_by_label("Diameter")
    assert fault.get_attribute("aria-invalid") == "true"
    assert fault.input_value() == "12 lb"
    fault.fill("12 in")
    page.get_by_role("button", name="Take it and answer").click()

    page.wait_for_url(re.compile(r"/inquiries/9$"))
    rows = page.locator(".res > .outs > .out")
    assert rows.count() >= 3
    assert rows.first.locator(".rk").inner_text().startswith("1")
    said = page.locator(".say2").inner_text()

    page.get_by_label("Type a fact").fill("behind 300 lb")
    page.get_by_role("button", name="Put in").click()
    expect(page.locator("#fact-behind-mass .val")).to_contain_text("300")
    assert page.locator(".say2").inner_text() != said or page.locator("#fact-behind-mass .val.sure").count() == 1

    rows.first.get_by_role("link").click()
    page.wait_for_url(re.compile(r"/outfits/"))
    slide(page, "Home")
    low = page.locator("output[for=s-height]").inner_text()
    slide(page, "End")
    high = page.locator("output[for=s-height]").inner_text()
    assert int(low.split()[0]) < int(high.split()[0])
    assert high.split()[0] in page.locator("#drawing desc").first.text_content()

    paper = page.request.get(page.locator("a[data-key=p]").get_attribute("href"))
    assert paper.ok
    assert paper.body().startswith(b"%PDF-")
    page.get_by_role("button", name="Quote").click()
    page.wait_for_url(re.compile(r"/quotes/1$"))
    quote = page.request.get(page.get_by_role("link", name="Open as PDF").get_attribute("href"))
    assert quote.body().startswith(b"%PDF-")


def test_the_piece_is_moved_from_the_smallest_to_the_largest_that_the_jaw_takes(page) -> None:
    page.goto("/inquiries/1")
    page.locator(".res > .outs > .out").first.get_by_role("link").click()
    page.wait_for_url(re.compile(r"/outfits/"))
    slider = page.locator("#s-piece")
    least, own, most = (int(slider.get_attribute(name)) for name in ("min", "value", "max"))
    assert least < own < most
    said = []
    for key in ("Home", "End"):
        slide(page, key, "piece")
        said.append(page.locator("output[for=s-piece]").inner_text())
        expect(page.locator("#drawing desc").first).to_contain_text(f"{said[-1]} thick")
    assert said == [f"{least} in", f"{most} in"]
    before = drawn(page)
    page.locator("body").press("<")
    moved(page, before)
    expect(page.locator("output[for=s-piece]")).to_have_text(f"{most - 1} in")
    slide(page, "End", "lid")
    assert page.locator("output[for=s-lid]").inner_text().endswith("° open")


def test_the_keys_alone(page) -> None:
    page.goto("/inquiries/1")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "line"
    page.keyboard.type("gate 5 ft 6 in")
    page.keyboard.press("Enter")
    expect(page.locator("#fact-site-gate .val")).to_contain_text("5 ft 6 in")
    page.keyboard.press("Escape")
    page.keyboard.press("o")
    page.keyboard.press("2")
    page.wait_for_url(re.compile(r"/outfits/"))
    before = drawn(page)
    page.keyboard.press("ArrowDown")
    moved(page, before)
    for letter in "abcdefg":
        page.keyboard.press(letter)
        assert page.evaluate("document.activeElement.id") == f"h-{letter}"
    page.keyboard.press("?")
    assert page.get_by_role("dialog").is_visible()
    page.keyboard.press("Escape")
    page.keyboard.press("u")
    expect(page.locator("output[for=s-height]")).to_contain_text("cm")
    page.get_by_role("button", name="bare keys").click()
    expect(page.locator("body")).not_to_have_attribute("data-keys", "on")
    page.keyboard.press("n")
    page.keyboard.press("b")
    assert "/outfits/" in page.url
    assert page.evaluate("document.activeElement.id") != "h-b"


def test_an_answer_to_ask_next_is_put_in_and_a_wrong_one_is_said(page) -> None:
    page.goto("/inquiries/7")
    assert "bucket come off" in page.locator(".ask .say").inner_text()
    page.locator("[data-reply='2']").click()
    expect(page.locator("#fact-machine-quick_attach .val")).to_contain_text("pinned")
    page.get_by_label("Type a fact").fill("slope 30 lb")
    page.get_by_role("button", name="Put in").click()
    page.locator("#faults").wait_for()
    assert page.locator("[aria-invalid=true]").first.input_value() == "30 lb"


def test_without_script_it_reads_and_takes_forms(browser, served: str) -> None:
    context = browser.new_context(java_script_enabled=False, base_url=served)
    page = context.new_page()
    page.goto("/inquiries/2")
    page.locator("#fact-site-slope summary").click()
    page.locator("#c-f-site-slope").fill("5 %")
    page.locator("#fact-site-slope").get_by_role("button", name="Keep").click()
    assert "5.0 %" in page.locator("#fact-site-slope .val").inner_text()
    page.locator(".out a").first.click()
    page.get_by_role("button", name="Draw").click()
    assert "height=" in page.url
    page.goto("/inquiries/1")
    page.locator(".out a").first.click()
    page.get_by_role("button", name="Draw").click()
    address = re.sub(r"piece=\d+", "piece=9", page.url)
    assert address != page.url
    page.goto(address)
    assert page.locator("#s-piece").input_value() == "9"
    assert "9 in thick" in page.locator("#drawing desc").first.text_content()
    context.close()


def test_the_first_load_is_light(browser, served: str) -> None:
    context = browser.new_context(viewport={"width": 1440, "height": 900}, base_url=served)
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    taken: list[float] = []
    session.on("Network.loadingFinished", lambda event: taken.append(event["encodedDataLength"]))
    page.goto("/inquiries/1")
    page.wait_for_load_state("networkidle")
    context.close()
    assert len(taken) >= 8
    assert sum(taken) <= 150_000
