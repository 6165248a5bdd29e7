"""From an electric lid's wiring to its drawing: the one way for pages and papers."""

from __future__ import annotations

from math import isnan

from handfast.drawings.wiring import WiringView
from handfast.outfits.wiring import Wiring
from handfast.quantities.showing import show


def wiring_view_of(wiring: Wiring, system: str = "us") -> WiringView:
    """An electric lid's wiring as it is drawn.

    Args:
        wiring: as `wiring_of` gives it.
        system: us or metric.

    Returns:
        `WiringView`; what is not chosen says so.

    >>> from handfast.outfits.example_piped import wired
    >>> from handfast.outfits.wiring import wiring_of
    >>> wiring_view_of(wiring_of(wired().outfit, wired().inquiry, wired().shelf)).cable
    'W1: cable 10 AWG, 16 ft each way'
    """
    time = "" if isnan(wiring.seconds) else f", {show(wiring.seconds, 'time')} a stroke"
    long = "" if isnan(wiring.length) else f", {show(wiring.length, 'length', system)} each way"
    cable = f"W1: cable {wiring.gauge} AWG{long}" if wiring.gauge else "W1: no cable on the shelf bears it"
    fuse = "F1: no fuse on the shelf bears it" if isnan(wiring.fuse) else f"F1: {wiring.fuse:g} A, at the battery"
    return WiringView(
        f"actuator, {wiring.current:g} A{time}",
        "sealed plug at the end of the arms",
        cable,
        "reversing relays",
        "rocker by the loader lever",
        fuse,
        f"battery {wiring.supply:g} V",
    )


def wiring_figures(wiring: Wiring) -> tuple[tuple[str, str], ...]:
    """Current, loss, time and budget of an electric lid, named; what is not known is left out.

    Args:
        wiring: as `wiring_of` gives it.

    Returns:
        Pairs of name and figure.

    >>> from handfast.outfits.example_piped import wired
    >>> from handfast.outfits.wiring import wiring_of
    >>> wiring_figures(wiring_of(wired().outfit, wired().inquiry, wired().shelf))[:2]
    (('Actuator draws', '22 A'), ('Fuse', '30 A'))
    """
    drop = f"{wiring.drop:.2f} V of {wiring.supply:g} V, {100 * wiring.share:.1f} %"
    found = (
        ("Actuator draws", wiring.current, f"{wiring.current:.0f} A"),
        ("Fuse", wiring.fuse, f"{wiring.fuse:.0f} A"),
        ("Cable bears without end", wiring.bears, f"{wiring.bears:.0f} A"),
        ("Cable loses", wiring.drop, drop),
        ("At the motor", wiring.drop, f"{wiring.supply - wiring.drop:.1f} V"),
        ("A stroke takes", wiring.seconds, f"{wiring.seconds:.0f} s"),
        ("Strokes an hour at most", wiring.strokes_an_hour, f"{wiring.strokes_an_hour:.0f}, if the motor may run on"),
        ("Work takes on average", wiring.on_average, f"{wiring.on_average:.1f} A"),
        ("Alternator gives", wiring.alternator, f"{wiring.alternator:.0f} A"),
    )
    return tuple((name, words) for name, value, words in found if not isnan(value))
