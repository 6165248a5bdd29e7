"""What comes back after the sale: symptoms, what to look at first, what is put right, who pays. All of it is data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from handfast.connections.hose_run import SHORTENS
from handfast.quantities.tables import table

RESERVE = 0.025  # m added to a hose that came out short (practice)
SAFETY = (
    "Engine off, key out. Arms and attachment down flat on the ground, the lid down.",
    "Work every lever and button both ways until nothing moves: only then is the pressure gone.",
    "Never feel for a leak with a hand: cardboard. Oil under the skin is for a surgeon within hours, however small.",
)
"""Said at every step, before anything else."""

REMEDIES = {
    "longer": "a longer hose",
    "same": "the same part again",
    "adapter": "an adapter",
    "coupler": "a coupler half",
    "part": "a part",
    "none": "nothing to order",
}
PAYERS = {
    "dealer": "the dealer",
    "caller": "the caller",
    "half": "half each",
    "supplier": "the supplier",
    "carrier": "the carrier",
    "nobody": "nobody, nothing is ordered",
}


@dataclass(frozen=True)
class Look:
    """One thing to look at: what it is if it is so, what is done, what is ordered, whose cause it is."""

    id: str
    look: str
    found: str
    cure: str
    remedy: str
    cause: str

    @property
    def orders(self) -> str:
        """What is ordered, in words."""
        return REMEDIES[self.remedy]


@dataclass(frozen=True)
class Symptom:
    """What the caller says, whether it is about one hose, and what to look at in this order."""

    id: str
    title: str
    about_hose: bool
    short: str
    looks: tuple[Look, ...]

    def look(self, look_id: str) -> Look:
        """One of its looks; KeyError if there is none of that id."""
        for one in self.looks:
            if one.id == look_id:
                return one
        raise KeyError(look_id)


@dataclass(frozen=True)
class Payer:
    """Who pays, and why."""

    who: str
    why: str

    @property
    def words(self) -> str:
        """Who, in words."""
        return PAYERS[self.who]


@cache
def symptoms() -> tuple[Symptom, ...]:
    """Everything that comes back, what is most common first.

    Returns:
        Symptoms with their looks in order.

    Source: comeback_symptoms.csv, comeback_checks.csv (shop practice, no source).

    Example:
        >>> symptoms()[0].short
        'short when dumped'
    """
    looks: dict[str, list[Look]] = {}
    for row in table("comeback_checks.csv"):
        one = Look(row["check"], row["look"], row["found"], row["cure"], row["remedy"], row["cause"])
        looks.setdefault(row["symptom"], []).append(one)
    return tuple(
        Symptom(row["symptom"], row["title"], row["hose"] == "yes", row["short"], tuple(looks[row["symptom"]]))
        for row in table("comeback_symptoms.csv")
    )


def symptom_of(symptom_id: str) -> Symptom:
    """A symptom by its id.

    Args:
        symptom_id: as in the table.

    Returns:
        The symptom.

    Raises:
        KeyError: no such symptom.

    Example:
        >>> symptom_of("stops").looks[0].remedy
        'none'
    """
    for one in symptoms():
        if one.id == symptom_id:
            return one
    raise KeyError(symptom_id)


def who_pays(cause: str, owner_fitted: bool) -> Payer:
    """Who pays for what a cause brings.

    Args:
        cause: as a look names it.
        owner_fitted: whether the owner fitted the kit.

    Returns:
        Who, and why.

    Raises:
        KeyError: no rule for the cause.

    Source: comeback_payers.csv (shop practice, no source): the dealer's own terms prevail.

    Example:
        >>> who_pays("fitted", owner_fitted=False).who, who_pays("fitted", owner_fitted=True).who
        ('dealer', 'caller')
    """
    wanted = ("any", "owner" if owner_fitted else "shop")
    for row in table("comeback_payers.csv"):
        if row["cause"] == cause and row["fitted_by"] in wanted:
            return Payer(row["payer"], row["why"])
    raise KeyError(cause)


def longer(fitted: float, missing: float) -> float:
    """Length that a hose needs which came out short.

    Args:
        fitted: overall length of the hose as it is [m].
        missing: how much it falls short, pulled straight at the worst pose [m].

    Returns:
        Length needed [m].

    Source: what is missing, made up for the 4 % that pressure takes (SAE J517), and 25 mm in reserve (practice).

    Example:
        >>> round(longer(0.9, 0.072), 3)
        1.0
    """
    return fitted + missing / (1.0 - SHORTENS) + RESERVE
