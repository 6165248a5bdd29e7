"""How a lid can be moved on this machine: every power route with its needs, and why the others are out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from handfast.connections.rules import OWN_PUMP, CircuitFacts, RuleFinding, check_circuit
from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.tractor import Machine
from handfast.outfits.mounting import fits_class
from handfast.outfits.route_facts import circuit_facts
from handfast.quantities.tables import table

HYDRAULIC = ("front_outlets", "third_function", "diverter", "rear_remote_forward", "mid_outlet", "separate_pump")
ROUTES = (*HYDRAULIC, "electric", "curl", "manual", "none")
ACTUATED = {"electric": "electric", "curl": "curl"}
CLAMPED = ("pallet_forks",)
"""Kinds without a lid of their own that a clamp worked by hand goes on."""

LOOSE_PIECES = frozenset(("logs", "bundle", "free"))
"""Work for which somebody would chain the load down by hand."""

NEEDS_SPARE = {
    "front_outlets": ("front_functions", "no front outlet pair to spare"),
    "rear_remote_forward": ("rear_remotes", "no rear remote to spare"),
    "mid_outlet": ("mid_outlets", "no mid remote by the loader valve"),
}
NEED_WORDS = {"front_functions": "front_outlet", "rear_remotes": "rear_remote", "mid_outlets": "mid_outlet"}


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
    facts: CircuitFacts | None = None  # what the circuit rules look at

    @property
    def words(self) -> RouteWords:
        """Title, control, convenience and hours of the route."""
        return route_words()[self.route]

    @property
    def kit(self) -> Part | None:
        """The route's own kit."""
        return next((part for part in self.parts if part.kind == "valve_kit"), None)

    @property
    def findings(self) -> tuple[RuleFinding, ...]:
        """Every circuit rule that speaks for it: at the choice, the fitting and in use."""
        return () if self.facts is None else _findings(self.facts)

    @property
    def broken_rules(self) -> tuple[str, ...]:
        """What makes it wrong, each with what to do."""
        return tuple(one.in_full() for one in self.findings if one.rule.severity == "breaks")

    @property
    def care(self) -> tuple[str, ...]:
        """What must be seen to for it to be right."""
        minded = (one for one in self.findings if one.rule.severity == "mind")
        return tuple(one.sentence() for one in minded if one.rule.stage == "choice")


@dataclass(frozen=True)
class RouteChoice:
    """One route of the table for one attachment: how it would be done, or why it is out."""

    route: str
    power: PowerRoute | None
    why: str
    about_lid: bool = False  # it is out because of the lid's own kind, whatever the tractor

    @property
    def offered(self) -> bool:
        """Whether it comes into question."""
        return self.power is not None


@lru_cache(maxsize=4096)
def _findings(facts: CircuitFacts) -> tuple[RuleFinding, ...]:
    return check_circuit(facts)


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


def lid_key(attachment: Attachment) -> tuple[object, ...]:
    """What of an attachment decides how it can be moved: lids with equal keys have the same routes.

    Args:
        attachment: the attachment.

    Returns:
        A key.

    Example:
        >>> lid_key(Attachment(kind="bucket", actuation="none"))
        (False, 'none', None, None)
    """
    oil = attachment.hydraulics
    cylinder = None if oil is None else (oil.bore, oil.rod)
    return attachment.kind in CLAMPED, attachment.actuation, attachment.lid_hold, cylinder


def power_routes(
    machine: Machine,
    attachment: Attachment,
    parts: Iterable[Part],
    machine_class: str | None = None,
    works: Iterable[str] = ("free",),
) -> tuple[tuple[PowerRoute, ...], tuple[tuple[str, str], ...]]:
    """The routes that could move this lid, and the ones that this tractor rules out with the reason.

    Args:
        machine: the tractor with its outlets and hydraulics.
        attachment: the attachment with its actuation.
        parts: valve kits and the like on the shelf.
        machine_class: kits made for other classes are left out; None keeps all.
        works: kinds of work asked for; a clamp worked by hand only where all are single pieces.

    Returns:
        (routes, ((route id, reason), …)).

    Source: rules of open, closed and load-sensing circuits (common practice, no source).

    Example:
        >>> power_routes(Machine(), Attachment(kind="bucket", actuation="none"), ())[0][0].route
        'none'
    """
    choices = route_table(machine, attachment, parts, machine_class)
    by_hand = set(works) <= LOOSE_PIECES
    routes = tuple(c.power for c in choices if c.power is not None and (by_hand or c.route != "manual"))
    out = [(c.route, c.why) for c in choices if not c.offered and not c.about_lid]
    own_oil = [one for one in routes if one.route in HYDRAULIC and one.route != OWN_PUMP and not one.broken_rules]
    if any(one.presumes is None for one in own_oil):
        routes = tuple(one for one in routes if one.route != OWN_PUMP)
        out.append((OWN_PUMP, "the tractor's own oil moves the lid for less"))
    return routes, tuple(out)


def route_table(
    machine: Machine, attachment: Attachment, parts: Iterable[Part], machine_class: str | None = None
) -> tuple[RouteChoice, ...]:
    """Every route there is, offered or out with its reason.

    Args:
        machine: the tractor with its outlets and hydraulics.
        attachment: the attachment with its actuation.
        parts: valve kits and the like on the shelf.
        machine_class: kits made for other classes are left out; None keeps all.

    Returns:
        One `RouteChoice` for each route, in the order of `ROUTES`.

    Source: power_routes.csv; rules of open, closed and load-sensing circuits (common practice, no source).

    Example:
        >>> forks = Attachment(kind="pallet_forks", actuation="none")
        >>> [c.route for c in route_table(Machine(), forks, ()) if c.offered]
        ['none']
    """
    kits = [part for part in parts if part.kind == "valve_kit" and fits_class(part, machine_class)]
    return tuple(_choice(name, machine, attachment, kits) for name in ROUTES)


def _choice(name: str, machine: Machine, attachment: Attachment, kits: Sequence[Part]) -> RouteChoice:
    why = _not_this_lid(name, attachment)
    if why:
        return RouteChoice(name, None, why, about_lid=True)
    if name == "none":
        return RouteChoice(name, PowerRoute(name), "")
    if name == "manual" and not any(kit.power_route == name for kit in kits):
        return RouteChoice(name, None, "no clamp worked by hand on the shelf", about_lid=True)
    if name in ("electric", "curl", "manual"):
        return RouteChoice(name, PowerRoute(name, tuple(kit for kit in kits if kit.power_route == name)[:1]), "")
    return _hydraulic(name, machine, attachment, [kit for kit in kits if kit.power_route == name])


def _not_this_lid(name: str, attachment: Attachment) -> str:
    """Why the lid's own kind rules a route out, whatever the tractor."""
    moved = attachment.actuation
    if moved in ("none", None):
        if name == "none":
            return ""
        clamp = name == "manual" and attachment.kind in CLAMPED
        return "" if clamp else "it has no lid to move"
    if name == "none":
        return "it has a lid to move"
    if name == "manual":
        return "its lid is moved by a cylinder; a clamp by hand goes on forks"
    wanted = ACTUATED.get(str(moved))
    if wanted is None:
        return f"its lid has oil cylinders, no {name} drive" if name in ACTUATED else ""
    if name != wanted:
        return "its lid has an electric actuator" if wanted == "electric" else "its lid is moved by the curl"
    return ""


def _hydraulic(name: str, machine: Machine, attachment: Attachment, kits: Sequence[Part]) -> RouteChoice:
    """An oil route: the machine's outlets, then the kit that suits it best."""
    spare = NEEDS_SPARE.get(name)
    count = getattr(machine, spare[0]) if spare is not None else None
    without = [kit for kit in kits if spare is None or NEED_WORDS[spare[0]] not in kit.needs]
    kits = without if count == 0 else kits
    why = _ruled_out(name, machine, bool(without))
    if why:
        return RouteChoice(name, None, why)
    if name == "front_outlets":
        facts = circuit_facts(name, machine, attachment, None)
        return RouteChoice(name, PowerRoute(name, (), _presumed(name, machine, None), facts), "")
    mine = [kit for kit in kits if not kit.serves or {machine.id, machine.record} & set(kit.serves)]
    matching = [kit for kit in mine if machine.centre is None or not kit.centre or machine.centre in kit.centre]
    if not matching:
        centre = f" for {'an' if machine.centre == 'open' else 'a'} {str(machine.centre).replace('_', '-')} circuit"
        return RouteChoice(name, None, f"no kit on the shelf{centre}" if mine else "no kit for it on the shelf")
    rows = [(circuit_facts(name, machine, attachment, kit), kit) for kit in matching]
    facts, kit = min(rows, key=lambda row: _worse(*row))
    return RouteChoice(name, PowerRoute(name, (kit,), _presumed(name, machine, kit), facts), "")


def _worse(facts: CircuitFacts, kit: Part) -> tuple[int, bool, bool]:
    """What orders kits: rules broken, too small for the flow, not in stock; then the shelf's own order."""
    broken = sum(one.rule.severity == "breaks" for one in _findings(facts))
    if facts.route == OWN_PUMP:
        return broken, False, False  # its flow is its own
    return broken, facts.flow > facts.kit_flow * (1.0 + 1e-9), kit.stock == 0


def _ruled_out(name: str, machine: Machine, can_add: bool) -> str | None:
    spare = NEEDS_SPARE.get(name)
    if spare is not None and getattr(machine, spare[0]) == 0 and not (can_add and machine.power_beyond):
        return spare[1]
    if name == "diverter" and machine.dump_regenerative:
        return "the dump side of the curl circuit is regenerative, so a diverter would leave one lid line dead"
    if name == "third_function" and machine.power_beyond is False:
        return "the loader valve has no power beyond"
    if name == "mid_outlet" and machine.mid_outlets is None:
        return "no mid remote named"
    return None


def _presumed(name: str, machine: Machine, kit: Part | None) -> str | None:
    """The fact that must be so and that nobody has said."""
    spare = NEEDS_SPARE.get(name)
    if spare is not None and getattr(machine, spare[0]) is None:
        return spare[0]
    unsaid = machine.power_beyond is None and machine.lines_at_valve is None
    in_row = kit is not None and "power_beyond" in kit.needs
    return "power_beyond" if unsaid and (in_row or name == "third_function") and machine.centre != "closed" else None
