"""A letter's facts as plain data, as the terminal's JSON and the API hand them out."""

from __future__ import annotations

from typing import Any

from handfast.mail.read import Reading


def plain_facts(reading: Reading) -> list[dict[str, Any]]:
    """The facts as plain dictionaries, each with the characters that say it."""
    return [
        {
            "place": one.place,
            "value": one.value,
            "entry": one.entry,
            "start": one.start,
            "end": one.end,
            "text": reading.text[one.start : one.end],
            "certainty": one.certainty,
            "conflict": one.conflict,
            "why": one.why,
        }
        for one in reading.facts
    ]
