"""Which ends meet: families, sizes as written, aliases, and the gender that fits."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import NamedTuple, Protocol

from handfast.quantities.tables import table

METRIC_COUPLERS = {"6.3": "-4", "10": "-6", "12.5": "-8", "16": "-10", "20": "-12", "25": "-16"}
"""Coupler sizes of the ISO standards [mm] as sixteenths of an inch."""

_FRACTION = re.compile(r"^(?:(\d+)[ -])?(\d+)/(\d+)$")


class Connection(Protocol):
    """What one end of a part, or a port, must tell: family, size and gender."""

    @property
    def family(self) -> str:
        """Family id such as "flare37"."""

    @property
    def size(self) -> str:
        """Size as written, "-8" or "1/2" or "M22"."""

    @property
    def gender(self) -> str:
        """Either "male" or "female"."""


class End(NamedTuple):
    """One end in plain words, family, size and gender."""

    family: str
    size: str
    gender: str


class Interface(NamedTuple):
    """Family and size as every alias of it is written here."""

    family: str
    size: str


@cache
def families() -> dict[str, dict[str, str]]:
    """The families of connections by id.

    Returns:
        Rows of connection_families.csv: name, standard, kind (thread or coupler), seal.

    Source: connection_families.csv.

    >>> families()["orb"]["standard"]
    'SAE J1926-1 / ISO 11926-1'
    """
    return {row["family"]: row for row in table("connection_families.csv")}


@cache
def read_family(text: str) -> str:
    """Family id of a name as people write it, short forms of the trade included.

    Args:
        text: Family id, standard's number or short form [-].

    Returns:
        Family id, "" if it is none.

    Source: connection_families.csv.

    >>> read_family("JIC"), read_family("ISO 16028"), read_family("glue")
    ('flare37', 'coupler_flat', '')
    """
    word = " ".join(text.lower().split())
    for key, row in families().items():
        standards = (part.strip().lower() for part in row["standard"].split("/"))
        if word in (key, row["name"].lower(), *standards, *row["short_forms"].split(";")):
            return key
    return ""


def is_coupler(connection: Connection) -> bool:
    """Whether the end is half of a coupler.

    Args:
        connection: The end.

    Returns:
        True for a coupler half, False for a thread.

    Source: connection_families.csv; an unlisted family counts as a coupler if its name begins so.

    >>> is_coupler(End("coupler_flat", "1/2", "male")), is_coupler(End("orb", "-8", "male"))
    (True, False)
    """
    return connection.family.startswith("coupler_")


@cache
def plain_size(family: str, size: str) -> str:
    """One way of writing a size: sixteenths of an inch where it is in inches, else as it stands.

    Args:
        family: Family id [-].
        size: Size as written, "-8", "1/2", "1/2 in", "12.5", "M22x1.5", "15L" [-].

    Returns:
        The size, as "-8", "M22" or "15L".

    Source: dash sizes count sixteenths of an inch; coupler sizes in mm as in ISO 16028 and ISO 7241.

    >>> plain_size("coupler_flat", "12.5"), plain_size("npt", "1/2 in"), plain_size("m_port", "M22x1.5")
    ('-8', '-8', 'M22')
    """
    text = size.strip().upper().removesuffix("IN").removesuffix('"').strip()
    found = _FRACTION.match(text)
    if found:
        sixteenths = (int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))) * 16
        return f"-{sixteenths}" if sixteenths.denominator == 1 else text
    if family.startswith("coupler_"):
        return METRIC_COUPLERS.get(text.removesuffix("MM").strip(), "-16" if text == "1" else text)
    if family == "m_port":
        return text.split("X")[0]
    return "-16" if text == "1" else text


@cache
def interface(family: str, size: str) -> Interface:
    """Family and size under the one name that all its aliases share.

    Args:
        family: Family id [-].
        size: Size as written [-].

    Returns:
        The interface; two ends with equal interface and opposite gender mate.

    Source: ISO 5675 names the interface of ISO 7241-A, size 12.5 (connection_aliases.csv).

    >>> interface("coupler_ag", "1/2") == interface("coupler_a", "12.5")
    True
    """
    plain = plain_size(family, size)
    for row in table("connection_aliases.csv"):
        if (row["family"], row["size"]) == (family, plain):
            return Interface(row["same_as_family"], row["same_as_size"])
    return Interface(family, plain)


def mates(one: Connection, other: Connection) -> bool:
    """Whether two ends can be joined.

    Args:
        one: An end.
        other: Another end.

    Returns:
        True where family and size are equal, aliases counted, and the genders opposite.

    Source: definition of the standards' interfaces.

    >>> mates(End("coupler_ag", "1/2", "male"), End("coupler_a", "1/2", "female"))
    True
    >>> mates(End("npt", "1/2", "male"), End("bspp", "1/2", "female"))
    False
    """
    opposite = {one.gender, other.gender} == {"male", "female"}
    return opposite and interface(one.family, one.size) == interface(other.family, other.size)


def show_connection(connection: Connection) -> str:
    """A connection in the words of its standard.

    Args:
        connection: The end.

    Returns:
        Text such as "37° flare (SAE J514 / ISO 8434-2) -8 male".

    Source: connection_families.csv.

    >>> show_connection(End("orb", "-8", "female"))
    'O-ring boss (SAE J1926-1 / ISO 11926-1) -8 female'
    """
    row = families().get(connection.family)
    name = f"{row['name']} ({row['standard']})" if row else connection.family
    return f"{name} {connection.size} {connection.gender}".strip()


def read_interface(text: str) -> Interface:
    """A break as written, family and size without gender.

    Args:
        text: As "coupler_flat 1/2" [-].

    Returns:
        The interface.

    Raises:
        ValueError: No family or no size in it.

    Source: notation of the reckoning files.

    >>> read_interface("coupler_flat 1/2")
    Interface(family='coupler_flat', size='-8')
    """
    words = text.split()
    for cut in range(len(words) - 1, 0, -1):
        family = read_family(" ".join(words[:cut]))
        if family:
            return interface(family, " ".join(words[cut:]))
    raise ValueError(f"no family and size: {text!r}")
