"""Dimensions, axle loads and lettering of the side view, and its text equivalent."""

from __future__ import annotations

import math

from handfast.drawings.inks import Fill, Letter, Line
from handfast.drawings.marks import Figure, arrowhead, dimension_across, dimension_up, leader
from handfast.drawings.side_parts import SideView
from handfast.drawings.svg import Disc, Frame, Group, Item, Label, Point, segment, text_width


def side_marks(
    view: SideView, frame: Frame, ruler: float, width: float, small: bool, load: Point | None, arm: Point, clear: float
) -> list[Item]:
    """All marks of a side view; ruler is the px place of the pin height's
    dimension line, clear the height (m) above which nothing of the tool is drawn."""
    items = [*_axle_arrows(view, frame), *_row(view, frame, small, load), *pin_ruler(view, frame, ruler)]
    items += _behind_label(view, frame, small)
    if load is not None and view.load is not None:
        items += _load_label(view, frame, width, small, load, clear)
    if view.arm_label and not small:
        x, y = frame.at(*arm)
        items += leader((x, y), (x - 74, max(y - 62, 24)), view.arm_label)
    if not small:
        items += _ghost_label(view, frame, ruler)
    items += _lift_to(view, frame, ruler)
    if view.tag:
        items.append(Label((4, 16), view.tag, Letter.NOTE))
    return items


def _axle_arrows(view: SideView, frame: Frame) -> list[Item]:
    if view.axles is None:
        return []
    items: list[Item] = []
    for x, figure in ((0.0, view.axles.rear), (view.wheelbase, view.axles.front)):
        px = frame.at(x, 0)[0]
        tip, tail = frame.ground + 4, frame.ground + 34
        line = {"sure": Line.WIDE, "about": Line.DASHED, "unknown": Line.UNKNOWN}[figure.certainty]
        items += [segment((px, tail), (px, tip + 7), line), arrowhead((px, tip), -math.pi / 2, 11, Fill.INK)]
        room = view.wheelbase * frame.scale - 16
        items.append(Label((px + 8, frame.ground + 31), figure.written(room, Letter.FIGURE), Letter.FIGURE))
    return items


def _row(view: SideView, frame: Frame, small: bool, load: Point | None) -> list[Item]:
    y, d = frame.ground + (62 if small else 68), view.dimensions
    pin_x = view.pin_at(view.pin_height)[0]
    spans: list[tuple[float, float, Figure | None]] = [(0.0, view.wheelbase, d.wheelbase)]
    if not small:
        spans.append((view.wheelbase, pin_x, d.pin_ahead))
        if view.behind is not None:
            spans.append((-view.behind.behind, 0.0, d.behind))
        if load is not None:
            spans.append((pin_x, load[0], d.load_ahead))
    items: list[Item] = []
    for x1, x2, figure in spans:
        if figure is not None:
            items += dimension_across(frame.at(x1, 0)[0], frame.at(x2, 0)[0], y, figure, 20)
    if load is not None and d.load_ahead is not None and not small:
        items.insert(0, segment(frame.at(*load), (frame.at(*load)[0], y + 5), Line.AXIS))
    if d.pin_ahead is not None and not small:
        top = frame.at(*view.pin_at(view.pin_height))
        items.insert(0, segment(top, (top[0], y + 5), Line.AXIS))
    return items


def pin_ruler(view: SideView, frame: Frame, x: float) -> list[Item]:
    """The height of the pins as a dimension line with the handle that moves it, and the line to the pins."""
    figure = view.dimensions.pin_height
    if figure is None:
        return []
    px, py = frame.at(*view.pin_at(view.pin_height))
    items: list[Item] = [segment((px, py), (x, py), Line.MARK_NARROW)]
    words = f"{figure.text} {figure.note}".rstrip() if frame.ground - py > 150 else figure.text
    items += dimension_up(x, py, frame.ground, Figure(words, figure.certainty))
    return [*items, handle(x, py)]


def handle(x: float, y: float) -> Group:
    """The round handle with two bars."""
    bars = (
        segment((x - 4.5, y - 3), (x + 4.5, y - 3), Line.MARK),
        segment((x - 4.5, y + 3), (x + 4.5, y + 3), Line.MARK),
    )
    return Group((Disc((x, y), 11, Line.MARK, Fill.SHEET), *bars), "grip")


def _behind_label(view: SideView, frame: Frame, small: bool) -> list[Item]:
    behind = view.behind
    if behind is None or behind.kind == "none":
        return []
    if behind.kind in ("rear_wheels", "tyres"):
        target = frame.at(-0.3 * view.rear_radius, 1.3 * view.rear_radius)
        note = behind.note if not small else ""
        return leader(target, frame.at(-1.05 * view.rear_radius, 2.3 * view.rear_radius), behind.label.text, note)
    tall = {"backhoe": 2.1, "drum": 1.1}.get(behind.kind, 0.86) * view.grown(0.6)
    px, py = frame.at(-behind.behind, tall)
    half = text_width(behind.note if not small else behind.label.text, Letter.NOTE) / 2
    px = max(px, half + 3)
    items: list[Item] = [
        Label((px, py - (22 if behind.note and not small else 6)), behind.label.text, Letter.FIGURE, "middle")
    ]
    if behind.note and not small:
        items.append(Label((px, py - 6), behind.note, Letter.NOTE, "middle"))
    return items


def _load_label(view: SideView, frame: Frame, width: float, small: bool, load: Point, clear: float) -> list[Item]:
    piece = view.load
    if piece is None or not piece.label:
        return []
    x, y = frame.at(*load)
    if small:
        half = text_width(piece.label, Letter.FIGURE) / 2
        top = max(frame.at(0, clear)[1] - 8, 14)
        return [Label((min(x, width - half - 30), top), piece.label, Letter.FIGURE, "middle")]
    room = max(text_width(piece.label, Letter.FIGURE), text_width(piece.note, Letter.NOTE)) + 20
    above = frame.at(0, clear)[1] - (18 if piece.note else 4)
    elbow = min(x + 0.42 * frame.scale, width - room), max(min(y - 0.5 * frame.scale, above), 20)
    return leader((x, y), elbow, piece.label, piece.note)


def _ghost_label(view: SideView, frame: Frame, ruler: float) -> list[Item]:
    level = view.pivot[1]
    near = abs(view.pin_height - level) < 0.09 * view.boom
    if not view.ghost_label or near or not view.ghost_level:
        return []
    x, z = view.pin_at(level)[0], level
    px, py = frame.at(x, z)
    room = px - frame.at(1.17 * view.wheelbase, 0)[0] - 14
    wide = max(text_width(view.ghost_label, Letter.BODY), text_width(view.ghost_note, Letter.NOTE))
    if wide < room:
        spot, anchor = (px - 10, py + 0.34 * frame.scale), "end"
    else:
        spot, anchor = (min(px + 0.1 * frame.scale, ruler - 26 - wide), py + 0.36 * frame.scale), "start"
    items: list[Item] = [Label(spot, view.ghost_label, Letter.BODY, anchor)]
    if view.ghost_note:
        items.append(Label((spot[0], spot[1] + 17), view.ghost_note, Letter.NOTE, anchor))
    return items


def _lift_to(view: SideView, frame: Frame, ruler: float) -> list[Item]:
    figure = view.dimensions.lift_to
    if view.lift_to is None or figure is None:
        return []
    x = ruler - 26 - 0.3 * frame.scale
    y = frame.at(0, view.lift_to)[1]
    return [
        segment((x - 0.42 * frame.scale, y), (x, y), Line.GHOST),
        Label((x + 8, y - 6), figure.text, Letter.BODY, "middle"),
    ]


def side_words(view: SideView) -> str:
    """The side view in words, with its figures."""
    d, words = view.dimensions, []
    name = view.attachment.label or view.attachment.kind.replace("_", " ")
    height = f", pins {d.pin_height.spoken()} above ground" if d.pin_height else ""
    held = f", holding {view.load.label} {view.load.note}".rstrip() if view.load and view.load.label else ""
    words.append(f"Tractor from its right side with {name}{height}{held}.")
    if view.behind is not None and view.behind.kind != "none":
        far = f", {d.behind.spoken()} behind the rear axle" if d.behind else ""
        words.append(f"Behind: {view.behind.label.spoken()}{far}.")
    if view.axles is not None:
        words.append(f"Front axle {view.axles.front.spoken()}, rear axle {view.axles.rear.spoken()}.")
    for name, figure in (
        ("Wheelbase", d.wheelbase),
        ("Pins ahead of the front axle", d.pin_ahead),
        ("Load ahead of the pins", d.load_ahead),
        ("Side to lift over", d.lift_to),
    ):
        if figure is not None:
            words.append(f"{name} {figure.spoken()}.")
    return " ".join(words)
