"""How hard a lid bites at its tip, from its cylinders and its leverage."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.machines.attachment import Attachment
from handfast.outfits.gripping import lid_force, sound_jaw
from handfast.physics.grip import closing_moment
from handfast.physics.jaw import swing

LEVER = (0.20, 0.35)
"""Share of the cylinder's force that a lid's tip bears, where the jaw is not recorded (practice)."""


class Bite(NamedTuple):
    """Force of all lids together at their tips [N]; without a recorded jaw the trade's usual least and most."""

    shut: float
    half_open: float
    recorded: bool


def bite_of(attachment: Attachment, pressure: float) -> Bite:
    """How hard all lids together bite at their tips, just shut and half open.

    Args:
        attachment: with its cylinders or actuator, and its jaw where recorded.
        pressure: at the cylinders [Pa].

    Returns:
        `Bite`; nan where the cylinders are not known.

    Source: moments about the lid pivot; without a jaw the tip bears 0.20 to 0.35 of the cylinder's force (practice).

    Example:
        >>> bite_of(Attachment(), 2e7)
        Bite(shut=nan, half_open=nan, recorded=False)
    """
    lids = attachment.lids or 1
    push, pull = lid_force(attachment, pressure)
    jaw = sound_jaw(attachment)
    if np.isnan(push) or jaw is None:
        return Bite(LEVER[0] * lids * push, LEVER[1] * lids * push, False)
    turn = swing(jaw)
    shut = float(turn.shut) if np.isfinite(turn.shut) else 0.0
    half = 0.5 * (shut + float(turn.open)) if np.isfinite(turn.open) else shut
    tip = float(np.hypot(*(jaw.lid[-1] - jaw.pivot)))
    at_tip = lids * closing_moment(jaw, np.array([shut, half]), push, pull, turn) / tip
    return Bite(float(at_tip[0]), float(at_tip[1]), True)
