"""The fields of the inquiry's form: where each stands in the record, what it is called, what may be said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from handfast.machines.attachment import AttachmentKind
from handfast.machines.tractor import CLASSES
from handfast.machines.work import BehindKind, WorkKind

Options = tuple[tuple[str, str], ...]


def _said(values: tuple[str, ...]) -> Options:
    return tuple((value, value.replace("_", " ")) for value in values)


YES_NO: Options = (("yes", "yes"), ("no", "no"))
QUICK_ATTACH: Options = (
    ("pinned", "pinned on: four pins"),
    ("universal_plate", "universal plate: two levers"),
    ("universal_plate_narrow", "narrow universal plate: two levers"),
    ("hook_and_pin", "hooks above, pins below"),
)


@dataclass(frozen=True)
class Field:
    """One field: its place in the record, its label, how it is filled in."""

    place: str
    label: str
    kind: str = "text"  # text, area, pick, whole, yes_no
    hint: str = ""
    example: str = ""
    options: Options = ()
    listed: str = ""  # id of the list that helps typing

    @property
    def id(self) -> str:
        """The element's id."""
        return "f-" + self.place.replace(".", "-").replace("[", "").replace("]", "")


@dataclass(frozen=True)
class Group:
    """Fields that belong together."""

    title: str
    note: str
    fields: tuple[Field, ...]


CALL = Group(
    "The call",
    "",
    (
        Field("title", "What it is about", example="Oak logs with a small tractor"),
        Field("said", "What the caller said, in their words", "area"),
        Field("caller.name", "Caller"),
        Field("caller.number", "Number to ring"),
        Field("caller.place", "Place", listed="towns"),
        Field("caller.freight_zone", "Freight zone", hint="if the place is not in the price book"),
        Field(
            "caller.unloading",
            "Unloads with",
            "pick",
            options=(("lift_gate", "lift gate"), ("forks", "forks"), ("dock", "dock"), ("by_hand", "by hand")),
        ),
    ),
)
TRACTOR = Group(
    "The tractor",
    "A tractor from the shelf, or a class and a power. Two facts are enough for a first figure.",
    (
        Field("machine.record", "Tractor on the shelf", listed="machines", example="type a few letters"),
        Field("machine.name", "Make and model, if not on the shelf"),
        Field("machine.class", "Class", "pick", options=tuple(CLASSES.items())),
        Field("machine.engine_power", "Engine power", example="24 hp, or about 30 hp"),
        Field("machine.quick_attach", "The bucket hangs on", "pick", listed="interfaces"),
        Field("machine.front_functions", "Front outlet pairs to spare", "whole", example="0"),
        Field("machine.rear_remotes", "Rear remotes to spare", "whole", example="1"),
        Field("machine.mid_outlets", "Mid remotes (by the loader valve)", "whole"),
        Field("machine.lines_at_valve", "Lines into the loader valve", "whole", hint="seven: it can feed more"),
        Field("machine.tyre_fill", "Rear tyres filled", "pick", options=(("filled", "filled"),)),
        Field(
            "machine.rops",
            "Roll bar",
            "pick",
            options=(("up", "up"), ("folded", "folded"), ("none", "none")),
        ),
        Field("machine.seat_belt", "Seat belt works", "yes_no"),
    ),
)
BEHIND = Group(
    "Behind the tractor now",
    "",
    (
        Field("behind.kind", "What hangs on the hitch", "pick", options=_said(get_args(BehindKind))),
        Field("behind.mass", "How heavy", example="about 400 lb"),
    ),
)
SITE = Group(
    "Where",
    "",
    (
        Field("site.slope", "Slope", example="10 %, or 6 deg"),
        Field("site.gate", "Narrowest gate", example="5 ft 6 in"),
        Field("site.lift_to", "Lift to", hint="a trailer side, a stack", example="4 ft 6 in"),
        Field("site.haul_distance", "Haul", example="200 ft"),
        Field("travel.bump", "Bump factor", hint="what a bump makes of all that the arms carry", example="1.5"),
        Field("travel.braking", "Braking", hint="as a share of gravity", example="20 %"),
    ),
)
WISHES = Group(
    "Wishes",
    "",
    (
        Field("attachment[0].record", "Attachment asked for by name", listed="attachments"),
        Field("wishes.budget", "Budget, all in", example="4000"),
        Field("wishes.own_work", "Fits it without the shop", "yes_no"),
        Field(
            "wishes.fitted_at", "We fit it", "pick", options=(("shop", "in the shop"), ("field", "at the customer's"))
        ),
        Field("wishes.hours_per_year", "Hours a year", example="50"),
        Field("notes", "Notes", "area"),
    ),
)
SEEN = Group(
    "Seen elsewhere",
    "Reckoned beside the shelf's own, with its reasons.",
    (
        Field("seen_elsewhere[0].name", "What it is called", example="60 in double lid root grapple"),
        Field("seen_elsewhere[0].kind", "Kind", "pick", options=_said(get_args(AttachmentKind))),
        Field("seen_elsewhere[0].mass", "Weight", example="520 lb"),
        Field("seen_elsewhere[0].width", "Width", example="60 in"),
        Field("seen_elsewhere[0].lids", "Lids", "whole"),
        Field("seen_elsewhere[0].interfaces", "Hangs on", listed="interfaces"),
        Field(
            "seen_elsewhere[0].actuation",
            "Lid moved by",
            "pick",
            options=(("hydraulic", "oil"), ("electric", "electric"), ("curl", "the curl"), ("none", "no lid")),
        ),
        Field("seen_elsewhere[0].price", "Price asked", example="1599"),
        Field("seen_elsewhere[0].shipping_included", "Shipping in the price", "yes_no"),
        Field("seen_elsewhere[0].says", "What the listing says of fitting"),
    ),
)


def work_group(row: int) -> Group:
    """The fields of one line of work."""
    at = f"work[{row}]"
    return Group(
        "Work" if row == 0 else f"Work, line {row + 1}",
        "One piece is the load." if row == 0 else "",
        (
            Field(f"{at}.kind", "Kind of work", "pick", options=_said(get_args(WorkKind))),
            Field(f"{at}.species", "Species", listed="species"),
            Field(f"{at}.diameter", "Diameter", example="12 in"),
            Field(f"{at}.length", "Length", example="8 ft"),
            Field(f"{at}.width", "Width", hint="of a pile"),
            Field(f"{at}.height", "Height", hint="of a pile"),
            Field(f"{at}.mass", "Mass of one", example="about 400 lb"),
            Field(f"{at}.volume", "Volume", example="3 yd3"),
            Field(f"{at}.count", "How many", example="60"),
        ),
    )


def groups(lines: int = 2) -> tuple[Group, ...]:
    """The whole form, with so many lines of work."""
    return (CALL, TRACTOR, *(work_group(row) for row in range(lines)), SITE, BEHIND, WISHES, SEEN)


# Facts that are asked for one by one, beyond the form's fields: place, label, example.
_ALSO = (
    ("machine.mass", "Mass over the scale", "2,310 lb"),
    ("machine.wheelbase", "Wheelbase", "55 in"),
    ("machine.loader.lift_at_pin", "Lift at the pins, full height", "900 lb"),
    ("machine.loader.lift_at_500", "Lift 500 mm ahead of the pins", "640 lb"),
    ("machine.loader.curl_at_500", "Curl force, 500 mm ahead", "1,100 lbf"),
    ("machine.front_axle_mass", "Front axle over the scale", "1,300 lb"),
    ("machine.front_axle_rating", "Front axle rating", "3,250 lb"),
    ("machine.rear_axle_rating", "Rear axle rating", "3,400 lb"),
    ("machine.gross_rating", "Most it may weigh, all up", "5,500 lb"),
    ("machine.front_tyre.load_each", "A front tyre carries", "1,690 lb"),
    ("machine.rear_tyre.load_each", "A rear tyre carries", "2,150 lb"),
    ("machine.rear_tyre.size", "Rear tyre size", "16.9-30"),
    ("machine.tyre_fill.fluid", "Liquid in the tyres", "beet juice"),
    ("work[0].density", "Density of the wood", "62 lb/ft3"),
    ("machine.hitch_lift_610", "Hitch lift 24 in behind the ends", "750 lb"),
    ("machine.pump_flow", "Pump flow", "6 gpm"),
    ("machine.relief_pressure", "Hydraulic pressure", "2,000 psi"),
    ("attachment[0].mass", "Mass of the attachment", "240 lb"),
)
ALSO = {place: Field(place, label, example=example) for place, label, example in _ALSO}
ALSO["machine.centre"] = Field(
    "machine.centre", "Hydraulic circuit", "pick", options=_said(("open", "closed", "load_sensing"))
)
ALSO["machine.power_beyond"] = Field("machine.power_beyond", "Power beyond", "yes_no")


def field_at(place: str) -> Field | None:
    """The field of a place, if it may be filled in at a page."""
    row = int(place[5]) if place.startswith("work[") and place[5:6].isdigit() else 0
    for group in groups(row + 1):
        for field in group.fields:
            if field.place == place:
                return field
    return ALSO.get(place)
