"""The facts as they were read, how sure each is, and which ones are still open."""

from __future__ import annotations

from handfast.advice.odds import Judged
from handfast.advice.result import Fact
from handfast.machines.inquiry import Inquiry
from handfast.machines.tractor import CLASSES
from handfast.machines.work import Work
from handfast.outfits.draws import Draws, follow
from handfast.outfits.facts import machine_class
from handfast.outfits.mounting import words
from handfast.quantities.estimate import Estimate
from handfast.quantities.money import show_money
from handfast.quantities.showing import show_estimate

ASKED_ALWAYS = ("site.slope", "behind.mass", "site.lift_to")
WAITS_FOR = {
    "balance.front_axle": "front_axle_rating",
    "balance.rear_axle": "rear_axle_rating",
    "balance.front_tyres": "front_tyre.load_each",
    "balance.rear_tyres": "rear_tyre.load_each",
    "balance.gross": "gross_rating",
    "lift.curl": "loader.curl_at_500",
    "lift.attachment_rating": "attachment.rated_load",
    "mount.clearance": "loader.linkage",
    "grip.hold": "attachment.jaw",
    "power.pressure": "attachment.hydraulics",
    "join.chain": "ports",
}


def open_facts(judged: Judged, row: int, inquiry: Inquiry) -> tuple[str, ...]:
    """Paths of the facts that the best outfit still waits for, the gravest first.

    Args:
        judged: the outfits.
        row: the best outfit.
        inquiry: the inquiry.

    Returns:
        Paths.

    Example:
        >>> from handfast.outfits.example import inquiry, laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> open_facts(judge(laid(), Shelf()), 0, inquiry())[0]
        'site.slope'
    """
    final, draws = judged.final(row), judged.bench.draws
    found = [
        path for path in ("quick_attach", "front_functions", "rear_remotes", "power_beyond") if _open(judged, row, path)
    ]
    found += [path for path in ("loader.lift_at_pin",) if draws.origin(path) == "typical"]
    found += [path for path in ASKED_ALWAYS if not draws.known(path)]
    if not inquiry.work or not _sized(inquiry.work[0]):
        found.append("work.diameter" if inquiry.work and inquiry.work[0].kind == "logs" else "work.mass")
    waiting = [f.check for f in final.findings if f.check.hard and not f.decided[row]]
    found += [
        WAITS_FOR[check.id] for check in sorted(waiting, key=lambda c: not c.safety) if _asks(check.id, judged, row)
    ]
    return tuple(dict.fromkeys(found))


def _asks(check_id: str, judged: Judged, row: int) -> bool:
    """Whether a check waits for a fact that somebody could tell, for this outfit."""
    outfit = judged.bench.outfits[row]
    if check_id not in WAITS_FOR:
        return False
    if check_id in ("grip.hold",):
        return bool(outfit.attachment.lids)
    if check_id in ("power.pressure", "join.chain"):
        return outfit.power.route not in ("none", "electric", "curl", "manual")
    return True


def _open(judged: Judged, row: int, path: str) -> bool:
    """Whether a category is open and this outfit depends on it."""
    draws, outfit = judged.bench.draws, judged.bench.outfits[row]
    if len(draws.choices.get(path, ("",))) < 2:
        return False
    return path == "quick_attach" or outfit.power.presumes == path


def _sized(work: Work) -> bool:
    if not work.mass.is_unknown or work.kind in ("brush", "root_raking", "loose"):
        return True
    return not work.diameter.is_unknown


FACTS = (
    ("caller.place", "Caller", ""),
    ("machine", "Tractor", ""),
    ("machine.quick_attach", "Bucket hangs on", ""),
    ("machine.front_functions", "Outlet pairs in front", ""),
    ("machine.rear_remotes", "Rear remotes", ""),
    ("behind.mass", "Behind the tractor now", "mass"),
    ("machine.tyre_fill", "Rear tyres filled", ""),
    ("work", "Work", ""),
    ("site.lift_to", "Lift to", "length"),
    ("site.slope", "Ground", "slope"),
    ("site.gate", "Gate", "length"),
    ("machine.rops", "Roll bar", ""),
    ("machine.seat_belt", "Belt", ""),
    ("wishes.budget", "Budget", "money"),
    ("wishes.own_work", "Fits it himself", ""),
)
TITLES = {"wishes.own_work": "Owner fits it"}


def facts_of(inquiry: Inquiry, draws: Draws, system: str) -> tuple[Fact, ...]:
    """The facts in the order in which a counter asks them, each with how sure it is.

    Args:
        inquiry: resolved inquiry.
        draws: for where each comes from.
        system: units.

    Returns:
        Facts.

    Example:
        >>> from handfast.outfits.example import inquiry, laid
        >>> [one.text for one in facts_of(inquiry(), laid().draws, "us") if one.title == "Caller"]
        ['Sawpit Bend']
    """
    made = []
    for path, title, dimension in FACTS:
        text, certainty, origin = _said(inquiry, path, dimension, system)
        made.append(Fact(path, TITLES.get(path, title), text, certainty, origin))
    return tuple(made)


def _said(inquiry: Inquiry, path: str, dimension: str, system: str) -> tuple[str, str, str]:
    if path == "machine":
        return _machine(inquiry)
    if path == "work":
        return _work(inquiry, system)
    value = follow(inquiry, path)
    if isinstance(value, Estimate):
        if value.is_unknown:
            return "", "not known", "missing"
        plain = dimension == "money" and value.is_known
        text = show_money(value.value, inquiry.currency) if plain else show_estimate(value, dimension, system)
        return text, "sure" if value.is_known else "about", value.origin
    if value is None or value == "":
        return "", "not known", "missing"
    if path.endswith("quick_attach"):
        return words(str(value)), "sure", "stated"
    if isinstance(value, bool):
        return "yes" if value else "no", "sure", "stated"
    if path.endswith("tyre_fill"):
        return "yes", "about", "stated"
    return str(value), "sure", "stated"


def _machine(inquiry: Inquiry) -> tuple[str, str, str]:
    machine = inquiry.machine
    name = machine.name or " ".join(part for part in (machine.maker, machine.model) if part) or machine.id
    if name:
        return name, "sure", "sheet"
    group = machine_class(machine)
    return (CLASSES[group], "about", "stated") if group else ("", "not known", "missing")


def _work(inquiry: Inquiry, system: str) -> tuple[str, str, str]:
    if not inquiry.work:
        return "", "not known", "missing"
    told = []
    for work in inquiry.work:
        sizes = [show_estimate(e, d, system) for e, d in _sizes(work) if not e.is_unknown]
        told.append(
            ", ".join([str(work.kind).replace("_", " "), *(w for w in (work.species, work.material) if w), *sizes])
        )
    sure = all(e.is_known or e.is_unknown for work in inquiry.work for e, _ in _sizes(work))
    return "; ".join(told), "sure" if sure else "about", "stated"


def _sizes(work: Work) -> tuple[tuple[Estimate, str], ...]:
    return ((work.diameter, "length"), (work.length, "length"), (work.mass, "mass"), (work.volume, "volume"))
