"""The drawings of an outfit as the pages show them: moved under the hand, in two widths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite, radians

from handfast.advice.carried import cautious_load
from handfast.advice.result import Advice, OutfitAdvice
from handfast.drawings.attachment_shape import shape_of
from handfast.drawings.axle_bars import axle_bars
from handfast.drawings.charts_from_advice import axle_bars_of, load_chart_of, slope_view_of
from handfast.drawings.from_advice import side_view_of
from handfast.drawings.load_chart import LoadChart
from handfast.drawings.marks import Figure
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_parts import Dimensions, SideView
from handfast.drawings.side_view import lid_angle, reach_of, side_view
from handfast.drawings.slope_view import slope_view
from handfast.drawings.svg import in_three_widths, in_two_widths
from handfast.quantities.showing import show

WIDE, MIDDLE, SMALL = 1000.0, 760.0, 358.0
CURL_LEAST, CURL_MOST = radians(-45.0), radians(35.0)
LID_MOST = radians(70.0)
SCENES = 48  # outfits that are looked at by turns
SLOPE = 400.0
LEVEL = 1e-6


@dataclass(frozen=True, eq=False)
class Scene:
    """An outfit's drawings before they are moved; known by its identity, so that what is drawn can be kept."""

    advice: Advice
    outfit: OutfitAdvice
    system: str
    view: SideView
    chart: LoadChart


class _Held:
    """An answer that stands for itself in a cache, so that its address stays its own while the cache holds it."""

    def __init__(self, advice: Advice) -> None:
        self.advice = advice

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and other.advice is self.advice

    def __hash__(self) -> int:
        return id(self.advice)


@lru_cache(maxsize=SCENES)  # each holds its whole answer, though others have let it go
def _scene(held: _Held, outfit_id: str, system: str, piece: float | None) -> Scene:
    advice = held.advice
    outfit = advice.outfit(outfit_id)
    return Scene(advice, outfit, system, side_view_of(advice, outfit, system, piece), load_chart_of(outfit, system))


def scene(advice: Advice, outfit: OutfitAdvice, system: str, piece: float | None = None) -> Scene:
    """What an outfit's drawings are told, kept from one movement of a slider to the next; None is the work's piece."""
    return _scene(_Held(advice), outfit.id, system, piece)


def _length(value: float, system: str) -> str:
    return f"{value / 0.0254:.0f} in" if system == "us" else f"{1000 * value:,.0f} mm"


def _figures(one: Scene, view: SideView) -> Dimensions:
    """The dimensions that follow the arms and the curl."""
    before = one.view.dimensions
    x, _ = view.pin_at(view.pin_height)
    ahead = before.pin_ahead
    if ahead is not None:
        ahead = Figure(_length(x - view.wheelbase, one.system), ahead.certainty, ahead.note)
    pins = before.pin_height or Figure("", note="to the pins")
    return replace(
        before,
        pin_height=Figure(_length(view.pin_height, one.system), pins.certainty, pins.note),
        pin_ahead=ahead,
        load_ahead=before.load_ahead if abs(view.curl) < LEVEL else None,
    )


def posed(one: Scene, height: float | None, curl: float, lid: float | None = None) -> tuple[SideView, LoadChart]:
    """View and chart in a pose that the loader can take; None is where the work asks for it, the lid on the piece.

    The lid's angle counts from where it rests on the piece.
    """
    start = one.view
    now = start.pin_height if height is None else height
    now = min(max(now, start.pin_height_down), start.pin_height_max)
    curl = min(max(curl, CURL_LEAST), CURL_MOST)
    if lid is not None:
        rest = lid_rest(one)
        lid = min(rest + max(lid, 0.0), max(rest, LID_MOST))
    view = replace(
        start, pin_height=now, curl=curl, lid=lid, arm_label=start.arm_label if now == start.pin_height else ""
    )
    said = cautious_load(one.outfit, now, one.system)
    words = "" if said is None else f"say {show(said, 'mass', one.system)}"
    return replace(view, dimensions=_figures(one, view)), replace(one.chart, now=now, now_label=words)


@lru_cache(maxsize=SCENES)
def side_and_chart(one: Scene, height: float | None, curl: float, lid: float | None, only: float | None = None) -> str:
    """Part A of an outfit's sheet, in three widths, or in the one that is seen."""
    if not is_drawable(one):
        return '<p class="note">Not drawn: no tractor is known yet. Name it, or a class and a power.</p>'
    view, chart = posed(one, height, curl, lid)
    if only is not None:
        kind = "one small" if only == SMALL else "one"
        return f'<div class="drawn"><div class="{kind}">{sheet_a(view, chart, "screen", only)}</div></div>'
    return in_three_widths(lambda width: sheet_a(view, chart, "screen", width), WIDE, MIDDLE, SMALL)


def lid_rest(one: Scene) -> float:
    """Angle at which the lid rests on the piece, or closed without one [rad]."""
    return lid_angle(replace(one.view, lid=None), shape_of(one.view))


def slope_drawn(outfit: OutfitAdvice, system: str) -> str:
    """Where it first rolls, over all headings; nothing where that is not known."""
    view = slope_view_of(outfit, system)
    return slope_view(view, "screen", SLOPE) if view is not None else ""


def is_drawable(one: Scene) -> bool:
    """Whether the tractor is known well enough to be drawn: named, or by its class or power."""
    view = one.view
    return all(map(isfinite, (view.wheelbase, *view.pivot, view.pin_height_down, view.pin_height_max)))


def small_side(one: Scene, width: float = 440.0) -> str:
    """The outfit drawn small for the call sheet, where the work asks for it; nothing where no tractor is known."""
    view = one.view
    if not is_drawable(one):
        return ""
    plain = replace(
        view,
        ghost_level=False,
        ghost_label="",
        ghost_note="",
        dimensions=Dimensions(pin_height=view.dimensions.pin_height),
    )
    return side_view(plain, "screen", width)


def on_one_scale(scenes: Sequence[Scene], width: float = 440.0) -> list[str]:
    """Outfits of one tractor drawn small, all to the scale of the one that reaches furthest."""
    if not all(map(is_drawable, scenes)):
        return ["" for _ in scenes]
    edge = 66.0  # what a small side view leaves beside what is to scale
    spans = [front - back for back, front, _ in (reach_of(one.view) for one in scenes)]
    scale = (width - edge) / max(spans, default=1.0)
    return [small_side(one, edge + scale * span) for one, span in zip(scenes, spans, strict=True)]


def axles_drawn(outfit: OutfitAdvice, system: str) -> str:
    """Part C: weight on the axles in each pose, in two widths; nothing where the masses are not known."""
    bars = axle_bars_of(outfit, system, moving=True)
    if not bars.states or not isfinite(bars.widest()):
        return ""
    return in_two_widths(lambda width: axle_bars(bars, "screen", width), 760.0, SMALL)
