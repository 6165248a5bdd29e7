"""Invented values for the gallery: figures of no real tractor, typical of their class."""

from __future__ import annotations

import math
from dataclasses import replace

from handfast.drawings.axle_bars import AxleBars, AxleState
from handfast.drawings.band import Band, BandRow, BandRows
from handfast.drawings.cost_bars import CostBars, CostLine
from handfast.drawings.inks import Line
from handfast.drawings.load_chart import LoadChart, Other
from handfast.drawings.marks import Figure
from handfast.drawings.side_parts import Attachment, AxleLoads, Behind, Dimensions, Piece, SideView
from handfast.drawings.slope_view import SlopeCurve, SlopeView

IN, LB = 0.0254, 0.45359237


def small_tractor() -> SideView:
    """A sub-compact with a pinned-on grapple at full height."""
    return SideView(
        wheelbase=55 * IN,
        front_radius=10.5 * IN,
        rear_radius=14 * IN,
        pivot=(34.5 * IN, 43.7 * IN),
        boom=57.6 * IN,
        pin_height=72 * IN,
        pin_height_max=72 * IN,
        pin_height_down=8 * IN,
        attachment=Attachment("root_grapple", has_lid=True, label="root grapple, 42 in"),
        plane_ahead=1 * IN,
        plane_drop=2 * IN,
        quick_attach="pinned",
        load=Piece("log", diameter=12 * IN, label="12 in log", note="8 ft, red oak"),
        behind=Behind("ballast_box", 32 * IN, Figure("300 lb"), "32 in behind the axle"),
        axles=AxleLoads(front=Figure("2,374 lb"), rear=Figure("816 lb", "about")),
        dimensions=Dimensions(
            wheelbase=Figure("55 in"),
            behind=Figure("32 in", "about"),
            pin_ahead=Figure("30 in"),
            load_ahead=Figure("21"),
            pin_height=Figure("72 in", note="to the pins"),
        ),
        arm_label="arm at full height",
        ghost_label="furthest forward:",
        ghost_note="sets the ballast",
    )


def large_tractor() -> SideView:
    """A utility tractor with cab, hook-and-pin carrier, self-levelling loader and forks."""
    return replace(
        small_tractor(),
        wheelbase=2.25,
        front_radius=0.5,
        rear_radius=0.76,
        pivot=(1.12, 1.72),
        boom=2.2,
        pin_height=2.3,
        pin_height_max=3.35,
        pin_height_down=0.25,
        rops="cab",
        quick_attach="hook_and_pin",
        plane_ahead=0.11,
        plane_drop=0.18,
        self_levelling=True,
        attachment=Attachment("pallet_forks", label="pallet forks"),
        load=Piece("pallet", length=1.1, height=1.2, label="590 kg crate"),
        behind=Behind("drum", 1.75, Figure("620 kg"), "filled drum"),
        axles=AxleLoads(front=Figure("3,180 kg"), rear=Figure("1,890 kg")),
        dimensions=Dimensions(
            Figure("2,250 mm"), Figure("1,750"), Figure("1,000"), Figure("660"), Figure("2.30 m", note="to the pins")
        ),
        arm_label="",
    )


def chart() -> LoadChart:
    """A chart in which the curl governs below and the lift above."""
    heights = tuple((8 + 64 * k / 24) * IN for k in range(25))
    lift = tuple((900 - 450 * (k / 24) ** 0.75) * LB for k in range(25))
    curl = tuple((606 - 100 * k / 24) * LB for k in range(25))
    return LoadChart(
        heights=heights,
        lift=lift,
        lift_low=tuple(v * 0.95 for v in lift),
        lift_high=tuple(v * 1.04 for v in lift),
        curl=curl,
        need=402 * LB,
        need_label=Figure("the log, 402 lb"),
        now=72 * IN,
        now_label="450 lb",
    )


def big_chart() -> LoadChart:
    """A self-levelling loader's chart: lift alone governs; two more distances."""
    heights = tuple(0.25 + 3.1 * k / 20 for k in range(21))
    lift = tuple(1650 - 420 * k / 20 for k in range(21))
    return LoadChart(
        heights=heights,
        lift=lift,
        need=590.0,
        need_label=Figure("the crate, 590 kg"),
        now=2.3,
        now_label="1,370 kg",
        others=(Other("0.5 m further", tuple(v * 0.74 for v in lift)),),
        load_unit=1.0,
        load_word="kg on the forks, at the load",
        height_unit=1.0,
        height_word="m",
    )


def axle_states() -> AxleBars:
    """Three states of the sub-compact."""
    return AxleBars(
        states=(
            AxleState(
                "Loaded, nothing behind",
                "2,890 lb in all",
                341 * LB,
                2549 * LB,
                "rear 341 lb, 11.8 %",
                "front 2,549 lb",
            ),
            AxleState(
                "Loaded, 300 lb box", "3,190 lb in all", 816 * LB, 2374 * LB, "rear 816 lb, 25.6 %", "front 2,374 lb"
            ),
            AxleState(
                "Raised and empty, box on",
                "2,790 lb in all",
                1291 * LB,
                1499 * LB,
                "rear 1,291 lb, 46.3 %",
                "front 1,499 lb",
                (),
            ),
        ),
        front_rating=2600 * LB,
        front_rating_label="limit: front axle 2,600 lb",
    )


def slopes() -> SlopeView:
    """Curves shaped as a body on two rear wheels and a swinging front axle has them."""
    headings = tuple(math.radians(k * 5) for k in range(72))

    def curve(side: float, ends: float) -> tuple[float, ...]:
        return tuple(math.radians(side + (ends - side) * abs(math.cos(h + 0.12 * math.sin(h))) ** 3) for h in headings)

    low, high = curve(24.7, 44), curve(14.5, 30)
    return SlopeView(
        curves=(
            SlopeCurve("load low, box behind", headings, low),
            SlopeCurve("load raised, box behind", headings, high, Line.DASHED),
        ),
        site=math.radians(16.7),
        site_label="the bank",
        allowed=math.radians(7.25),
        allowed_label="half of the least, the check's limit",
    )


def rows() -> BandRows:
    """Outfits on one scale."""
    return BandRows(
        rows=(
            BandRow("1 · Thicketjaw 42, pinned on", "450 lb", Band(425, 450, 470), "lid from the curl lines"),
            BandRow("2 · Billetjaw 36, pinned on", "468 lb", Band(440, 468, 490), "lid from the curl lines"),
            BandRow("3 · Thicketjaw 42, quick attach", "360 lb", Band(340, 360, 378, True), "third function"),
            BandRow("4 · Clamp on own bucket", "not known", None, "bucket not weighed"),
            BandRow(
                "5 · 60 in double lid, seen on-line", "56 lb", Band(35, 56, 75, True), "quick attach, third function"
            ),
        ),
        need=402,
        need_label="the log, 402 lb",
    )


def costs() -> CostBars:
    """A bill of nine lines."""
    lines = (
        CostLine("Grapple, 42 in, one lid, 190 lb", 1200, 1250, 1380, "1,250"),
        CostLine("Ears to pin it straight on", 150, 180, 220, "180", True),
        CostLine("Diverter kit on the curl lines", 390, 430, 520, "430", True),
        CostLine("4 hoses, 2 coupler pairs, 6 adapters", 225, 265, 330, "265", True),
        CostLine("Ballast box 300 lb, filled, hitch pins", 330, 390, 470, "390", True),
        CostLine("Fitting, 3 h at $145", 360, 435, 560, "435", True),
        CostLine("Freight with lift gate", 190, 240, 340, "240", True),
        CostLine("Tax 6 % on goods", 145, 152, 180, "152"),
    )
    return CostBars(lines, "$3,342", "", "not in the price people see on-line")


LOG = Piece("log", diameter=0.3, label="log")
KINDS: list[tuple[str, Piece | None, str, str]] = [
    ("root_grapple", LOG, "pinned", "ballast_box"),
    ("rock_grapple", Piece("rock", diameter=0.4, label="rock"), "universal_plate", "drum"),
    ("brush_grapple", Piece("brush", label="brush"), "hook_and_pin", "rotary_cutter"),
    ("log_grapple", Piece("bundle", diameter=0.5, label="bundle"), "universal_plate", "box_blade"),
    ("grapple_bucket", Piece("loose", label="loose"), "universal_plate", "suitcase_weights"),
    ("fork_grapple", LOG, "universal_plate_narrow", "tiller"),
    ("sweep_grapple", Piece("log", diameter=0.45, label="log"), "hook_and_pin", "backhoe"),
    ("silage_grab", Piece("loose", label="silage"), "hook_and_pin", "unknown"),
    ("rake_grapple", LOG, "universal_plate", "rear_wheels"),
    ("pallet_forks", Piece("pallet", length=1.0, height=0.8, label="crate"), "universal_plate", "finish_mower"),
    ("bucket", Piece("loose", label="gravel"), "pinned", "ballast_box"),
    ("stump_bucket", None, "universal_plate", "none"),
    ("angle_blade", None, "universal_plate", "ballast_box"),
    ("snow_pusher", None, "hook_and_pin", "drum"),
    ("landscape_rake", None, "universal_plate", "none"),
]


def kinds() -> list[tuple[str, SideView]]:
    """Every kind of attachment on a fitting carrier with a fitting piece."""
    base = replace(
        small_tractor(),
        pin_height=0.95,
        curl=0.0,
        behind=None,
        axles=None,
        dimensions=Dimensions(),
        arm_label="",
        ghost_label="",
    )
    base = replace(
        base, ghost_down=False, ghost_level=False, quick_attach="universal_plate", plane_ahead=0.11, plane_drop=0.08
    )
    lids = ("grapple", "grab")
    shown = []
    for kind, piece, carrier, behind in KINDS:
        back = Behind(behind, 0.85, Figure(behind.replace("_", " ")), known=behind != "unknown")
        tool = Attachment(kind, has_lid=any(word in kind for word in lids))
        shown.append((kind, replace(base, attachment=tool, load=piece, quick_attach=carrier, behind=back)))
    return shown
