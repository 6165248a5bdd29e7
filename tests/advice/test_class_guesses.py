"""What is only typical of a class never refuses a sale, and never makes one.

Source: the rule of the trade that this program follows (13 of 16 machines that are typical in everything would exceed
a typical front axle at their rated load): a rating that no plate or sheet gives is asked, not guessed against anybody.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from handfast.advice.odds import FITS, NOT, Judged, judge
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf
from handfast.machines.tractor import Machine
from handfast.machines.work import Work
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate

SHELF = demo_shelf()
MACHINES = sorted(SHELF.machines)
LIGHT = {
    "subcompact": ("thicketjaw-brush-42", "stookwright-forks-36"),
    "compact_small": ("thicketjaw-48", "stookwright-forks-36"),
    "compact_large": ("thicketjaw-60", "stookwright-forks-42"),
    "utility": ("thicketjaw-72", "stookwright-forks-60"),
}
RATINGS = (
    "front_axle_rating",
    "rear_axle_rating",
    "gross_rating",
    "hitch_lift_610",
    "front_tyre.load_each",
    "rear_tyre.load_each",
    "loader.curl_at_500",
    "loader.lift_at_500",
    "loader.lift_at_pin",
    "loader.pin_height_max",
    "loader.pin_ahead",
    "loader.arms_mass",
    "cg_height",
    "front_axle_assembly_mass",
    "wheelbase",
)
LOADS = 0.9  # of what is left at full height with the heavier of the two


def blanked(machine: Machine, path: str) -> Machine:
    """The machine with one entry that nobody has read."""
    head, _, rest = path.partition(".")
    part: Any = getattr(machine, head)
    if rest:
        if part is None:
            return machine
        empty: Any = type(part).model_fields[rest].default
        return machine.model_copy(update={head: part.model_copy(update={rest: empty})})
    return machine.model_copy(update={head: type(machine).model_fields[head].default})


def judged(machine: Machine, load: float) -> Judged:
    tools = tuple(SHELF.attachments[name] for name in LIGHT[str(machine.class_)])
    work = Work(kind="free", mass=Estimate.known(load)) if load else Work(kind="free")
    inquiry = Inquiry(machine=machine, attachment=tools, work=(work,))
    return judge(lay(inquiry, SHELF, 1), SHELF)


@cache
def load_of(name: str) -> float:
    """A load that the machine with all its facts lifts easily with either tool [kg]."""
    bare = judged(SHELF.machines[name], 0.0)
    left = bare.bench.payload_at(bare.bench.frame.height_max)
    return LOADS * float(left.min())


def words(one: Judged) -> dict[str, str]:
    return {outfit.id: one.verdict(row) for row, outfit in enumerate(one.bench.outfits)}


@cache
def known_words(name: str) -> dict[str, str]:
    return words(judged(SHELF.machines[name], load_of(name)))


@pytest.mark.parametrize("name", MACHINES)
def test_every_machine_has_an_outfit_that_holds(name: str) -> None:
    """So that a refusal below could only come from what was blanked."""
    assert any(word.startswith("fits") for word in known_words(name).values())


@pytest.mark.parametrize("name", MACHINES)
def test_no_machine_is_refused_by_a_typical_rating_alone(name: str) -> None:
    """One rating at a time is not known: nothing that was not refused before is refused now."""
    refused = {}
    for path in RATINGS:
        machine = blanked(SHELF.machines[name], path)
        now = words(judged(machine, load_of(name)))
        worse = [one for one, word in now.items() if word == NOT and known_words(name).get(one) != NOT]
        if worse:
            refused[path] = worse
    assert refused == {}


@pytest.mark.parametrize("name", ["thimble-24", "satchel-33", "hamper-42", "hurdle-76"])
def test_a_typical_lift_never_gives_the_plain_word(name: str) -> None:
    """With the ratings known a light load simply fits; without them at best if the sheet bears it out."""
    load, machine = load_of(name) / 3, SHELF.machines[name]
    nobody_knows = blanked(blanked(machine, "loader.lift_at_pin"), "loader.lift_at_500")
    assert FITS in words(judged(machine, load)).values()
    assert FITS not in words(judged(nobody_knows, load)).values()
