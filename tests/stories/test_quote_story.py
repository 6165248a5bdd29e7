"""The whole sale in a real browser: a list, an inquiry, a quote accepted by link on a phone, papers to order by.

Once with the mouse, once by keys alone.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from handfast.web.pages_questions import OUTSIDE

pytestmark = pytest.mark.browser
LIST = """Item No.;Description;Kind;Weight (lb);Price
HB-250;Drum weight with hitch pins, 250 lb;ballast;250;145.00
HB-450;Drum weight with hitch pins, 450 lb;ballast;450;219.00
"""


def listed(page, name: str) -> None:
    """A supplier's list comes in, is looked at and taken."""
    page.goto("/lists")
    page.get_by_label("Supplier").fill("Hollowden")
    file = {"name": name, "mimeType": "text/csv", "buffer": LIST.encode()}
    page.get_by_label("File").set_input_files(file)
    page.get_by_role("button", name="Look at it").click()
    page.wait_for_url(re.compile(r"/lists/\d+$"))
    expect(page.locator("main")).to_contain_text("2 new")
    page.get_by_role("button", name="Put 2 on the shelf").click()
    expect(page.locator("main")).to_contain_text("taken")


def asked(page) -> None:
    """An inquiry is taken down."""
    page.goto("/inquiries/new")
    page.get_by_label("What it is about").fill("Brush off the bank")
    page.get_by_label("Tractor on the shelf").fill("Umberfold Satchel 33")
    work = page.get_by_role("group", name="Work", exact=True)
    work.get_by_label("Kind of work").select_option("brush")
    page.get_by_role("button", name="Take it and answer").click()
    page.wait_for_url(re.compile(r"/inquiries/\d+$"))


def test_list_inquiry_quote_accepted_by_link_order_papers(page, browser, served, monkeypatch) -> None:
    monkeypatch.setenv(OUTSIDE, served)
    listed(page, "hollowden.csv")
    asked(page)
    page.locator(".res > .outs > .out").first.get_by_role("link").click()
    page.wait_for_url(re.compile(r"/outfits/"))
    page.get_by_role("button", name="Quote").click()
    page.wait_for_url(re.compile(r"/quotes/1$"))
    expect(page.locator("main")).to_contain_text("A draft: it has not gone to the customer yet.")

    page.get_by_role("link", name="Make it anew").click()
    page.get_by_label("In your words").first.fill("Good")
    second = page.get_by_role("group", name="Way 2")
    second.get_by_label("Outfit").select_option(index=2)
    second.get_by_label("In your words").fill("Better")
    page.get_by_label("Customer").fill("Tobiah Fennimoor")
    page.get_by_label("Why it is made anew").fill("wants two ways")
    page.get_by_role("button", name="Make version 2").click()
    page.wait_for_url(re.compile(r"/quotes/1$"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Two ways to do it")
    expect(page.locator(".diff")).to_contain_text("Way 2: Better")
    page.get_by_role("button", name="Mark as sent").click()
    page.get_by_role("button", name="Make a link").click()
    link = page.get_by_label("Link", exact=True).input_value()
    assert link.startswith(f"{served}/a/offer/")

    by_phone(browser, link)

    page.goto("/quotes?find=fennimoor&state=accepted")
    page.get_by_role("link", name="Quote 1").first.click()
    expect(page.locator(".answered")).to_contain_text("Tobiah Fennimoor")
    expect(page.locator(".answered")).to_contain_text("private link")
    for kind in ("parts-order", "pick-list", "purchase-order"):
        paper = page.request.get(f"/quotes/1/{kind}.pdf")
        assert paper.ok and paper.body().startswith(b"%PDF-"), kind
    expect(page.get_by_role("link", name="Parts order")).to_be_visible()
    page.get_by_role("button", name="Mark as ordered").click()
    expect(page.locator("main")).to_contain_text("Ordered. It waits to be delivered.")


def by_phone(browser, link: str) -> None:
    """The customer's page on a phone whose browser runs no script at all."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    phone = context.new_page()
    phone.goto(link)
    expect(phone.get_by_role("heading", level=1)).to_contain_text("version 2")
    phone.get_by_label("I choose this way").nth(1).check()
    for one in phone.get_by_role("radio", name="I take it").all():
        one.check()
    fitting = phone.locator("input[name='o-2-fitting']")
    if fitting.count():
        fitting.uncheck()
    phone.get_by_label("Your name").fill("Tobiah Fennimoor")
    phone.get_by_role("button", name="I accept this offer").click()
    if fitting.count():
        expect(phone.get_by_role("status")).to_contain_text("figures for what you chose")
        phone.get_by_role("button", name="I accept this offer").click()
    expect(phone.get_by_role("status")).to_contain_text("This is what was shown.")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()


def until_focused(page, name: str, back: bool = False) -> None:
    """Tab until the named control has the focus."""
    for _ in range(140):
        page.keyboard.press("Shift+Tab" if back else "Tab")
        text = page.evaluate(
            "(e => (e.labels && e.labels.length ? e.labels[0].textContent : '') || e.getAttribute('aria-label')"
            " || e.textContent)(document.activeElement)"
        )
        if name in " ".join(text.split()):
            return
    raise AssertionError(f"no way to {name!r} by the Tab key")


def test_the_same_by_keys_alone(page, served, monkeypatch) -> None:
    monkeypatch.setenv(OUTSIDE, served)
    page.goto("/inquiries/5")
    page.locator("#main").focus()
    page.keyboard.press("q")
    page.wait_for_url(re.compile(r"/quotes/\d+$"))
    until_focused(page, "Mark as sent")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("Sent; it waits")
    until_focused(page, "Make a link")
    page.keyboard.press("Enter")
    quote = page.url
    page.goto(page.get_by_label("Link", exact=True).input_value())
    until_focused(page, "I take it")
    page.keyboard.press("Space")
    until_focused(page, "Your name")
    page.keyboard.type("Tobiah Fennimoor")
    until_focused(page, "I accept this offer")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("This is what was shown.")
    page.goto(quote)
    until_focused(page, "Mark as ordered")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("Ordered. It waits to be delivered.")
    until_focused(page, "Purchase order")
    assert page.request.get(page.evaluate("document.activeElement.getAttribute('href')")).ok
