"""What a side view is told: the tractor, loader, attachment, load and what hangs behind, in plain SI floats."""

from __future__ import annotations

from dataclasses import dataclass, field

from handfast.drawings.marks import Figure, Pose
from handfast.drawings.svg import Point

GRAPPLES = frozenset(
    {
        "root_grapple",
        "rock_grapple",
        "brush_grapple",
        "log_grapple",
        "grapple_bucket",
        "fork_grapple",
        "sweep_grapple",
        "silage_grab",
        "rake_grapple",
    }
)


@dataclass(frozen=True)
class Attachment:
    """Outline of an attachment in its own frame (origin at the bottom of the mounting plane, x forward, z up), m."""

    kind: str
    reach: float = 0.0
    """Foremost point ahead of the mounting plane; 0 takes the kind's typical reach for the tractor's size."""
    height: float = 0.0
    """Top of the back or of the closed lid above the plane's bottom; 0 takes the typical one."""
    floor: tuple[Point, ...] = ()
    """Inner face of the lower jaw, if recorded."""
    lid: tuple[Point, ...] = ()
    """Inner face of the lid, closed, if recorded."""
    lid_pivot: Point | None = None
    has_lid: bool = False
    label: str = ""


@dataclass(frozen=True)
class Piece:
    """What is carried: kind log, bundle, round_bale, square_bale, pallet, brush, rock, loose, stump; sizes in m."""

    kind: str
    diameter: float = 0.0
    length: float = 0.0
    height: float = 0.0
    at: Point | None = None
    """Its centre in the attachment's frame; None seats it in the jaw."""
    label: str = ""
    note: str = ""


@dataclass(frozen=True)
class Behind:
    """What hangs on the hitch: kind, its centre of gravity behind the rear axle (m), how it is labelled."""

    kind: str
    behind: float
    label: Figure
    note: str = ""
    known: bool = True


@dataclass(frozen=True)
class AxleLoads:
    """Axle loads as written under the wheels."""

    front: Figure
    rear: Figure


@dataclass(frozen=True)
class Dimensions:
    """Figures of the dimension lines; a line without a figure is left out."""

    wheelbase: Figure | None = None
    behind: Figure | None = None
    pin_ahead: Figure | None = None
    """Front axle to the pins, at the pose that is drawn."""
    load_ahead: Figure | None = None
    """Pins to the load's centre."""
    pin_height: Figure | None = None
    lift_to: Figure | None = None


@dataclass(frozen=True)
class SideView:
    """An outfit seen from its right side; SI, x ahead of the rear axle, z above ground."""

    wheelbase: float
    front_radius: float
    rear_radius: float
    pivot: Point
    """Arm pivot."""
    boom: float
    """Radius of the pins' path about the pivot."""
    pin_height: float
    pin_height_max: float
    pin_height_down: float
    attachment: Attachment
    plane_ahead: float = 0.1
    plane_drop: float = 0.05
    quick_attach: str = "universal_plate"
    rops: str = "up"
    """up, folded, none or cab."""
    self_levelling: bool = False
    curl: float = 0.0
    """Tool angle from level, rad, curled back positive."""
    lid: float | None = None
    """Lid angle from closed, rad; None closes it on the piece."""
    load: Piece | None = None
    behind: Behind | None = None
    axles: AxleLoads | None = None
    dimensions: Dimensions = field(default_factory=Dimensions)
    lift_to: float | None = None
    """Height of a trailer side to lift over."""
    arm_label: str = ""
    ghost_level: bool = True
    ghost_down: bool = True
    ghost_label: str = ""
    ghost_note: str = ""
    title: str = "Side view"
    tag: str = ""
    """A word that stands in the drawing, as 'invented'."""

    def pin_at(self, height: float) -> Point:
        """Place of the loader pin at a pin height."""
        rise = max(-self.boom, min(self.boom, height - self.pivot[1]))
        return self.pivot[0] + (self.boom**2 - rise**2) ** 0.5, self.pivot[1] + rise

    def tool(self, height: float, curl: float) -> Pose:
        """Pose of the tool carrier: origin in the loader pin, x along the level floor."""
        x, z = self.pin_at(height)
        return Pose(x, z, curl)

    def plane(self, height: float, curl: float) -> Pose:
        """Pose of the attachment: origin at the bottom of the mounting plane."""
        return self.tool(height, curl).on(self.plane_ahead, -self.plane_drop)

    @property
    def size(self) -> float:
        """Scale of typical parts: 1 for a sub-compact of 55 in wheelbase."""
        return self.wheelbase / 1.397

    def grown(self, power: float) -> float:
        """How much larger than on a sub-compact a part is that grows with a power of the tractor's size."""
        return float(self.size**power)
