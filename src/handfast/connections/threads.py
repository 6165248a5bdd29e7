"""Which thread is this: from caliper and pitch to families, with odds, look-alikes and the question that settles it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from handfast.connections.mating import families
from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.tables import table

CALIPER = 1e-4
"""Half-width of a caliper reading [m] where none is given."""

PITCH_SPREAD = 0.015
"""Standard deviation of a pitch, gauge or ten threads counted, as a share."""

MALE_BELOW, SPREAD, TAPER_SPREAD = 5e-5, 1.4e-4, 2.5e-4
"""A cut male thread lies a little under its nominal diameter; spreads of parallel and of tapered threads [m]."""

RARER = {"npsm": 0.8}
"""How common a family is before anything is measured, others 1: American swivel ends meet as nuts (practice)."""

WRONG = 0.02
"""Odds that a seat or a taper was seen wrongly."""

CHANCES = 1e-6
"""Candidates less likely than this are left out."""

SEATS = {
    "flare37": ("cone 37",),
    "orb": ("o-ring port",),
    "m_port": ("o-ring port",),
    "orfs": ("o-ring face",),
    "npt": ("thread",),
    "nptf": ("thread",),
    "bspt": ("thread",),
    "npsm": ("cone 30",),
    "bspp": ("cone 30", "washer"),
    "din24_light": ("cone 24",),
    "din24_heavy": ("cone 24",),
}
"""What one sees at the end of each family."""

SEAT_WORDS = {
    "cone 37": ("37", "cone 37", "flare", "flare 37", "37 deg cone", "jic"),
    "cone 30": ("30", "cone 30", "inner cone", "30 deg cone"),
    "cone 24": ("24", "cone 24", "24 deg cone", "bite", "ring"),
    "o-ring port": ("o-ring port", "o-ring", "o ring", "oring", "boss", "chamfer"),
    "o-ring face": ("o-ring face", "face", "flat face", "flat", "face seal", "groove"),
    "washer": ("washer", "bonded washer", "bonded seal"),
    "thread": ("thread", "none", "no seat", "taper", "interference"),
}


@dataclass(frozen=True)
class Thread:
    """A row of the thread table in SI: diameters and pitch [m], taper or not, thread angle [°]."""

    family: str
    size: str
    designation: str
    pitch: float
    major: float
    minor: float
    tapered: bool
    angle: float
    name: str


@dataclass(frozen=True)
class Measured:
    """What was measured: diameters, pitch and caliper error [m], taper seen or not, seat seen ("" = not looked)."""

    od: float | None = None
    id: float | None = None
    pitch: float | None = None
    taper: bool | None = None
    seat: str = ""
    tolerance: float = CALIPER


@dataclass(frozen=True)
class Candidate:
    """A thread that it may be, with its probability and the threads that are taken for it."""

    thread: Thread
    gender: str
    probability: float
    look_alikes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Identified:
    """Ranked candidates and the one thing to look at next ("" when it is settled)."""

    candidates: tuple[Candidate, ...]
    ask: str
    ask_what: str


@cache
def threads() -> tuple[Thread, ...]:
    """The table of threads.

    Returns:
        All rows in SI.

    Source: threads.csv.

    >>> [t.designation for t in threads() if t.size == "-8" and t.family in ("flare37", "bspp")]
    ['3/4-16 UNF', 'G 1/2-14']
    """
    return tuple(
        Thread(
            row["family_id"],
            row["size"],
            row["designation"],
            0.0254 / float(row["tpi"]) if not row["designation"].startswith("M") else float(row["pitch_mm"]) * 1e-3,
            float(row["male_major_mm"]) * 1e-3,
            float(row["female_minor_mm"]) * 1e-3,
            row["form"].startswith("taper"),
            float(row["thread_angle_deg"]),
            row["family"],
        )
        for row in table("threads.csv")
    )


def seat_of(words: str) -> str:
    """The kind of seat that words describe.

    Args:
        words: As "37", "cone 37", "o-ring", "flat face", "none" [-].

    Returns:
        One of the kinds of SEATS, "" if it says nothing known.

    Source: seats of the standards named in connection_families.csv.

    >>> seat_of("37 deg"), seat_of("flat face"), seat_of("blue")
    ('cone 37', 'o-ring face', '')
    """
    text = " ".join(words.lower().replace("°", " ").replace("degrees", " ").replace("deg", " ").split())
    for kind, accepted in SEAT_WORDS.items():
        if text in (kind, *(a.replace(" deg", "") for a in accepted)):
            return kind
    return ""


def _log_normal(found: float, expected: float, spread: float) -> float:
    return -0.5 * ((found - expected) / spread) ** 2 - math.log(spread)


def _diameter(thread: Thread, measured: Measured, gender: str) -> float:
    """Logarithm of how well a diameter agrees."""
    cut = TAPER_SPREAD if thread.tapered else SPREAD
    spread = math.hypot(cut, measured.tolerance / 1.96)
    below = 0.0 if thread.tapered else MALE_BELOW
    if gender == "male":
        assert measured.od is not None
        return _log_normal(measured.od, thread.major - below, spread)
    assert measured.id is not None
    return _log_normal(measured.id, thread.minor + below, spread)


def _agreement(thread: Thread, measured: Measured, gender: str) -> float:
    """Logarithm of how well all that was measured agrees with a thread."""
    score = _diameter(thread, measured, gender) + math.log(RARER.get(thread.family, 1.0))
    if measured.pitch is not None:
        score += _log_normal(measured.pitch / thread.pitch, 1.0, PITCH_SPREAD)
    if measured.taper is not None:
        score += math.log(1.0 - WRONG if measured.taper == thread.tapered else WRONG)
    if measured.seat:
        score += math.log(1.0 - WRONG if measured.seat in SEATS[thread.family] else WRONG)
    return score


def identify(measured: Measured, most: int = 8) -> Identified:
    """Threads that a measurement may belong to, ranked.

    Args:
        measured: Outside diameter (male), inside diameter (female), and what else was seen.
        most: How many candidates are given at most.

    Returns:
        Candidates with probabilities over the whole table, and what to look at next.

    Raises:
        ValueError: No diameter was given.

    Source: threads.csv; normal errors of caliper and cut, families about equally common before.

    >>> found = identify(Measured(od=0.0207, pitch=0.001814, seat="cone 30"))
    >>> found.candidates[0].thread.designation, found.candidates[0].gender
    ('G 1/2-14', 'male')
    """
    genders = [g for g, d in (("male", measured.od), ("female", measured.id)) if d is not None]
    if not genders:
        raise ValueError("an outside or an inside diameter is needed")
    pairs = [(t, g) for t in threads() for g in genders]
    scores = np.array([_agreement(t, measured, g) for t, g in pairs])
    odds = np.exp(scores - scores.max())
    odds = odds / odds.sum()
    order = np.argsort(-odds, kind="stable")[:most]
    found = [Candidate(pairs[i][0], pairs[i][1], float(odds[i])) for i in order if odds[i] >= CHANCES]
    named = tuple(replace(c, look_alikes=look_alikes(c.thread)) for c in found)
    ask_what, sentence = _next_look(named, measured)
    return Identified(named, sentence, ask_what)


@cache
def look_alikes(thread: Thread) -> tuple[str, ...]:
    """Threads that are taken for this one, identical ones first.

    Args:
        thread: A row of the table.

    Returns:
        Texts such as "O-ring boss 3/4-16 UNF: identical thread, different seal".

    Source: thread_confusions.csv.

    >>> look_alikes(threads()[3])
    ('O-ring boss 3/4-16 UNF: identical thread, different seal',)
    """
    names = {t.name: families()[t.family]["name"] for t in threads()}
    found = []
    for row in table("thread_confusions.csv"):
        for here, there in (("a", "b"), ("b", "a")):
            if (row[f"family_{here}"], row[f"thread_{here}"]) == (thread.name, thread.designation):
                found.append(f"{names[row[f'family_{there}']]} {row[f'thread_{there}']}: {row['kind']}")
    return tuple(sorted(found, key=lambda text: "identical" not in text))


_LOOKS: dict[str, tuple[Callable[[Candidate], object], str]] = {
    "seat": (lambda c: SEATS[c.thread.family][0], "Look at the sealing end: {}?"),
    "taper": (lambda c: c.thread.tapered, "Lay a straight edge along the crests: does the thread taper?"),
    "pitch": (lambda c: round(c.thread.pitch * 1e5), "Hold a pitch gauge to it: which of {} fits without light?"),
    "angle": (lambda c: c.thread.angle, "Hold a thread gauge to the flanks: 55° or 60°?"),
    "od": (
        lambda c: round((c.thread.major if c.gender == "male" else c.thread.minor) * 5e3),
        "Measure the diameter again at the first full thread, with a caliper to 0.05 mm: {}?",
    ),
    "tube": (lambda c: (c.thread.family, c.thread.size), "Measure what tells these sizes apart, {}."),
}

_SEEN = {
    "cone 37": "a cone of 37°",
    "cone 30": "a cone of 30°",
    "cone 24": "an inner cone of 24°",
    "o-ring port": "an O-ring at the hexagon",
    "o-ring face": "an O-ring in a flat face",
    "washer": "a flat face for a washer",
    "thread": "nothing, the thread itself seals",
}


def _next_look(found: Sequence[Candidate], measured: Measured) -> tuple[str, str]:
    """The look that splits the candidates best, by the entropy of its answers; "" when one stands alone."""
    likely = [c for c in found if c.probability >= 0.02]
    if len(likely) < 2 or likely[0].probability > 0.97:
        return "", ""
    done = {"seat": bool(measured.seat), "taper": measured.taper is not None, "pitch": measured.pitch is not None}
    gains = {name: _entropy(likely, key) for name, (key, _) in _LOOKS.items() if not done.get(name)}
    tried = [name for name in gains if name not in ("tube", "od")] or ["od"]
    best = max(tried, key=lambda name: gains[name])
    if gains[best] < 0.05:
        best = "od" if gains["od"] > 0.05 else "tube"
    return best, _LOOKS[best][1].format(_choices(likely, best))


def _entropy(found: Iterable[Candidate], key: Callable[[Candidate], object]) -> float:
    groups: dict[object, float] = {}
    for candidate in found:
        groups[key(candidate)] = groups.get(key(candidate), 0.0) + candidate.probability
    total = sum(groups.values())
    return -sum(p / total * math.log(p / total) for p in groups.values())


def _choices(found: Sequence[Candidate], look: str) -> str:
    """The answers to choose from, in words."""
    if look == "seat":
        words = [_SEEN[SEATS[c.thread.family][0]] for c in found]
    elif look == "pitch":
        words = [f"{c.thread.pitch * 1e3:.3f} mm ({0.0254 / c.thread.pitch:.4g} per inch)" for c in found]
    elif look == "od":
        size = [c.thread.major if c.gender == "male" else c.thread.minor for c in found]
        words = [f"{d * 1e3:.2f} mm ({c.thread.designation})" for d, c in zip(size, found, strict=True)]
    else:
        words = [f"{families()[c.thread.family]['name']} {c.thread.designation}" for c in found]
    return " or ".join(dict.fromkeys(words))


def npt_dimensions(outside: ArrayLike, pitch: ArrayLike, hand_tight: ArrayLike) -> dict[str, Array]:
    """Diameters of American taper pipe thread.

    Args:
        outside: Outside diameter of the pipe [m], any shape.
        pitch: Pitch [m], broadcasts.
        hand_tight: Length of hand-tight engagement L1 [m], broadcasts.

    Returns:
        e0, e1: pitch diameters at the small end and at the hand-tight plane [m]; k0: root diameter and
        small_end: crest diameter at the small end [m].

    Source: ASME B1.20.1: E0 = D − (0.05 D/in + 1.1) p, E1 = E0 + L1/16, thread height 0.8 p.

    >>> round(float(npt_dimensions(0.84 * 0.0254, 0.0254 / 14, 0.32 * 0.0254)["e1"]) / 0.0254, 5)
    0.77843
    """
    d, p = np.asarray(outside, float), np.asarray(pitch, float)
    e0 = d - (0.05 * d / 0.0254 + 1.1) * p
    e1 = e0 + np.asarray(hand_tight, float) / 16.0
    return {"e0": e0, "e1": e1, "k0": np.asarray(e0 - 0.8 * p), "small_end": np.asarray(e0 + 0.8 * p)}
