"""Worked examples for the docstrings that need oil or current: two outfits of the invented demonstration."""

from __future__ import annotations

from functools import cache

from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting, fitting_of

PIPED = "thicketjaw-55~pinned.ears-pins~rear_remote_forward"
WIRED = "thicketjaw-42e~universal_plate_narrow.direct~electric"


@cache
def shelf() -> Shelf:
    """The demonstration's shelf.

    Returns:
        `Shelf`.

    Example:
        >>> "thicketjaw-55" in shelf().attachments
        True
    """
    return demo_shelf()


@cache
def asked(title: str) -> Inquiry:
    """An inquiry of the demonstration by its title.

    Args:
        title: as it stands in its file.

    Returns:
        Resolved inquiry.

    Example:
        >>> asked("Takes the bucket off with a hammer").machine.quick_attach
        'pinned'
    """
    return next(one for one in demo_inquiries().values() if one.title == title).resolve(shelf())


@cache
def piped() -> Fitting:
    """A root grapple pinned on, its lid fed by a rear remote piped forward.

    Returns:
        `Fitting`.

    Example:
        >>> piped().outfit.power.route
        'rear_remote_forward'
    """
    return fitting_of(PIPED, asked("Takes the bucket off with a hammer"), shelf())


@cache
def wired() -> Fitting:
    """A small root grapple with an electric lid.

    Returns:
        `Fitting`.

    Example:
        >>> wired().outfit.power.route
        'electric'
    """
    return fitting_of(WIRED, asked("No spare function, little money"), shelf())
