"""How an attachment can hang on the loader: straight on, by ears, by an adapter, by a quick-attach conversion."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part

INTERFACE_WORDS = {
    "pinned": "pinned on",
    "universal_plate": "universal plate",
    "universal_plate_narrow": "narrow universal plate",
    "hook_and_pin": "hook-and-pin carriage",
}

KITS = ("quick_attach_kit", "adapter_plate")

INTERFACE_FACTS = {
    "pinned": "it hangs on four pins",
    "universal_plate": "it has the universal plate with two levers",
    "universal_plate_narrow": "it has the narrow universal plate",
    "hook_and_pin": "it has the hook-and-pin carriage",
}


@dataclass(frozen=True)
class MountRoute:
    """One way from what the machine has to what the attachment needs."""

    route: str  # direct, ears, adapter, conversion
    interface: str  # what the machine must have
    to: str  # what the attachment hangs on
    parts: tuple[Part, ...] = ()

    @property
    def id(self) -> str:
        """Stable id, part of the outfit's id."""
        return self.route if self.route == "direct" else "-".join(part.id for part in self.parts)

    @property
    def title(self) -> str:
        """As said on the phone."""
        if self.route == "direct":
            return "pinned straight on" if self.to == "pinned" else f"straight on the {words(self.to)}"
        if self.route == "ears":
            return "pinned straight on"
        if self.route == "adapter":
            return f"by adapter to {words(self.to)}"
        return f"by conversion to {words(self.to)}"

    def sum_of(self, name: str) -> float:
        """A figure of its parts added up, what is not known left out."""
        each = (getattr(part, name) for part in self.parts)
        return float(sum(one.value for one in each if not one.is_unknown))

    def centre(self, axis: str) -> float:
        """Centre of its parts from the pin [m]: as drawn, else half way along the forward shift."""
        for part in self.parts:
            if part.cg is not None and not getattr(part.cg, axis).is_unknown:
                return float(getattr(part.cg, axis).value)
        return self.sum_of("forward") / 2.0 if axis == "x" else 0.0

    @property
    def rated(self) -> float:
        """Least rating of its parts [kg], infinite where nobody says."""
        ratings = (part.rated_load.value for part in self.parts if not part.rated_load.is_unknown)
        return float(min(ratings, default=float("inf")))

    @property
    def hours(self) -> float:
        """Fitting time of the route's parts, hours."""
        return sum(0.0 if part.hours.is_unknown else part.hours.value for part in self.parts)


def words(interface: str) -> str:
    """An interface id as the trade says it.

    Args:
        interface: interface id.

    Returns:
        Words.

    Example:
        >>> words("universal_plate")
        'universal plate'
    """
    return INTERFACE_WORDS.get(interface, "maker's own quick attach")


def fact_words(interface: str) -> str:
    """What must be so of the machine for a route from this interface.

    Args:
        interface: interface id.

    Returns:
        Words that follow "if".

    Example:
        >>> fact_words("pinned")
        'it hangs on four pins'
    """
    return INTERFACE_FACTS.get(interface, f"it has the {words(interface)} ({interface.replace('_', ' ')})")


def mount_routes(
    interfaces: Sequence[str], attachment: Attachment, parts: Iterable[Part], machine_class: str | None = None
) -> tuple[MountRoute, ...]:
    """Every route from one of the machine's possible interfaces to one that the attachment takes.

    Args:
        interfaces: what the machine has, or may have when that is not known.
        attachment: the attachment.
        parts: mounting kits on the shelf.
        machine_class: kits made for other classes are left out; None keeps all.

    Returns:
        Routes, straight ones first; empty when nothing leads there.

    Source: interfaces as data; one kit at most (a kit on a kit adds play that no rating covers).

    Example:
        >>> mount_routes((), Attachment(kind="bucket"), ())
        ()
    """
    kits = [part for part in parts if part.kind in KITS and part.from_interface and fits_class(part, machine_class)]
    # While nobody knows what the loader has, a tool that may go straight on is not offered by conversion as well.
    half_known = len(set(interfaces)) > 1 and bool(set(interfaces) & set(attachment.interfaces))
    found: list[MountRoute] = []
    for have in dict.fromkeys(interfaces):
        if have in attachment.interfaces:
            found.extend(_straight(have, kits))
        if not half_known:
            found.extend(_by_kit(have, attachment, kits))
    return tuple(found)


def fits_class(part: Part, machine_class: str | None) -> bool:
    """Whether a part is made for a class of machine, as far as anybody says.

    Args:
        part: the part.
        machine_class: class id or None.

    Returns:
        True unless the part names other classes only.

    Example:
        >>> fits_class(Part(kind="oil"), "utility")
        True
    """
    return machine_class is None or not part.fits_class or machine_class in part.fits_class


def _straight(have: str, kits: Sequence[Part]) -> list[MountRoute]:
    ears = [kit for kit in kits if kit.from_interface == have and kit.to_interface == have]
    if ears:
        return [MountRoute("ears", have, have, (kit,)) for kit in ears]
    return [MountRoute("direct", have, have)]


def _by_kit(have: str, attachment: Attachment, kits: Sequence[Part]) -> list[MountRoute]:
    ends = [
        kit
        for kit in kits
        if kit.from_interface == have and kit.to_interface != have and kit.to_interface in attachment.interfaces
    ]
    if have in attachment.interfaces and have != "pinned":
        return []
    names = {"adapter_plate": "adapter", "quick_attach_kit": "conversion"}
    return [MountRoute(names[kit.kind], have, kit.to_interface or "", (kit,)) for kit in ends]
