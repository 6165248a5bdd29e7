"""Learn the weights of data/letter_signs.csv from the annotated letters; run by hand after letters were added.

Run as PYTHONPATH=src python tests/validation/learn_letter_signs.py. Each dimension has a multinomial logistic
model with a quadratic penalty (Hosmer and Lemeshow, Applied Logistic Regression, 3rd ed., section 8.1): the places
that its amounts were annotated with, and none.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from scipy import sparse
from scipy.optimize import minimize

from handfast.machines.reading import demo_shelf
from handfast.mail.amounts import Amount
from handfast.mail.letter import Letter
from handfast.mail.likeness import NONE, signs
from handfast.mail.quantities import BOUNDS, quantity
from handfast.mail.rules_names import models
from handfast.quantities.tables import DATA

MAILS = Path(__file__).parent / "mails"
PENALTY = 0.6
SEEN = 2  # letters' amounts in which a sign stands at least
FEWEST = 4  # amounts of a place below which it is not learnt
SMALL = 0.15  # weight that is not worth a row
Row = tuple[str, list[str], str]


def label(letter: Letter, one: Amount, facts: list[dict[str, Any]]) -> str | None:
    """The place that an amount was annotated with; None where the same figure was annotated elsewhere in the letter."""
    elsewhere = False
    for fact in facts:
        place = re.sub(r"^work\[\d\]", "work", fact["place"])
        if place not in BOUNDS or isinstance(fact["value"], str | bool):
            continue
        found = quantity(letter, fact["place"], one, "")
        if found is None:
            continue
        ratio = one.high / one.low if one.low else 1.0
        low, value = float(found.value) * 2 / (1 + ratio), float(fact["value"])
        if not low - 0.011 * value <= value <= low * ratio + 0.011 * value:
            continue
        spans = re.finditer(re.escape(fact["span"]), letter.raw)
        if any(span.start() < one.end and one.start < span.end() for span in spans):
            return NONE if place.startswith("seen") else place
        elsewhere = True
    return None if elsewhere else NONE


def rows(path: Path, words: tuple[str, ...]) -> list[Row]:
    """Dimension, signs and place of each amount of a letter."""
    mail = tomllib.loads(path.read_text("utf-8"))
    letter = Letter("\n".join(part for part in (mail.get("subject", ""), mail["text"]) if part), words)
    made = [(one.dimension, signs(letter, one), label(letter, one, mail.get("fact", []))) for one in letter.amounts]
    return [(dimension, seen, place) for dimension, seen, place in made if place is not None]


def fit(given: list[Row]) -> dict[tuple[str, str], float]:
    """Weights of (sign, place) for the amounts of one dimension."""
    often = Counter(place for _, _, place in given)
    places = [NONE, *sorted(place for place, times in often.items() if place != NONE and times >= FEWEST)]
    given = [row for row in given if row[2] in places]
    if len(places) < 2:
        return {}
    times = Counter(sign for _, seen, _ in given for sign in set(seen))
    names = ["", *sorted(sign for sign, count in times.items() if count >= SEEN)]
    at = {sign: column for column, sign in enumerate(names)}
    pairs = [(row, at[sign]) for row, (_, seen, _) in enumerate(given) for sign in {"", *seen} if sign in at]
    shape = (len(given), len(names))
    design = sparse.csr_matrix((np.ones(len(pairs)), tuple(zip(*pairs, strict=True))), shape=shape)
    right = np.array([places.index(place) for _, _, place in given])
    table = np.eye(len(places))[right]

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        weights = flat.reshape(len(names), -1)
        score = design @ weights
        score -= score.max(axis=1, keepdims=True)
        chance = np.exp(score) / np.exp(score).sum(axis=1, keepdims=True)
        value = -np.log(chance[np.arange(len(given)), right] + 1e-300).sum() + PENALTY / 2 * (weights**2).sum()
        return value, (design.T @ (chance - table) + PENALTY * weights).ravel()

    start = np.zeros(len(names) * len(places))
    weights = minimize(loss, start, jac=True, method="L-BFGS-B").x.reshape(len(names), -1)
    return {
        (sign, place): float(weights[at[sign], column])
        for sign in names
        for column, place in enumerate(places)
        if sign == "" or abs(weights[at[sign], column]) >= SMALL
    }


def main() -> None:
    """Learn from every letter and write the table."""
    words = tuple(sorted({word for word, _ in models(demo_shelf())}))
    given = [row for path in sorted(MAILS.glob("*/*.toml")) for row in rows(path, words)]
    with (DATA / "letter_signs.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("dimension", "sign", "place", "weight", "unit", "source", "status"))
        for dimension in ("count", "length", "mass"):
            for (sign, place), weight in fit([row for row in given if row[0] == dimension]).items():
                out.writerow((dimension, sign, place, f"{weight:.2f}", "1", "own letters, invented", "computed"))


if __name__ == "__main__":
    main()
