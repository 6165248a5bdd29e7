"""A side photo in a real browser: an invented loader drawn to scale, its pins marked by mouse, and by keys alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import expect

from handfast.machines.shelf_files import demo_shelf
from handfast.reckoning.from_photo import FRAME
from handfast.reckoning.lift import ALWAYS, linkage_of

pytestmark = pytest.mark.browser
SIZE, METRE, LEFT, DOWN = (1200, 800), 300.0, 220.0, 700.0
WHEELBASE = 1.6


def places() -> dict[str, tuple[float, float]]:
    """Where each mark is on the drawing [px]."""
    points = linkage_of(demo_shelf().machines["thimble-24"]).points._asdict()
    at = {name: complex(points[name]) for name in ALWAYS}
    at |= {"ground_rear": 0j, "ground_front": WHEELBASE + 0j, "rear_axle": 0.55j}
    at |= {"scale_a": 0.55j, "scale_b": WHEELBASE + 0.55j}
    return {name: (LEFT + METRE * p.real, DOWN - METRE * p.imag) for name, p in at.items()}


@pytest.fixture(scope="module")
def drawing(browser, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A side view of the known linkage as a picture file, at 300 px to a metre."""
    at = places()
    wheels = "".join(f'<circle cx="{at[n][0]}" cy="{at[n][1]}" r="160" fill="none" stroke="#555" stroke-width="20"/>'
                     for n in ("scale_a", "scale_b"))  # fmt: skip
    rods = "".join(
        '<line x1="{}" y1="{}" x2="{}" y2="{}" stroke="#a86" stroke-width="14"/>'.format(*at[a], *at[b])
        for a, b in (("arm_pivot", "tool_pivot"), ("lift_base", "lift_rod"), ("tilt_base", "tilt_rod"))
    )
    pins = "".join('<circle cx="{}" cy="{}" r="7" fill="#222"/>'.format(*at[name]) for name in ALWAYS)
    size = 'width="{}" height="{}"'.format(*SIZE)
    page = browser.new_context(viewport={"width": SIZE[0], "height": SIZE[1]}).new_page()
    page.set_content(
        f'<body style="margin:0"><svg {size}><rect {size} fill="#cdd"/><path d="M0 {DOWN}H1200" stroke="#333"/>'
        f"{wheels}{rods}{pins}</svg>"
    )
    file = tmp_path_factory.mktemp("drawn") / "side.png"
    page.screenshot(path=file)
    page.context.close()
    return file


def brought(page, drawing: Path) -> None:
    """Put the drawing on the machine's page."""
    page.goto("/shelf/machines/thimble-24")
    page.get_by_role("link", name="Side photo").click()
    page.get_by_label(re.compile("Photo or drawing|Another photo")).set_input_files(drawing)
    page.get_by_role("button", name="Put it on the page").click()
    expect(page.locator("#stage image")).to_have_count(1)
    assert page.locator("#stage").get_attribute("viewBox") == "0 0 1200 800"


def record(page) -> dict:
    """The pins on the machine's record, as its text form shows them."""
    import tomllib

    page.goto("/shelf/machines/thimble-24/edit?as=text")
    text = page.get_by_label("The record as text (TOML)").input_value()
    return tomllib.loads(text)["loader"]["linkage"]["pins"]


def metres(told) -> tuple[float, float, str]:
    """Value, spread and origin of a kept coordinate."""
    from handfast.quantities.reading import read_quantity

    known = read_quantity(told, "length")
    return known.value, known.high - known.value, known.origin


def recovered(page) -> list[bool]:
    """Whether each kept coordinate is the known one within what is stated."""
    pins, true = record(page), linkage_of(demo_shelf().machines["thimble-24"]).points
    held = []
    for name in ALWAYS:
        at, point = complex(getattr(true, name)), pins[name]
        across, up = (point["x"], point["z"]) if isinstance(point, dict) else point
        for told, right in ((across, at.real), (up, at.imag)):
            value, half, origin = metres(told)
            assert origin == "measured" and 0.002 < half < 0.06
            held.append(abs(value - right) <= half)
    return held


def test_pins_marked_with_the_mouse_come_back_within_what_is_stated(page, drawing: Path) -> None:
    brought(page, drawing)
    chance = np.random.default_rng(11)
    for name, (x, y) in places().items():
        page.locator(f"[data-place={name}]").click()
        page.evaluate("window.scrollTo(0, 0)")
        box = page.locator("#stage").bounding_box()
        scale = box["width"] / SIZE[0]
        x, y = np.array([x, y]) + chance.uniform(-2, 2, 2)
        page.mouse.move(box["x"] + (x + 60) * scale, box["y"] + (y - 40) * scale)
        page.mouse.down()
        page.mouse.move(box["x"] + x * scale, box["y"] + y * scale, steps=3)
        page.mouse.up()
    page.get_by_label("Known distance", exact=True).fill("1600 mm ± 3 mm")
    page.get_by_label("It is a").select_option("drawing")
    page.get_by_label("How well a mark is set").fill("2.5")
    page.get_by_role("button", name="Reckon").click()
    expect(page.get_by_role("heading", name="The pins in the tractor's frame")).to_be_visible()
    expect(page.locator("#stage .within")).to_have_count(len(ALWAYS))
    page.get_by_role("button", name="Keep it on the machine").click()
    expect(page.get_by_role("status").filter(has_text="Kept.")).to_be_visible()
    assert np.mean(recovered(page)) >= 0.9


def test_the_same_by_keys_alone(page, drawing: Path) -> None:
    brought(page, drawing)
    page.locator("[data-place=ground_rear]").focus()
    page.keyboard.press("Enter")
    wanted = places()
    for name in (*FRAME, *ALWAYS):
        at = page.evaluate("document.activeElement.dataset.mark")
        assert at == name
        x, y = (round(v) for v in wanted[name])
        for off, more, less in ((x - 600, "ArrowRight", "ArrowLeft"), (y - 400, "ArrowDown", "ArrowUp")):
            key = more if off > 0 else less
            for _ in range(abs(off) // 10):
                page.keyboard.press("Shift+" + key)
            for _ in range(abs(off) % 10):
                page.keyboard.press(key)
        assert page.locator(f"#m-{name}-x").input_value() == str(x)
        assert page.locator(f"#m-{name}-y").input_value() == str(y)
        page.keyboard.press("Enter")
    page.get_by_label("Known distance", exact=True).focus()
    page.keyboard.type("1600 mm ± 3 mm")
    page.get_by_label("It is a").focus()
    page.keyboard.type("drawing")
    page.get_by_role("button", name="Reckon").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="What it lifts by these pins")).to_be_visible()
    page.get_by_role("button", name="Keep it on the machine").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Kept.")).to_be_visible()
    assert all(recovered(page))


def test_the_same_without_script(browser, served: str, drawing: Path) -> None:
    context = browser.new_context(base_url=served, java_script_enabled=False)
    page = context.new_page()
    brought(page, drawing)
    for name, (x, y) in places().items():
        page.locator(f"#m-{name}-x").fill(f"{x:.1f}")
        page.locator(f"#m-{name}-y").fill(f"{y:.1f}")
    page.get_by_role("button", name="Reckon").click()
    expect(page.locator("#faults")).to_contain_text("Known distance")
    page.get_by_label("Known distance", exact=True).fill("1.6 m")
    page.get_by_role("button", name="Reckon").click()
    page.get_by_role("button", name="Keep it on the machine").click()
    expect(page.get_by_role("status").filter(has_text="Kept.")).to_be_visible()
    assert json.dumps(page.locator("#stage .within").count()) == str(len(ALWAYS))
    context.close()
