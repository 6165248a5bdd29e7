"""`thread`: which thread is this, from the options of one measurement."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from handfast.connections.mating import families
from handfast.connections.threads import CALIPER, Candidate, Measured, identify, seat_of
from handfast.machines.faults import Fault, Faults
from handfast.quantities.amounts import QuantityError
from handfast.quantities.reading import read_quantity

LENGTHS = ("od", "id", "pitch", "tolerance")
OPTIONS = (*LENGTHS, "tpi", "taper", "seat", "flare")
YES, NO = ("yes", "true", "taper", "tapered", "1:16", "1/16"), ("no", "false", "parallel", "straight", "none")
SEAT_EXPECTED = "what seals: 37 deg, 30 deg, 24 deg, o-ring port, flat face, washer or none"


def reckon_thread(options: Mapping[str, str | None], locale: str = "en_US") -> dict[str, Any]:
    """Threads that a measurement may belong to, and the question that settles it.

    Args:
        options: Texts by option, od, id, pitch, tpi, taper, seat, flare, tolerance; left out or None = not measured.
        locale: Whose way to write numbers is used.

    Returns:
        Result as plain data: candidates with probability and look-alikes, ask.

    Raises:
        Faults: Everything that is wrong with the options.

    Source: as `identify`.

    >>> reckon_thread({"od": "20.7mm", "pitch": "1.814mm", "flare": "30"})["candidates"][0]["designation"]
    'G 1/2-14'
    """
    given = {key: text for key, text in options.items() if text is not None and text.strip()}
    faults: list[Fault] = []
    measured = _measured(given, locale, faults)
    if faults or measured is None:
        raise Faults(faults)
    found = identify(measured)
    return {
        "candidates": [_plain(candidate) for candidate in found.candidates],
        "ask": found.ask or None,
        "ask_what": found.ask_what or None,
    }


def _plain(candidate: Candidate) -> dict[str, Any]:
    thread = candidate.thread
    row = families()[thread.family]
    return {
        "family": thread.family,
        "name": row["name"],
        "standard": row["standard"],
        "size": thread.size,
        "designation": thread.designation,
        "gender": candidate.gender,
        "probability": candidate.probability,
        "look_alikes": list(candidate.look_alikes),
    }


def _fault(option: str, found: str, expected: str) -> Fault:
    return Fault("options", 0, f"--{option}", found, expected)


def _length(option: str, given: Mapping[str, str], locale: str, faults: list[Fault]) -> float | None:
    """An option that is a length above 0, in metres; a thread is not a metre wide."""
    if option not in given:
        return None
    expected = "a length with its unit such as 20.7 mm"
    try:
        estimate = read_quantity(given[option], "length", locale)
    except QuantityError as error:
        faults.append(_fault(option, error.found, expected))
        return None
    if estimate.is_unknown or not 0.0 < estimate.value < 1.0:
        faults.append(_fault(option, f'"{given[option]}"', expected))
        return None
    return float(estimate.value)


def _measured(given: Mapping[str, str], locale: str, faults: list[Fault]) -> Measured | None:
    known = f"Known here: {', '.join(OPTIONS)}."
    faults.extend(_fault(option, "no such entry", known) for option in given if option not in OPTIONS)
    lengths = {option: _length(option, given, locale, faults) for option in LENGTHS}
    if "od" not in given and "id" not in given:
        faults.append(_fault("od", "nothing", "an outside or an inside diameter such as 20.7 mm"))
    pitch = _pitch(given, lengths["pitch"], faults)
    taper, seat = _taper(given, faults), _seat(given, faults)
    tolerance = lengths["tolerance"]
    caliper = CALIPER if tolerance is None else tolerance
    return None if faults else Measured(lengths["od"], lengths["id"], pitch, taper, seat, caliper)


def _pitch(given: Mapping[str, str], pitch: float | None, faults: list[Fault]) -> float | None:
    if "tpi" not in given:
        return pitch
    if "pitch" in given:
        faults.append(_fault("tpi", f'"{given["tpi"]}" beside a pitch', "one of the two"))
        return None
    try:
        count = float(given["tpi"])
    except ValueError:
        count = 0.0
    if not 4.0 <= count <= 80.0:
        faults.append(_fault("tpi", f'"{given["tpi"]}"', "threads per inch such as 14"))
        return None
    return 0.0254 / count


def _taper(given: Mapping[str, str], faults: list[Fault]) -> bool | None:
    word = given.get("taper", "").strip().lower()
    if word in ("", "unknown"):
        return None
    if word not in YES + NO:
        faults.append(_fault("taper", f'"{word}"', "yes or no"))
        return None
    return word in YES


def _seat(given: Mapping[str, str], faults: list[Fault]) -> str:
    seats = {}
    for option in ("seat", "flare"):
        word = given.get(option, "").strip()
        if not word or word.lower() == "unknown":
            continue
        seats[option] = seat_of(word)
        if not seats[option]:
            faults.append(_fault(option, f'"{word}"', SEAT_EXPECTED))
    if len(set(seats.values())) > 1:
        faults.append(_fault("flare", f'"{given["flare"]}" beside the seat "{given["seat"]}"', "one kind of seat"))
    return next(iter(seats.values()), "")
