"""`reckon cable`: what an electric lid draws, what the cable loses, which fuse."""

from __future__ import annotations

import math
from typing import Any

from pydantic import Field, model_validator

from handfast.machines.attachment import Electrics
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import UNKNOWN, Gauge, Length, Record, Temperature, Voltage
from handfast.machines.reading import read_model
from handfast.physics import electrics as el
from handfast.physics.wire import KELVIN_20, gauge_number
from handfast.reckoning.needs import plain_number, require, value_of

VOLTS = 12.0
AMBIENT = 303.15
DROP_SHARE_MAX = 0.10


class Cable(Record):
    """A two-wire cable: gauge, length one way, copper and air temperature, voltage at its start."""

    gauge: Gauge = ""
    length: Length = UNKNOWN
    temperature: Temperature = UNKNOWN
    ambient: Temperature = UNKNOWN
    supply: Voltage = UNKNOWN

    @model_validator(mode="before")
    @classmethod
    def _gauge_as_text(cls, given: Any) -> Any:
        """A gauge may be written as a number."""
        if isinstance(given, dict) and isinstance(given.get("gauge"), int) and not isinstance(given["gauge"], bool):
            return {**given, "gauge": str(given["gauge"])}
        return given


class CableFile(Record):
    """A cable and the actuator at its end."""

    cable: Cable = Field(default_factory=Cable)
    electrics: Electrics = Field(default_factory=Electrics)


def reckon_cable(text: str, file: str) -> dict[str, Any]:
    """Current, loss, fuse and ampacity of a cable to an actuator.

    Args:
        text: The file's TOML text.
        file: Its name, for the faults.

    Returns:
        Result as plain data.

    Raises:
        Faults: Everything that is wrong with the text.

    Source: as `actuator_current`, `voltage_drop`, `fuse_size`, `ampacity`.

    >>> reckon_cable(EXAMPLE, "cable.toml")["current"]
    7.0
    """
    given = read_model(CableFile, text, file)
    _complete(given, file)
    return cable_result(given)


def _complete(given: CableFile, file: str) -> None:
    cable, electrics = given.cable, given.electrics
    needed = {
        "cable.gauge": (cable.gauge, "a gauge such as 8"),
        "cable.length": (cable.length, "a length such as 12 ft"),
    }
    if electrics.current.is_unknown or not electrics.full_current.is_unknown:
        needed["electrics.full_current"] = (electrics.full_current, "a current such as 30 A")
        needed["electrics.full_force"] = (electrics.full_force, "a force such as 1500 lbf")
        needed["electrics.idle_current"] = (electrics.idle_current, "a current such as 4 A")
    require(file, needed)  # type: ignore[arg-type]
    try:
        gauge_number(cable.gauge)
    except ValueError:
        raise Faults([Fault(file, 0, "cable.gauge", f'"{cable.gauge}"', "a wire gauge such as 8 or 1/0")]) from None


def cable_result(given: CableFile) -> dict[str, Any]:
    """The answer to a complete cable file.

    Args:
        given: The file's record, nothing needed missing.

    Returns:
        Result as plain data; `fuse_protects` tells whether 1.25 × current ≤ fuse ≤ ampacity.

    Source: as `reckon_cable`.

    >>> cable_result(read_model(CableFile, EXAMPLE, "cable.toml"))["fuse"]
    10.0
    """
    cable = given.cable
    supply, gauge = value_of(cable.supply, VOLTS), gauge_number(cable.gauge)
    current = _current(given.electrics)
    copper = value_of(cable.temperature, KELVIN_20)
    drop = float(el.voltage_drop(current, gauge, value_of(cable.length), copper))
    fuse, bears = el.fuse_size(current), el.ampacity(cable.gauge, value_of(cable.ambient, AMBIENT))
    return {
        "current": current,
        "drop": drop,
        "drop_share": drop / supply,
        "drop_share_max": DROP_SHARE_MAX,
        "at_motor": supply - drop,
        "fuse": plain_number(fuse),
        "ampacity": plain_number(bears),
        "fuse_protects": None if math.isnan(bears) else bool(fuse <= bears),
        "units": {"current": "A", "drop": "V", "at_motor": "V", "fuse": "A", "ampacity": "A"},
    }


def _current(electrics: Electrics) -> float:
    """Current under the force asked for; the rated force where none is given."""
    if electrics.full_current.is_unknown:
        return value_of(electrics.current)
    full = value_of(electrics.full_force)
    force = value_of(electrics.force, full)
    return float(el.actuator_current(force, full, value_of(electrics.full_current), value_of(electrics.idle_current)))


EXAMPLE = """
[cable]
gauge = "10"
length = "12 ft"
temperature = "40 °C"
supply = "12.6 V"
[electrics]
idle_current = "4 A"
full_current = "12 A"
full_force = "400 lbf"
force = "150 lbf"
"""
