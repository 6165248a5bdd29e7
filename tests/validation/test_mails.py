"""Facts found in letters, scored against what a reader of the letters wrote down.

Source of the expected facts: the people who wrote the letters; those of `held_out` have not seen the rules. The
interval is that of Wilson (Journal of the American Statistical Association 22, 1927).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from handfast.machines.reading import demo_shelf
from handfast.mail.found import Found
from handfast.mail.read import read_mail
from handfast.quantities.tables import table

MAILS = Path(__file__).parent / "mails"
FOLDERS = sorted(path for path in MAILS.iterdir() if path.is_dir())
Z = 1.959964
NAMES = ("caller.name", "caller.place", "machine.name", "seen_elsewhere[0].name")


def wilson(hits: int, tries: int) -> tuple[float, float]:
    """Ends of Wilson's 95 % interval of a share."""
    if tries == 0:
        return 0.0, 1.0
    share, square = hits / tries, Z * Z / tries
    middle = (share + square / 2) / (1 + square)
    half = Z / (1 + square) * (share * (1 - share) / tries + square / (4 * tries)) ** 0.5
    return middle - half, middle + half


@dataclass
class Score:
    """What was found rightly, wrongly, and missed."""

    right: int = 0
    wrong: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)

    @property
    def found(self) -> int:
        return self.right + len(self.wrong)

    @property
    def told(self) -> int:
        return self.right + len(self.missed)

    @property
    def precision(self) -> float:
        return self.right / self.found if self.found else 1.0

    @property
    def recall(self) -> float:
        return self.right / self.told if self.told else 1.0

    def __str__(self) -> str:
        low, high = wilson(self.right, self.found)
        least, most = wilson(self.right, self.told)
        return (
            f"{self.told} facts; precision {self.precision:.3f} ({low:.3f} to {high:.3f}),"
            f" recall {self.recall:.3f} ({least:.3f} to {most:.3f})"
        )


@cache
def fluid(name: str) -> str:
    """A liquid's one name."""
    plain = name.replace("_", " ").lower()
    for row in table("fluids.csv"):
        if plain in (row["fluid"].lower(), *row["also"].lower().split(";")):
            return row["fluid"]
    return plain


def plain(value: object) -> str:
    return re.sub(r"[\s_]+", "", str(value)).casefold()


def ends(one: Found) -> tuple[float, float]:
    """The ends of a range that a found fact says."""
    parts = re.fullmatch(r"([\d.]+) to ([\d.]+).*", str(one.entry))
    value = float(one.value)
    if not parts:
        return value, value
    middle = (float(parts[1]) + float(parts[2])) / 2
    return value * float(parts[1]) / middle, value * float(parts[2]) / middle


def agrees(place: str, found: Found, value: Any) -> bool:
    """Whether a fact found is the fact told."""
    if isinstance(value, bool) or isinstance(found.value, bool):
        return found.value is value
    if isinstance(value, int | float) and isinstance(found.value, int | float):
        low, high = ends(found)
        slack = 0.01 * abs(float(value))
        return low - slack <= float(value) <= high + slack
    if place in NAMES:
        one, other = plain(found.value), plain(value)
        return bool(one and other) and (one in other or other in one)
    if place == "machine.tyre_fill.fluid":
        return fluid(str(found.value)) == fluid(str(value))
    return plain(found.value) == plain(value)


def follows(place: str, places: set[str]) -> bool:
    """Whether a place says nothing beyond others: filled beside the liquid, a kind beside its sizes."""
    if place == "machine.tyre_fill":
        return "machine.tyre_fill.fluid" in places
    return (
        place.startswith("work[")
        and place.endswith(".kind")
        and any(other != place and other.startswith(place.removesuffix("kind")) for other in places)
    )


def score(path: Path, kept: Score) -> None:
    """Add one letter to a score."""
    mail = tomllib.loads(path.read_text("utf-8"))
    reading = read_mail(mail["text"], demo_shelf(), mail.get("subject", ""))
    told = [(one["place"], one["value"]) for one in mail.get("fact", [])]
    found = list(reading.facts)
    left = list(told)
    places = {place for place, _ in told}
    for one in found:
        hit = next((pair for pair in left if pair[0] == one.place and agrees(one.place, one, pair[1])), None)
        if hit is not None:
            left.remove(hit)
            kept.right += 1
        elif not (follows(one.place, places) and one.place not in places):
            words = reading.text[one.start : one.end]
            kept.wrong.append(f"{path.stem}: {one.place} = {one.value!r} from {words!r}")
    mine = {one.place for one in found}
    for place, value in left:
        if not (follows(place, mine) and place not in mine):
            kept.missed.append(f"{path.stem}: {place} = {value!r}")


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_letters(folder: Path, capsys) -> None:
    kept = Score()
    for path in sorted(folder.glob("*.toml")):
        score(path, kept)
    with capsys.disabled():
        print(f"\n{folder.name}: {kept}")
    assert kept.told >= (300 if folder.name == "held_out" else 1), kept
    listed = "\n".join(["wrong", *kept.wrong, "missed", *kept.missed])
    assert kept.precision >= 0.98, f"{kept}\n{listed}"
    assert kept.recall >= 0.85, f"{kept}\n{listed}"


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_the_words_that_say_a_fact_stand_in_the_letter(folder: Path) -> None:
    for path in sorted(folder.glob("*.toml")):
        mail = tomllib.loads(path.read_text("utf-8"))
        for one in mail.get("fact", []):
            assert one["span"] in f"{mail.get('subject', '')}\n{mail['text']}", (path.name, one)


def test_wilson() -> None:
    """Worked example of the interval: 10 of 20 gives 0.299 to 0.701 (Agresti and Coull 1998, the score interval)."""
    low, high = wilson(10, 20)
    assert low == pytest.approx(0.299, abs=5e-4) and high == pytest.approx(0.701, abs=5e-4)


def test_a_score_counts_what_is_wrong_and_what_is_missed(tmp_path: Path) -> None:
    letter = tmp_path / "one.toml"
    letter.write_text(
        "text = '24 horse, no remotes, gate 9 ft.'\n"
        "[[fact]]\nplace = 'machine.engine_power'\nvalue = 20000.0\nspan = '24 horse'\n"
        "[[fact]]\nplace = 'machine.rear_remotes'\nvalue = 0\nspan = 'no remotes'\n"
    )
    kept = Score()
    score(letter, kept)
    assert kept.right == 1 and len(kept.wrong) == 2 and len(kept.missed) == 1
