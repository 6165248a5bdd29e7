"""What looks odd in a record without being impossible: said beside the answer, never a refusal."""

from __future__ import annotations

from handfast.machines.attachment import Attachment
from handfast.machines.fields import above, show_pair
from handfast.machines.loader import Loader
from handfast.machines.tractor import Machine

_LEVEL_SHARE = 0.02  # a self-levelling loader's two ratings differ by no more than this
_STROKE_SHARE = 0.02


def warnings(machine: Machine) -> tuple[str, ...]:
    """Oddities of a machine's record.

    Args:
        machine: any machine.

    Returns:
        sentences, none when nothing is odd.

    >>> from handfast.machines.loader import Loader
    >>> len(warnings(Machine(loader=Loader(self_levelling=True, lift_at_pin="900 lb", lift_at_500="650 lb"))))
    1
    """
    found = [*_levelling(machine.loader), *_pins(machine.loader)]
    if above(machine.hitch_lift_610, machine.hitch_lift):
        found.append("The hitch lifts more 610 mm behind the link ends than at them: one of the two figures is wrong.")
    if above(machine.port_relief, machine.relief_pressure):
        found.append("The port relief is above the main relief, so it never opens.")
    if above(machine.implement_flow, machine.pump_flow):
        found.append("The flow to the implements is above the whole pump's: one of the two figures is wrong.")
    ready = (machine.front_axle_rating, machine.rear_axle_rating)
    for name, mass, rating in zip(
        ("front", "rear"), (machine.front_axle_mass, machine.rear_axle_mass), ready, strict=True
    ):
        if above(mass, rating):
            found.append(f"The {name} axle carries more than its rating before anything is lifted.")
    return tuple(found)


def _levelling(loader: Loader) -> list[str]:
    """A self-levelling loader lifts the same at the pin and ahead of it; another does not."""
    at_pin, ahead = loader.lift_at_pin, loader.lift_at_500
    if loader.self_levelling is None or at_pin.is_unknown or ahead.is_unknown:
        return []
    pair = f"{show_pair(at_pin, 'load')} at the pin and {show_pair(ahead, 'load')} 500 mm ahead"
    same = at_pin.value - ahead.value <= _LEVEL_SHARE * at_pin.value
    if loader.self_levelling and not same:
        return [f"Said to be self-levelling, but rated {pair}: a self-levelling loader lifts the same at both."]
    if not loader.self_levelling and same:
        return [f"Rated {pair}: so lifts a mechanically self-levelling loader, and this one is said not to be."]
    return []


def _pins(loader: Loader) -> list[str]:
    """Swinging on a circle, the pin is furthest ahead when level with the arm pivot."""
    level = loader.pin_ahead.level
    return [
        f"The pin is further ahead {name} than level with the arm pivot: one of the two figures is wrong."
        for name, other in (("down", loader.pin_ahead.down), ("up", loader.pin_ahead.up))
        if above(other, level)
    ]


def attachment_warnings(attachment: Attachment) -> tuple[str, ...]:
    """Oddities of an attachment's record.

    Args:
        attachment: any attachment.

    Returns:
        sentences, none when nothing is odd.

    >>> attachment_warnings(Attachment(lids=1))
    ()
    """
    found = []
    jaw, hydraulics = attachment.jaw, attachment.hydraulics
    if jaw and hydraulics and jaw.retracted.is_known and jaw.extended.is_known and hydraulics.stroke.is_known:
        stroke = jaw.extended.value - jaw.retracted.value
        if abs(stroke - hydraulics.stroke.value) > _STROKE_SHARE * stroke:
            found.append("The lid cylinder's stroke is not the difference of its two lengths.")
    if attachment.actuation == "hydraulic" and attachment.lids == 0 and attachment.kind != "angle_blade":
        found.append("Hydraulic, yet without a lid.")
    return tuple(found)
