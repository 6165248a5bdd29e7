"""Circuit drawing and hose plan: every tag stands there once, lettering neither runs out nor overlaps, places are true.

Widths of the lettering come from the font itself.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont

import handfast
from handfast.drawings.circuit import CircuitView, Mark, circuit_drawing, circuit_words
from handfast.drawings.from_outfit import circuit_view_of, feed_of, hose_plan_view_of
from handfast.drawings.hose_plan import HosePlanView, PoseView, hose_plan_drawing, hose_plan_words
from handfast.drawings.hydraulic_symbols import diverter, valve
from handfast.drawings.inks import LETTERS, Letter
from handfast.drawings.svg import GOES_ON, Group, Item, Stroke, in_lines, text_width
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.outfits.circuit_of import OutfitCircuit, circuit_of
from handfast.outfits.hose_plan import OutfitHoses, hose_plan_of
from handfast.outfits.lay import lay
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.parts_list import parts_list
from handfast.outfits.powering import PowerRoute, power_routes

NS = "{http://www.w3.org/2000/svg}"
FONTS = sorted((Path(handfast.__file__).parent / "documents" / "fonts").glob("*.ttf"))
Case = tuple[Outfit, Inquiry, OutfitCircuit, OutfitHoses]
WIDTHS = (700.0, 358.0)


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def cases() -> tuple[Case, ...]:
    return tuple(_cases())


def _cases() -> Iterator[Case]:
    """One outfit of every route, with and without a linkage, one and two cylinders."""
    seen = set()
    for inquiry in demo_inquiries().values():
        resolved = inquiry.resolve(shelf())
        for outfit in lay(resolved, shelf(), 1).candidates.outfits:
            linked = resolved.machine.loader.linkage is not None
            key = outfit.power.route, feed_of(outfit.power), linked, outfit.attachment.lids
            circuit = None if key in seen else circuit_of(outfit, resolved, shelf())
            if circuit is not None:
                seen.add(key)
                yield outfit, resolved, circuit, hose_plan_of(outfit, resolved, shelf())
    yield from _on_other_machines()


def _on_other_machines() -> Iterator[Case]:
    """Load sensing, a mid outlet, two lids, a diverter by cable: what no caller has."""
    machines = [m for m in shelf().machines.values() if m.mid_outlets or m.centre == "load_sensing"]
    assert machines
    by_cable = shelf().parts["diverter-manual"]
    for machine in machines:
        inquiry = Inquiry(machine=machine)
        for name in ("thicketjaw-48", "thicketjaw-84d"):
            tool = shelf().attachments[name]
            routes = [*power_routes(machine, tool, shelf().parts.values())[0], PowerRoute("diverter", (by_cable,))]
            for power in routes:
                outfit = Outfit(tool, MountRoute("direct", "universal_plate", "universal_plate"), power)
                circuit = circuit_of(outfit, inquiry, shelf())
                assert circuit is not None
                yield outfit, inquiry, circuit, hose_plan_of(outfit, inquiry, shelf())


def views() -> list[tuple[CircuitView, HosePlanView]]:
    return [
        (circuit_view_of(circuit, outfit, inquiry), hose_plan_view_of(plan, outfit, inquiry, circuit.runs))
        for outfit, inquiry, circuit, plan in cases()
    ]


@cache
def advance(weight: int) -> tuple[dict[str, float], float]:
    fonts = [TTFont(path) for path in FONTS]
    font = next(f for f in fonts if f["OS/2"].usWeightClass == weight and not f["post"].italicAngle)
    cmap = font.getBestCmap()
    return {chr(c): font["hmtx"][name][0] for c, name in cmap.items()}, font["head"].unitsPerEm


def boxes(text: str) -> list[tuple[str, float, float, float, float]]:
    """Words with their boxes, from the font's own widths."""
    found = []
    for element in ElementTree.fromstring(text).iter(f"{NS}text"):
        classes = (element.get("class") or "").split()
        size, weight, _ = LETTERS[Letter(classes[0])]
        widths, em = advance(weight)
        words = element.text or ""
        wide = sum(widths[c] for c in words) * size / em
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        left = x - wide * {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        if words:
            found.append((words, left, y - 0.7 * size, left + wide, y + 0.22 * size))
    return found


def drawn(width: float) -> Iterator[tuple[str, str]]:
    for circuit, hoses in views():
        yield "circuit", circuit_drawing(circuit, "screen", width)
        yield "hoses", hose_plan_drawing(hoses, "screen", width)


@pytest.mark.parametrize("width", WIDTHS)
def test_lettering_stays_on_the_sheet(width: float) -> None:
    for _, text in drawn(width):
        height = float(ElementTree.fromstring(text).get("height", "0"))
        for words, left, top, right, low in boxes(text):
            assert left >= -0.5, words
            assert right <= width + 0.5, words
            assert top >= 0, words
            assert low <= height + 6, words


@pytest.mark.parametrize("width", WIDTHS)
def test_words_do_not_overlap(width: float) -> None:
    for kind, text in drawn(width):
        placed = boxes(text)
        for k, (words, left, top, right, low) in enumerate(placed):
            for other, left2, top2, right2, low2 in placed[k + 1 :]:
                across = min(right, right2) - max(left, left2)
                down = min(low, low2) - max(top, top2)
                assert across <= 1.0 or down <= 2.0, (kind, words, other)


def test_every_tag_of_the_parts_list_stands_on_the_drawings_once() -> None:
    """One number names one hose: tags of lines and of hoses on the order are those on the drawing."""
    for (outfit, inquiry, circuit, plan), (view, hoses) in zip(cases(), views(), strict=True):
        if not circuit.runs:
            continue
        tags = {line.tag for line in parts_list(outfit, inquiry, shelf()) if line.item in ("hose", "coupler")}
        shown = Counter(t for m in (*view.closing, *view.opening) for t in m.tag.split(", "))
        assert shown == Counter(tags)
        rows = Counter(tag for row in hoses.rows for tag in row.tag.split(", "))
        assert rows == Counter(one.tag for one in plan.hoses)
        texts = [words for words, *_ in boxes(circuit_drawing(view))]
        assert all(sum(mark.tag == words for words in texts) == 1 for mark in (*view.closing, *view.opening))


def test_supply_hoses_bear_the_tags_of_the_parts_list() -> None:
    for (outfit, inquiry, _, _), (view, _) in zip(cases(), views(), strict=True):
        items = ("supply_hose", "curl_hose", "sense_line", "pump_hose")
        listed = {line.tag for line in parts_list(outfit, inquiry, shelf()) if line.item in items}
        assert set(view.supply_tags) == listed, outfit.id


def test_words_tell_what_the_drawing_shows() -> None:
    for view, hoses in views():
        said = circuit_words(view)
        for mark in (*view.closing, *view.opening):
            assert mark.tag in said
        assert all(figure in said for figure in view.figures)
        assert re.search(rf"<desc[^>]*>[^<]*{re.escape(view.valve.split(chr(39))[0])}", circuit_drawing(view))
        plan = hose_plan_words(hoses)
        assert all(row.tag in plan and row.needs in plan for row in hoses.rows)
        assert ("Not to scale" in plan) != hoses.to_scale


def test_colours_of_print_are_black_and_no_style_attribute_stands_anywhere() -> None:
    for view, hoses in views():
        for text in (circuit_drawing(view, "print"), hose_plan_drawing(hoses, "print")):
            assert "style=" not in text
            assert "class=" not in text
            assert 'width="140.00mm"' in text
    assert all("style=" not in text for _, text in drawn(700.0))


def test_equal_circuits_give_equal_text() -> None:
    view = views()[0][0]
    assert circuit_drawing(view) == circuit_drawing(replace(view))


def lines_of(items: list[Item]) -> list[Stroke]:
    return [i for item in items for i in (lines_of(list(item.items)) if isinstance(item, Group) else [item])
            if isinstance(i, Stroke)]  # fmt: skip


def joins(items: list[Item], a: tuple[float, float], b: tuple[float, float]) -> bool:
    """Whether one stroke runs from one place to another."""
    for stroke in lines_of(items):
        places = [c[1][-2:] for c in stroke.path if c[1]]
        if {a, b} <= {(round(x, 6), round(y, 6)) for x, y in places}:
            return True
    return False


def test_an_open_middle_lets_oil_through_and_a_closed_one_does_not() -> None:
    """In the middle box pump (lower left) and tank (lower right) are joined only where the centre is open."""
    u = 40.0
    pump, tank = (-0.25 * u, u / 2), (0.25 * u, u / 2)
    assert joins(valve((0.0, 0.0), u, "open"), pump, tank)
    assert not joins(valve((0.0, 0.0), u, "closed"), pump, tank)


def test_a_diverter_at_rest_feeds_the_curl() -> None:
    """The box at the spring (right): inlets run to the two ports of the curl; in the other box to those of the lid."""
    u = 40.0
    items = diverter((0.0, 0.0), u)
    for left, outlets in ((0.0, (0.65, 0.85)), (-u, (0.15, 0.35))):
        for inlet, outlet in zip((0.4, 0.6), outlets, strict=True):
            assert joins(items, (left + inlet * u, u / 2), (left + outlet * u, -u / 2))


def test_a_lid_that_closes_by_pulling_has_line_a_at_the_rod_end() -> None:
    """The cylinder's closed end lies over line A when it closes by pushing, over line B when by pulling."""
    marks = (Mark("hose", "A1"),), (Mark("hose", "B1"),)
    base = CircuitView("own", "open", "valve", "lever", *marks)
    first = {}
    for pushes in (True, False):
        text = circuit_drawing(replace(base, closes_by_pushing=pushes))
        barrel = re.search(r'class="w fs" d="M([\d.]+) [\d.]+L([\d.]+)', text)
        assert barrel is not None
        first[pushes] = sorted(float(v) for v in barrel.groups())
    assert first[True][0] < first[False][0]
    assert first[True][1] < first[False][1]


def test_detents_and_pilot_checks_are_drawn_only_where_they_are() -> None:
    marks = (Mark("hose", "A1"),), (Mark("hose", "B1"),)
    base = CircuitView("own", "open", "rear remote", "lever", *marks)
    texts = {circuit_drawing(replace(base, held=h, detent=d)) for h in (True, False) for d in (True, False)}
    assert len(texts) == 4
    assert "pilot" in circuit_words(replace(base, held=True))


def test_the_hose_plan_is_true_to_scale() -> None:
    """Distance pivot to pin, and clamp to port, as they are in metres, in the ratio of the wheels' distance."""
    seen = 0
    for _, hoses in views():
        if not hoses.to_scale:
            continue
        seen += 1
        text = hose_plan_drawing(hoses, "print", 900.0)
        circles = [
            (float(c.get("cx")), float(c.get("cy")), float(c.get("r")))
            for c in ElementTree.fromstring(text).iter(f"{NS}circle")
        ]
        wheels = sorted(circles, key=lambda c: -c[2])[:2]
        scale = abs(wheels[0][0] - wheels[1][0]) / hoses.wheelbase
        assert wheels[0][2] == pytest.approx(hoses.rear_radius * scale, rel=0.02)
        ends = [c for c in circles if abs(c[2] - 3.4) < 0.05]
        for pose in hoses.poses:
            apart = math.dist(pose.clamp, pose.port) * scale
            assert any(math.dist(a[:2], b[:2]) == pytest.approx(apart, abs=0.3) for a in ends for b in ends)
    assert seen > 2


def test_clamps_stand_every_sixty_centimetres() -> None:
    """A line of 3 m, straight: clamps at 0.3, 0.9, 1.5, 2.1 and 2.7 m."""
    pose = PoseView((4.0, 1.0), 0.0, (3.0, 1.0), (4.2, 1.0), "level")
    from handfast.drawings.hose_plan import _clamps
    from handfast.drawings.svg import Frame

    items = _clamps([(0.0, 1.0), pose.clamp], Frame(0.0, 100.0, 100.0))
    assert len(items) == 5
    middles = [sum(c[1][0] for c in item.path) / 2 for item in lines_of(items)]
    assert middles == pytest.approx([30, 90, 150, 210, 270])


def test_lines_are_broken_at_words() -> None:
    text = "a hose that is far too long to stand in one line of a small drawing"
    lines = in_lines(text, 120.0, Letter.NOTE)
    assert " ".join(line.removesuffix(GOES_ON) for line in lines) == text
    assert all(text_width(line, Letter.NOTE) <= 120 for line in lines)
    assert in_lines("", 100.0, Letter.NOTE) == []
