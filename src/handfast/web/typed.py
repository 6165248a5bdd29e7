"""The typing line of the call sheet: one fact as it is said, put where it belongs."""

from __future__ import annotations

import re

from handfast.machines.faults import Fault, Faults

WORDS: tuple[tuple[str, str], ...] = (
    ("tractor", "machine.record"),
    ("machine", "machine.record"),
    ("power", "machine.engine_power"),
    ("class", "machine.class"),
    ("hangs on", "machine.quick_attach"),
    ("bucket", "machine.quick_attach"),
    ("front outlets", "machine.front_functions"),
    ("front", "machine.front_functions"),
    ("remotes", "machine.rear_remotes"),
    ("rear", "machine.rear_remotes"),
    ("lines", "machine.lines_at_valve"),
    ("behind", "behind.mass"),
    ("ballast", "behind.mass"),
    ("slope", "site.slope"),
    ("gate", "site.gate"),
    ("lift to", "site.lift_to"),
    ("haul", "site.haul_distance"),
    ("bump", "travel.bump"),
    ("braking", "travel.braking"),
    ("species", "work[0].species"),
    ("diameter", "work[0].diameter"),
    ("length", "work[0].length"),
    ("weight", "work[0].mass"),
    ("count", "work[0].count"),
    ("budget", "wishes.budget"),
    ("place", "caller.place"),
    ("caller", "caller.name"),
    ("number", "caller.number"),
    ("belt", "machine.seat_belt"),
    ("roll bar", "machine.rops"),
)
POWER = re.compile(r"^(about |~)?\s*[\d.,]+\s*(hp|horse|horses|kw)$", re.I)


def typed_facts(line: str) -> dict[str, str]:
    """The entries that a typed line makes. Raises Faults: no word in it says which fact it is.

    >>> typed_facts("gate 5 ft 6 in"), typed_facts("about 24 horse")
    ({'site.gate': '5 ft 6 in'}, {'machine.engine_power': 'about 24 hp'})
    """
    said = " ".join(line.replace("~", "about ").split())
    if POWER.match(said):
        return {"machine.engine_power": re.sub(r"\s*horses?$", " hp", said, flags=re.I)}
    plain = said.casefold()
    for word, place in WORDS:
        if plain.startswith(word + " "):
            rest = said[len(word) :].strip(" :=")
            return {place: "unknown" if rest in ("?", "don't know") else rest}
    known = ", ".join(word for word, _ in WORDS)
    raise Faults([Fault("line", 0, "line", f'"{said[:60]}"', f"a first word that says which fact it is: {known}")])
