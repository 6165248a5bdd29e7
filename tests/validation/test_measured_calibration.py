"""Of what is said to lie between two figures eight times in ten, about eight in ten do.

Hidden true tractors are drawn, weighed on both axles and tried with a known mass, each with its own error; the readings
are written out here by hand. After them the true figure must lie within the band that is shown, as often as it says
(Cook, Gelman and Rubin 2006: posterior quantiles of data drawn from the prior are uniform).
"""

from __future__ import annotations

import numpy as np
from scipy import stats

from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.draws import Draws
from handfast.outfits.lay import Laid, lay
from handfast.quantities.units import to_si

HEAD = '[machine]\nclass = "compact_small"\nengine_power = "30 hp"\nquick_attach = "universal_plate"\n'
WORK = '[[work]]\nkind = "logs"\n'
TRACTORS, SCALE, HUNG = 80, 20 * to_si(1.0, "lb"), 0.5
PATHS = ("mass", "front_share", "loader.lift_at_pin", "wheelbase", "loader.rating_slope")


def answered(text: str, seed: int = 1) -> Laid:
    return lay(read_inquiry(HEAD + WORK + text).resolve(Shelf()), Shelf(), seed)


def readings(true: Draws, k: int, rng: np.random.Generator) -> str:
    """Both axles on the scale without the operator, and a mass half a metre ahead that was lifted or not."""
    mass, front, pin, slope, hung, ahead = (
        float(true[path][k])
        for path in ("mass", "front_share", "loader.lift_at_pin", "loader.rating_slope", "loader.quick_attach_mass",
                     "loader.quick_attach_cg.x")
    )  # fmt: skip
    on_front = mass * front - 0.15 * 75.0 + rng.normal(0.0, SCALE)
    on_rear = mass * (1.0 - front) - 0.85 * 75.0 + rng.normal(0.0, SCALE)
    most = (pin - hung * (1.0 + slope * ahead)) / (1.0 + slope * HUNG)
    tried = most * rng.uniform(0.8, 1.2)
    word = "lifted" if np.log(most) + rng.normal(0.0, 0.05) > np.log(tried) else "refused"
    each = (("front_axle_on_scale", on_front), ("rear_axle_on_scale", on_rear))
    text = "".join(f'[[measurement]]\nwhat = "{what}"\nvalue = {value}\n' for what, value in each)
    return f'{text}[[measurement]]\nwhat = "known_mass_{word}"\nvalue = {tried}\nahead = {HUNG}\n'


def test_bands_after_measurements_hold_as_often_as_they_say() -> None:
    true, rng = answered("", seed=99).draws, np.random.default_rng(3)
    inside = dict.fromkeys(PATHS, 0)
    aside = 0
    for k in rng.choice(true.size, TRACTORS, replace=False):
        found = answered(readings(true, int(k), rng))
        aside += sum(one.state not in ("used", "needless") for one in found.taken)
        for path in PATHS:
            low, high = np.quantile(found.draws[path], (0.1, 0.9))
            inside[path] += int(low <= float(true[path][k]) <= high)
    least, most = stats.binom.ppf((0.0005, 0.9995), TRACTORS, 0.8)
    assert all(least <= count <= most for count in inside.values()), inside
    together = sum(inside.values()) / (len(PATHS) * TRACTORS)
    assert 0.74 <= together <= 0.86, inside
    assert aside <= 5  # a contradiction is one in five hundred by its own rule
