"""axe-core on every page: light, blueprint, phone width; and what axe can't see: overflow, focus, forced colours."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from urllib.parse import quote

import pytest

from handfast.web.pages_questions import OUTSIDE

pytestmark = pytest.mark.browser
TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]
RUN = """async tags => (await axe.run(document, {runOnly: {type: "tag", values: tags}})).violations
 .map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(" | "))"""
LOOKS = {"light": (1440, "light"), "blueprint": (1440, "dark"), "phone": (390, "light"), "zoomed": (720, "light")}


def axe_script() -> str:
    """axe-core as the hashed lock's package ships it, found without importing the package."""
    spec = find_spec("axe_playwright_python")
    assert spec is not None and spec.origin is not None
    return str(Path(spec.origin).parent / "axe.min.js")


def test_axe_knows_the_tags() -> None:
    text = Path(axe_script()).read_text("utf-8")
    assert all(tag in text for tag in TAGS)


def offered(page, outfit: str, served: str) -> str:
    """A second quote of parts only, a third that is sent; the address of its private link."""
    page.goto(outfit)
    page.get_by_role("button", name="Quote").click()
    page.get_by_label("It is", exact=True).select_option("declined")
    page.get_by_label("by (customer)").fill("T. Fennimoor")
    page.get_by_label("taken down by").fill("Ada Quill")
    page.get_by_role("button", name="Keep the answer").click()
    page.goto(outfit)
    page.get_by_role("button", name="Quote").click()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(OUTSIDE, served)
        page.get_by_role("button", name="Mark as sent").click()
        page.get_by_role("button", name="Make a link").click()
        return page.get_by_label("Link", exact=True).input_value()


@pytest.fixture(scope="module")
def addresses(browser, served: str) -> dict[str, str]:
    """Every page once, and the states that a page can be in."""
    context = browser.new_context(base_url=served)
    page = context.new_page()
    page.goto("/inquiries/1")
    outfit = page.locator(".out a").first.get_attribute("href")
    whole = page.request.get("/inquiries/6/json").json()
    failing = f"/inquiries/6/outfits/{quote(whole['outfits'][0]['id'], safe='')}"
    page.goto(outfit)
    page.get_by_role("button", name="Quote").click()
    offer = offered(page, outfit, served)
    page.goto("/comebacks/new?tag=1&symptom=leaks")
    page.get_by_role("button", name="Keep it and order").click()
    for what, read in (("wheelbase_by_tape", "90 in"), ("whole_on_scale", "3,600 lb")):
        page.goto(f"/inquiries/7/measure?what={what}")
        page.get_by_label("What it read").fill(read)
        page.get_by_role("button", name="Take it in").click()
    page.goto("/inquiries/7")
    page.locator("#promised summary").click()
    page.get_by_label("What", exact=True).fill("ring back with the price")
    page.get_by_label("By when").fill("2026-01-05 12:00")
    page.get_by_role("button", name="Promise it").click()
    page.goto("/calls")
    page.get_by_label("What the caller says").fill("24 horse, two levers, oak logs")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/inquiries/9")
    page.get_by_role("button", name="New call").click()
    page.wait_for_url("**/inquiries/10")
    context.close()
    return {
        "list": "/",
        "numbers": "/numbers",
        "numbers, no such span": "/numbers?from=x",
        "new": "/inquiries/new",
        "text": "/inquiries/new?as=text",
        "edit": "/inquiries/1/edit",
        "call": "/inquiries/1",
        "half known": "/inquiries/7",
        "call on hold": "/inquiries/9",
        "nothing known": "/inquiries/10",
        "calls": "/calls",
        "turned": "/inquiries/7?turned=1",
        "history": "/inquiries/7/history",
        "searched": "/?find=oak&state=asked",
        "nothing fits": "/inquiries/6",
        "outfit": outfit,
        "outfit that fails": failing,
        "papers": "/quotes",
        "quote": "/quotes/1",
        "papers searched": "/quotes?state=draft&find=nobody",
        "quote made anew": "/quotes/1/anew",
        "older version": "/quotes/1?version=1",
        "parts only": "/quotes/2",
        "quote sent": "/quotes/3",
        "offer by link": offer,
        "closed offer": "/a/offer/nothing",
        "as built": "/quotes/1/as-built",
        "comebacks": "/comebacks",
        "what is said": "/comebacks/new?tag=1",
        "what to look at": "/comebacks/new?tag=1&symptom=short_at_dump",
        "comeback": "/comebacks/1",
        "order": "/orders/1",
        "reckoning": "/reckoning",
        "thread": "/reckoning/thread",
        "thread found": "/reckoning/thread?od=0.81",
        "thread refused": "/reckoning/thread?od=24+lb",
        "circuit": "/reckoning/circuit",
        "slope": "/reckoning/slope",
        "balance": "/reckoning/balance",
        "lift as text": "/reckoning/lift?as=text",
        "shelf": "/shelf",
        "shelf sorted": "/shelf?sort=attachments.price&order=down",
        "machine": "/shelf/machines/thimble-24",
        "side photo": "/shelf/machines/thimble-24/photo",
        "attachment that is asked about": "/shelf/attachments/stookwright-bale-54",
        "tractor's form": "/shelf/machines/thimble-24/edit",
        "attachment as text": "/shelf/attachments/billetjaw-32/edit?as=text",
        "new part": "/shelf/parts/new",
        "price book": "/shelf/price-book",
        "price book's form": "/shelf/price-book/edit",
        "settings": "/settings",
        "people": "/people",
        "login": "/login",
        "you": "/me",
        "glossary": "/glossary",
        "for programs": "/api",
        "about": "/about",
        "measure": "/inquiries/7/measure",
        "measure this": "/inquiries/3/measure?what=slope_by_phone",
        "questions out": "/inquiries/7/questions",
        "questions on a sheet": "/inquiries/7/questions/sheet",
        "closed link": "/a/nothing",
        "lists": "/lists",
        "prices": "/shelf/prices",
        "side by side": "/inquiries/1/side-by-side",
        "paste": "/inquiries/paste",
        "paste into one": "/inquiries/1/paste",
        "not there": "/nothing",
    }


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_nothing(browser, served: str, addresses: dict[str, str], look: str) -> None:
    width, scheme = LOOKS[look]
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, base_url=served, bypass_csp=True
    )
    page = context.new_page()
    found = []
    for name, address in addresses.items():
        page.goto(address)
        page.wait_for_load_state("networkidle")
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        page.add_script_tag(path=axe_script())
        found += [f"{name}: {one}" for one in page.evaluate(RUN, TAGS)]
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        found += [f"{name}: {wide} px wider than the window"] if wide > 0 else []
    context.close()
    assert found == []


def test_a_refused_form_is_as_good(browser, served: str) -> None:
    context = browser.new_context(base_url=served, bypass_csp=True)
    page = context.new_page()
    page.goto("/inquiries/new")
    page.get_by_label("Engine power").fill("24 lb")
    page.get_by_label("Slope").fill("30")
    page.get_by_role("button", name="Take it and answer").click()
    assert page.evaluate("document.activeElement.id") == "faults"
    page.add_script_tag(path=axe_script())
    assert page.evaluate(RUN, TAGS) == []
    context.close()


def test_focus_is_always_seen(browser, served: str, addresses: dict[str, str]) -> None:
    context = browser.new_context(viewport={"width": 1440, "height": 900}, base_url=served)
    page = context.new_page()
    for address in (addresses["call"], addresses["outfit"], addresses["new"]):
        page.goto(address)
        for _ in range(40):
            page.keyboard.press("Tab")
            seen = page.evaluate(
                """() => { const e = document.activeElement; if (e === document.body) { return "body"; }
                const s = getComputedStyle(e), r = e.getBoundingClientRect();
                const lined = s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2;
                return lined && r.width > 0 ? "seen" : e.outerHTML; }"""
            )
            assert seen in ("seen", "body"), (address, seen[:200])
    context.close()


def test_every_drawing_speaks(browser, served: str, addresses: dict[str, str]) -> None:
    """Each drawing is either named with its figures or marked as standing beside them."""
    context = browser.new_context(base_url=served)
    page = context.new_page()
    for address in (addresses["call"], addresses["outfit"], addresses["thread"], addresses["slope"]):
        page.goto(address)
        mute = page.evaluate(
            """() => [...document.querySelectorAll("svg.dr")].filter(s => !s.closest("[aria-hidden=true]"))
            .filter(s => !(s.querySelector("desc") && /\\d/.test(s.querySelector("desc").textContent)))
            .map(s => s.outerHTML.slice(0, 160))"""
        )
        assert mute == []
    context.close()


def test_forced_colours_keep_the_verdicts_apart(browser, served: str) -> None:
    context = browser.new_context(base_url=served, forced_colors="active", color_scheme="dark")
    page = context.new_page()
    page.goto("/inquiries/1")
    marks = page.locator(".out .mark").evaluate_all("all => all.map(e => e.innerHTML)")
    assert len(set(marks)) >= 2
    ink = page.locator(".out .mark .w").first.evaluate("e => getComputedStyle(e).stroke")
    ground = page.locator("body").evaluate("e => getComputedStyle(e).backgroundColor")
    assert ink != ground
    context.close()
