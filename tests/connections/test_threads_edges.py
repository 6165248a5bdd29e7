"""What to look at next, against scipy's entropy; odds against Bayes' rule and scipy's normal density."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np
import pytest
from scipy.stats import entropy, norm

from handfast.connections.mating import families
from handfast.connections.threads import SEATS, Candidate, Measured, identify, threads

INCH = 0.0254
SEEN = {
    "cone 37": "a cone of 37°", "cone 30": "a cone of 30°", "cone 24": "an inner cone of 24°",
    "o-ring port": "an O-ring at the hexagon", "o-ring face": "an O-ring in a flat face",
    "washer": "a flat face for a washer", "thread": "nothing, the thread itself seals",
}  # fmt: skip


def diameter(one: Candidate) -> float:
    return one.thread.major if one.gender == "male" else one.thread.minor


KEYS: dict[str, Any] = {
    "seat": lambda c: SEATS[c.thread.family][0],
    "taper": lambda c: c.thread.tapered,
    "pitch": lambda c: round(c.thread.pitch * 1e5),
    "angle": lambda c: c.thread.angle,
    "od": lambda c: round(diameter(c) * 5e3),
    "tube": lambda c: (c.thread.family, c.thread.size),
}
WORDS: dict[str, Any] = {
    "seat": lambda c: SEEN[SEATS[c.thread.family][0]],
    "pitch": lambda c: f"{c.thread.pitch * 1e3:.3f} mm ({INCH / c.thread.pitch:.4g} per inch)",
    "od": lambda c: f"{diameter(c) * 1e3:.2f} mm ({c.thread.designation})",
    "tube": lambda c: f"{families()[c.thread.family]['name']} {c.thread.designation}",
}


def gain(found: list[Candidate], look: str) -> float:
    groups: dict[Any, float] = defaultdict(float)
    for one in found:
        groups[KEYS[look](one)] += one.probability
    return float(entropy(list(groups.values())))


def cases() -> list[Measured]:
    made = []
    for n, thread in enumerate(threads()):
        for given in ({"od": thread.major}, {"id": thread.minor}):
            made.append(Measured(**given))
            made.append(Measured(**given, pitch=thread.pitch))
            made.append(Measured(**given, pitch=thread.pitch, taper=thread.tapered))
            made.append(Measured(**given, seat=SEATS[thread.family][-1], tolerance=5e-4 if n % 2 else 1e-4))
            for tolerance in (1e-4, 5e-3):
                known = {"seat": SEATS[thread.family][0], "taper": thread.tapered, "pitch": thread.pitch}
                made.append(Measured(**given, **known, tolerance=tolerance))
    return made


def test_the_look_asked_for_splits_best_and_names_its_answers() -> None:
    """Every thread, in six states of knowledge: nothing is asked twice, nor when one stands alone."""
    asked = set()
    for measured in cases():
        found = identify(measured)
        likely = [c for c in found.candidates if c.probability >= 0.02]
        if len(likely) < 2 or likely[0].probability > 0.97:
            assert (found.ask_what, found.ask) == ("", "")
            continue
        done = {"seat": measured.seat != "", "taper": measured.taper is not None, "pitch": measured.pitch is not None}
        gains = {look: gain(likely, look) for look in KEYS if not done.get(look)}
        best = max((look for look in gains if look not in ("od", "tube")), key=lambda look: gains[look])
        if gains[best] < 0.05 - 1e-9:
            best = "od" if gains["od"] > 0.05 else "tube"
        assert found.ask_what == best or gains[found.ask_what] == pytest.approx(gains[best], rel=1e-9), measured
        asked.add(found.ask_what)
        if found.ask_what in WORDS:
            words = " or ".join(dict.fromkeys(WORDS[found.ask_what](c) for c in likely))
            assert words in found.ask and found.ask.count(" or ") == words.count(" or ")
    assert {"seat", "pitch", "od", "tube"} <= asked


def odds(measured: Measured) -> dict[tuple[str, str, str], float]:
    found = identify(measured, most=1000).candidates
    return {(c.thread.family, c.thread.size, c.gender): c.probability for c in found}


def test_seen_seat_and_taper_shift_the_odds_by_bayes_rule() -> None:
    """Seen wrongly in 2 of 100: what agrees gains 0.98 to 0.02 on what does not."""
    bare = odds(Measured(od=14.2e-3, pitch=INCH / 18))
    seat = odds(Measured(od=14.2e-3, pitch=INCH / 18, seat="cone 37"))
    flare, boss = ("flare37", "-6", "male"), ("orb", "-6", "male")
    assert (seat[flare] / seat[boss]) / (bare[flare] / bare[boss]) == pytest.approx(49.0)
    bare = odds(Measured(od=20.9e-3, pitch=INCH / 14))
    straight = odds(Measured(od=20.9e-3, pitch=INCH / 14, taper=False))
    parallel = next(key for key in bare if key[0] == "bspp")
    tapered = next(key for key in bare if key[0] == "bspt")
    assert (straight[parallel] / straight[tapered]) / (bare[parallel] / bare[tapered]) == pytest.approx(49.0)


@pytest.mark.parametrize("tolerance", [6e-4, 1e-3])
def test_odds_of_two_parallel_threads_by_the_normal_density(tolerance: float) -> None:
    """scipy's density with the cut's spread and the caliper's half-width as 1.96 deviations, male and female."""
    spread = float(np.hypot(1.4e-4, tolerance / 1.96))
    by_key = {(t.family, t.size): t for t in threads()}
    one, other = by_key["bspp", "-8"], by_key["orb", "-8"]
    for gender, field, below in (("male", "major", 5e-5), ("female", "minor", -5e-5)):
        at = 0.6 * getattr(one, field) + 0.4 * getattr(other, field)
        got = odds(Measured(**{"od" if gender == "male" else "id": at}, tolerance=tolerance))
        density = [norm.pdf(at, getattr(t, field) - below, spread) for t in (one, other)]
        ratio = got[one.family, one.size, gender] / got[other.family, other.size, gender]
        assert ratio == pytest.approx(density[0] / density[1], rel=1e-6)


def test_odds_of_two_pitches_by_the_normal_density() -> None:
    """Pitch as a share with 1.5 % deviation: what it adds to the diameter's odds is the ratio of two densities."""
    by_key = {(t.family, t.size): t for t in threads()}
    one, other = by_key["bspp", "-8"], by_key["orb", "-8"]
    diameter_alone = odds(Measured(od=20.0e-3, tolerance=1e-3))
    pitch = 0.5 * (one.pitch + other.pitch)
    both = odds(Measured(od=20.0e-3, tolerance=1e-3, pitch=pitch))
    keys = [(t.family, t.size, "male") for t in (one, other)]
    shift = (both[keys[0]] / both[keys[1]]) / (diameter_alone[keys[0]] / diameter_alone[keys[1]])
    density = [norm.pdf(pitch / t.pitch, 1.0, 0.015) for t in (one, other)]
    assert shift == pytest.approx(density[0] / density[1], rel=1e-6)


def test_at_most_as_many_as_asked() -> None:
    assert len(identify(Measured(od=20.0e-3, tolerance=1e-3), most=3).candidates) == 3
    assert len(identify(Measured(od=20.0e-3, tolerance=1e-3)).candidates) == 8
    with pytest.raises(ValueError, match=r"^an outside or an inside diameter is needed$"):
        identify(Measured())
