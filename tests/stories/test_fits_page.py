"""The page of fits as a file by itself: readable without script, searched with it, clean to axe, no price on it."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest

from handfast.bulk.fits_page import fits_page
from handfast.bulk.territory import territory_of
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf

pytestmark = pytest.mark.browser
TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]
RUN = """async tags => (await axe.run(document, {runOnly: {type: "tag", values: tags}})).violations
 .map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(" | "))"""
LOGS = {"work": [{"kind": "logs", "diameter": "14 in", "length": "6 ft", "species": "oak"}, {"kind": "pallets"}]}


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("fits") / "fits.html"
    found = territory_of(Inquiry.model_validate(LOGS), demo_shelf())
    path.write_text(fits_page(found, "Quernwater <b>Implements</b>", "2031-05-04"), encoding="utf-8")
    return path


@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (1440, "dark"), (390, "light"), (720, "light")])
def test_axe_finds_nothing(browser, written: Path, width: int, scheme: str) -> None:
    spec = find_spec("axe_playwright_python")
    assert spec is not None and spec.origin is not None
    # axe comes in from outside, so the page's own content policy is set aside for it alone
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.goto(written.as_uri())
    page.add_script_tag(path=str(Path(spec.origin).parent / "axe.min.js"))
    assert page.evaluate(RUN, TAGS) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    context.close()


def test_search_narrows_and_without_script_all_stands(browser, written: Path) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(written.as_uri())
    every = page.locator("section:visible").count()
    assert every == len(demo_shelf().machines)
    page.get_by_label("Tractor or attachment").fill("thimble 24 billetjaw")
    assert page.locator("section:visible h2").all_inner_texts() == ["Umberfold Thimble 24"]
    assert all("Billetjaw" in row for row in page.locator("tbody tr:visible th").all_inner_texts())
    context.close()
    plain = browser.new_context(java_script_enabled=False)
    page = plain.new_page()
    page.goto(written.as_uri())
    assert page.locator("section").count() == every
    assert not page.get_by_label("Tractor or attachment").is_visible()
    plain.close()


def test_no_price_and_no_markup_of_others(written: Path) -> None:
    text = written.read_text("utf-8")
    shelf = demo_shelf()
    prices = {f"{one.price.value:,.0f}" for one in shelf.attachments.values() if not one.price.is_unknown}
    assert "USD" not in text and "$" not in text.split("<script>")[0]
    assert not [one for one in prices if f">{one}<" in text]
    assert "<b>Implements" not in text and "&lt;b&gt;Implements" in text
    assert "http:" not in text and "https:" not in text
