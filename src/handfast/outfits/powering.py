"""How a lid can be moved on this machine: every power route with its needs, and why the others are out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.tractor import Machine
from handfast.outfits.mounting import fits_class
from handfast.quantities.tables import table

HYDRAULIC = ("front_outlets", "third_function", "diverter", "rear_remote_forward", "mid_outlet", "separate_pump")
NEEDS_SPARE = {
    "front_outlets": ("front_functions", "no front outlet pair to spare"),
    "rear_remote_forward": ("rear_remotes", "no rear remote to spare"),
    "mid_outlet": ("mid_outlets", "no mid remote by the loader valve"),
}


@dataclass(frozen=True)
class RouteWords:
    """What the table says of one power route."""

    title: str
    control: str
    convenience: int
    delay: float  # s added to each cycle
    own_hours: float
    shop_hours: float
    line: float  # m of hose each way from the valve to the attachment's couplers
    note: str


@dataclass(frozen=True)
class PowerRoute:
    """One way to move the lid on this machine."""

    route: str
    parts: tuple[Part, ...] = ()
    presumes: str | None = None  # fact path that must be so and is not known yet
    broken_rules: tuple[str, ...] = ()
    care: tuple[str, ...] = ()  # what must be done for it to be right

    @property
    def words(self) -> RouteWords:
        """Title, control, convenience and hours of the route."""
        return route_words()[self.route]


@cache
def route_words() -> dict[str, RouteWords]:
    """The table of power routes.

    Returns:
        RouteWords by route id.

    Example:
        >>> route_words()["diverter"].convenience
        3
    """
    return {
        row["route"]: RouteWords(
            row["title"],
            row["control"],
            int(row["convenience"]),
            float(row["delay_s"]),
            float(row["own_h"]),
            float(row["shop_h"]),
            float(row["line_m"]),
            row["note"],
        )
        for row in table("power_routes.csv")
    }


def power_routes(
    machine: Machine, attachment: Attachment, parts: Iterable[Part], machine_class: str | None = None
) -> tuple[tuple[PowerRoute, ...], tuple[tuple[str, str], ...]]:
    """The routes that could move this lid, and the ones that cannot with the reason.

    Args:
        machine: the tractor with its outlets and hydraulics.
        attachment: the attachment with its actuation.
        parts: valve kits and the like on the shelf.
        machine_class: kits made for other classes are left out; None keeps all.

    Returns:
        (routes, ((route id, reason), …)).

    Source: rules of open, closed and load-sensing circuits (common practice, no source).

    Example:
        >>> power_routes(Machine(), Attachment(kind="bucket", actuation="none"), ())[0][0].route
        'none'
    """
    kits = [part for part in parts if part.kind == "valve_kit" and fits_class(part, machine_class)]
    if attachment.actuation in ("none", None):
        return (PowerRoute("none"),), ()
    if attachment.actuation in ("electric", "curl"):
        name = str(attachment.actuation)
        return (PowerRoute(name, tuple(kit for kit in kits if kit.power_route == name)[:1]),), ()
    routes: list[PowerRoute] = []
    out: list[tuple[str, str]] = []
    for name in HYDRAULIC:
        why = _ruled_out(name, machine)
        if why:
            out.append((name, why))
            continue
        routes.extend(_with_kits(name, machine, kits, out))
    return tuple(routes), tuple(out)


def _ruled_out(name: str, machine: Machine) -> str | None:
    spare = NEEDS_SPARE.get(name)
    if spare is not None and getattr(machine, spare[0]) == 0:
        return spare[1]
    if name == "diverter" and machine.dump_regenerative:
        return "the dump side of the curl circuit is regenerative, so a diverter would leave one lid line dead"
    if name == "third_function" and machine.power_beyond is False:
        return "the loader valve has no power beyond"
    if name == "mid_outlet" and machine.mid_outlets is None:
        return "no mid remote named"
    return None


def _with_kits(name: str, machine: Machine, kits: Sequence[Part], out: list[tuple[str, str]]) -> list[PowerRoute]:
    presumes = NEEDS_SPARE[name][0] if name in NEEDS_SPARE else None
    if presumes is not None and getattr(machine, presumes) is not None:
        presumes = None
    if name == "third_function" and machine.power_beyond is None and machine.lines_at_valve is None:
        presumes = "power_beyond"
    if name == "front_outlets":
        return [PowerRoute(name, (), presumes)]
    fitting = [kit for kit in kits if kit.power_route == name]
    matching = [kit for kit in fitting if _centre_matches(kit, machine)]
    if not fitting:
        out.append((name, "no kit for it on the shelf"))
    elif not matching:
        out.append((name, f"no kit on the shelf for a {str(machine.centre).replace('_', '-')} circuit"))
    return [PowerRoute(name, (kit,), presumes, _rules(name, machine), _care(name, machine)) for kit in matching[:1]]


def _centre_matches(kit: Part, machine: Machine) -> bool:
    return machine.centre is None or not kit.centre or machine.centre in kit.centre


def _rules(name: str, machine: Machine) -> tuple[str, ...]:
    lines = machine.lines_at_valve
    if name == "third_function" and lines is not None and lines < 7 and not machine.power_beyond:
        return (
            f"{lines} lines at the loader valve mean no power beyond: it needs a pump tee or another valve section",
        )
    return ()


def _care(name: str, machine: Machine) -> tuple[str, ...]:
    if name == "rear_remote_forward" and machine.remote_detent is not False:
        return ("the remote's detent and float are taken out or held off",)
    return ()
