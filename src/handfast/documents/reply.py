"""A customer's reply in writing: the line that the message asks for, and what a line that came back says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from handfast.language.telling import tell

BLANK = "________"
MOST = 4000
_ACCEPT = re.compile(r"\b(?:accept|accepted|acepto|aceptamos|aceptada)\b", re.I)
_DECLINE = re.compile(
    r"\b(?:decline|declined|refuse|reject|rechazo|rechazamos|rechazada"
    r"|(?:do not|don[’']t|cannot|can[’']t|won[’']t) accept|no (?:acepto|aceptamos))\b",
    re.I,
)
_QUOTE = re.compile(
    r"\b(?:quote|quotation|cotización|cotizacion|presupuesto|oferta)\s*(?:no\.?|nº|#|número|number)?\s*(\d{1,9})\b",
    re.I,
)
_VERSION = re.compile(r"\b(?:version|versión|v)\.?\s*(\d{1,4})\b", re.I)
_WAY = re.compile(r"\b(?:way|manera|opción|opcion)\s*(\d)\b", re.I)
_BALLAST = re.compile(
    r"\b(?:ballast|weight behind|lastre|peso (?:detrás|atrás|trasero))\s*(?::|is|está)?\s*"
    r"(not accepted|no aceptado|accepted|declined|refused|aceptado|rechazado)\b",
    re.I,
)
_NAME = re.compile(
    r"(?:^|[,;.])\s*(?:(?:my|mi|and|y)\s+)*(?:name|nombre)\s*(?::|is|es)?\s*([^,;\n]{1,80})", re.I | re.M
)
_WITHOUT = re.compile(r"\b(?:without|sin)\s+([^,;.\n]{1,120})", re.I)
_WITH = re.compile(r"\b(?:with|con)\s+([^,;.\n]{1,120})", re.I)
_QUOTED = re.compile(r"^\s*(?:>.*|.*\b(?:wrote|escribió):\s*|-{3,}.*)$", re.I)
OPTIONS: Mapping[str, tuple[str, ...]] = {
    "fitting": ("fitting", "instalación", "instalacion", "montaje"),
    "carriage": ("carriage", "freight", "delivery", "porte", "flete", "entrega"),
    "spare-hoses": ("spare hoses", "mangueras de repuesto"),
}


@dataclass(frozen=True)
class Reply:
    """What a reply says; what it leaves open is empty, and `asks` says what is missing before it counts."""

    quote: int | None
    version: int | None
    became: str
    way: int | None
    ballast: str
    name: str
    taken: tuple[str, ...]
    left: tuple[str, ...]
    asks: tuple[str, ...]


def reply_line(number: int, version: int, ways: int = 1, ballast: bool = False, name: str = BLANK, way: int = 0) -> str:
    """The line that accepts an offer; blanks stand where the customer writes.

    >>> reply_line(12, 2, ballast=True, name="Tobiah Fennimoor")
    'I accept quote 12 version 2, ballast accepted, name Tobiah Fennimoor'
    """
    chosen = f", way {way or BLANK}" if ways > 1 else ""
    weight = ", ballast accepted" if ballast else ""
    return f"I accept quote {number} version {version}{chosen}{weight}, name {name}"


def read_reply(text: str) -> Reply:
    """What a pasted reply says, in English or Spanish; lines that quote our own message are passed over.

    >>> found = read_reply("I accept quote 12 version 2, ballast accepted, name Tobiah Fennimoor")
    >>> found.quote, found.version, found.became, found.ballast, found.name, found.asks
    (12, 2, 'accepted', 'accepted', 'Tobiah Fennimoor', ())
    """
    own = "\n".join(_own_lines(text[:MOST]))
    rest = _BALLAST.sub(" ", own)
    declines, accepts = bool(_DECLINE.search(rest)), bool(_ACCEPT.search(_DECLINE.sub(" ", rest)))
    became = "" if declines == accepts else "declined" if declines else "accepted"
    quotes, versions = ({int(one) for one in found.findall(own)} for found in (_QUOTE, _VERSION))
    name = _NAME.search(own)
    named = "" if name is None else name[1].strip(" .:_")
    told = {_answer(one) for one in _BALLAST.findall(own)}
    way = _WAY.search(own)
    asks = _asks(declines and accepts, became, quotes, versions, named, told)
    if "___" in own:
        asks = (*asks, "A blank in it is not filled in.")
    return Reply(
        next(iter(quotes), None), next(iter(versions), None), became, int(way[1]) if way else None,
        next(iter(told), ""), named, _options(_WITH, own), _options(_WITHOUT, own), asks,
    )  # fmt: skip


def _own_lines(text: str) -> list[str]:
    """The lines that the customer wrote: what stands above a quoted message, without what is marked as quoted."""
    found: list[str] = []
    for line in text.replace("\r", "").split("\n"):
        if re.match(r"^\s*(?:-{3,}.*|.*\b(?:wrote|escribió):\s*)$", line, re.I) and any(map(str.strip, found)):
            break
        if not _QUOTED.match(line):
            found.append(line)
    return found


def _answer(word: str) -> str:
    return "accepted" if word.casefold() in ("accepted", "aceptado") else "declined"


def _options(marked: re.Pattern[str], text: str) -> tuple[str, ...]:
    said = " ".join(marked.findall(text)).casefold()
    return tuple(key for key, words in OPTIONS.items() if any(word in said for word in words))


def _asks(both: bool, became: str, quotes: set[int], versions: set[int], named: str, told: set[str]) -> tuple[str, ...]:
    """What keeps a reply from counting, a sentence each."""
    found = []
    if not became:
        found.append("It says both yes and no." if both else "It says neither accept nor decline.")
    for what, numbers in (("quote", quotes), ("version", versions)):
        if len(numbers) != 1:
            found.append(f"It names more than one {what}." if numbers else f"It names no {what}.")
    if not named:
        found.append("It bears no name.")
    if len(told) > 1:
        found.append("It says both of the weight behind.")
    return tuple(found)


def message_text(offer: Mapping[str, Any], number: int, version: int, link: str = "") -> str:
    """An offer as plain text for an e-mail, in the units of the offer and the language that is being set down."""
    lines = [f"{tell(offer['name'])}, {offer['dealer']}"]
    lines += [f"{tell(label)}: {_told(label, text)}" for label, text in offer["pairs"] if label != "Reach us"]
    lines += ["", *([offer["said"], ""] if offer["said"] else [])]
    for way in offer["ways"]:
        lines += _way_lines(way, len(offer["ways"]) > 1)
    lines += [*_listed("Say before it is sold", offer["cautions"]), *_how_to_answer(offer, number, version, link)]
    return "\n".join(lines).strip() + "\n"


def _told(label: str, text: str) -> str:
    """A name or a title stays as it was written."""
    return text if label in ("For", "About") else tell(text)


def _way_lines(way: Mapping[str, Any], several: bool) -> list[str]:
    head = f"{tell(way['name'])}: {tell(way['title'])}" if several else tell(way["title"])
    sums = f"{tell('Total, likely')}: {way['total']}. {tell('Not more than')} {way['ceiling']}."
    left = [f"{tell(one['what'])}: {one['price']} {tell('before tax')}" for one in way["options"] if not one["chosen"]]
    rows = [f"{tell(a)}: {tell(b)}{f' ({tell(origin)})' if origin else ''}" for a, b, origin in way["fit"]["rows"]]
    lines = [head, tell(way["fit"]["lead"]), sums, *_listed("Included", way["included"])]
    lines += _block("Can be added", left) + _listed("Not included", way["not-included"])
    lines += _block("Figures", rows) + _listed("It holds if", way["fit"]["conditions"])
    weight = way["ballast"]
    said = [tell(text) for text in (weight["said"], weight["means"]) if text]
    if weight["ask"] and weight["by"]:
        said.append(f"{tell(weight['answer'].capitalize())}: {weight['by']}.")
    return [*lines, f"{tell('Weight behind')}: {' '.join(said)}", ""]


def _listed(title: str, rows: Iterable[str]) -> list[str]:
    return _block(title, [tell(one) for one in rows])


def _block(title: str, rows: Sequence[str]) -> list[str]:
    return [f"{tell(title)}:", *(f"- {one}" for one in rows)] if rows else []


def _how_to_answer(offer: Mapping[str, Any], number: int, version: int, link: str) -> list[str]:
    asked = any(way["ballast"]["ask"] and way["ballast"]["answer"] == "open" for way in offer["ways"])
    until = f"{tell('Valid until')} {offer['valid_until']}." if offer["valid_until"] else ""
    lines = ["", until, tell("To accept, answer with this line and fill in each blank:")]
    lines.append(tell(reply_line(number, version, len(offer["ways"]), asked)))
    if link:
        lines += [tell("Or open this private page and accept there:"), link]
    reach = next((text for label, text in offer["pairs"] if label == "Reach us"), "")
    return [line for line in (*lines, f"{offer['dealer']}, {reach}" if reach else offer["dealer"]) if line]
