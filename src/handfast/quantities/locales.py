"""How numbers are written in a place: decimal sign and thousands sign."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache


@dataclass(frozen=True, slots=True)
class NumberStyle:
    """The decimal sign and the sign between thousands."""

    decimal: str
    group: str


_POINT = NumberStyle(".", ",")
_COMMA = NumberStyle(",", ".")
_SPACE = NumberStyle(",", " ")

# By language, then the places that differ from their language.
_STYLES: dict[str, NumberStyle] = {
    **dict.fromkeys(("en", "ja", "zh", "ko", "he", "th"), _POINT),
    **dict.fromkeys(("de", "nl", "da", "it", "es", "tr", "el", "id", "hr", "sl", "ro"), _COMMA),
    **dict.fromkeys(("fr", "sv", "nb", "no", "fi", "pl", "cs", "sk", "ru", "uk", "hu", "bg", "pt_PT"), _SPACE),
    "pt": _COMMA,
    "es_MX": _POINT,
    "es_US": _POINT,
    "de_CH": NumberStyle(".", "'"),
    "it_CH": NumberStyle(".", "'"),
    "de_LI": NumberStyle(".", "'"),
    "en_ZA": _SPACE,
}


def number_style(locale: str) -> NumberStyle:
    """Decimal and thousands sign of a locale.

    Args:
        locale: language and place, such as "en_US" or "de-DE".

    Returns:
        the signs.

    Raises:
        ValueError: a language whose way to write numbers is not listed.

    Source: Unicode CLDR, number symbols.

    >>> number_style("de_DE")
    NumberStyle(decimal=',', group='.')
    """
    name = locale.replace("-", "_")
    style = _STYLES.get(name) or _STYLES.get(name.split("_")[0])
    if style is None:
        raise ValueError(f"how numbers are written in {locale!r} is not known")
    return style


@cache
def number_pattern(style: NumberStyle) -> re.Pattern[str]:
    """Pattern of one plain number in a style; a sign that belongs to no number stops it.

    Args:
        style: the signs.

    Returns:
        compiled pattern with the groups `whole`, `part` and `power`.

    >>> number_pattern(number_style("en_US")).match("1,250.5 lb")["whole"]
    '1,250'
    """
    group = re.escape(style.group)
    return re.compile(
        rf"(?P<whole>\d{{1,3}}(?:{group}\d{{3}})+(?!\d)|\d*)"
        rf"(?:{re.escape(style.decimal)}(?P<part>\d*))?"
        r"(?P<power>[eE][+-]?\d{1,3}(?![\d.,]))?"
    )


def plain_number(match: re.Match[str]) -> float:
    """Value of a number found by `number_pattern`.

    Args:
        match: what the pattern found, with at least one digit.

    Returns:
        the number.

    >>> plain_number(number_pattern(number_style("de_DE")).match("1.250,5"))
    1250.5
    """
    whole = re.sub(r"\D", "", match["whole"])
    return float(f"{whole or 0}.{match['part'] or 0}{match['power'] or ''}")
