"""What the pages show of measurements, and how one that was typed gets into the inquiry's text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from handfast.advice.measured import Offer, offers
from handfast.advice.result import Advice, Band
from handfast.advice.result_measured import Margin, Moved, Reading
from handfast.advice.wording import figure
from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import Way, ways
from handfast.quantities.showing import show
from handfast.web.form import data_of, text_of_data

ENTRIES = ("what", "value", "ahead", "carrying", "carrying_ahead", "by", "when")
LONGEST = 200
WORDS = {
    "used": "settled",
    "needless": "settles nothing",
    "conflict": "contradicts",
    "too sharp": "set aside",
    "tells nothing": "not used yet",
}


@dataclass(frozen=True)
class Row:
    """A figure before a measurement and after it, in words."""

    title: str
    before: str
    after: str
    settled: bool


@dataclass(frozen=True)
class Shown:
    """One measurement as the pages show it."""

    place: int
    reading: Reading
    word: str
    rows: tuple[Row, ...]
    stands: bool  # whether the reading can stand in place of what was known

    @property
    def aside(self) -> bool:
        """Whether nothing rests on it."""
        return self.reading.state in ("conflict", "too sharp", "tells nothing")


@dataclass(frozen=True)
class Measuring:
    """Everything that a page shows of an inquiry's measurements."""

    readings: tuple[Shown, ...]
    margin: str
    offers: tuple[Offer, ...]

    @property
    def aside(self) -> int:
        """How many readings nothing rests on."""
        return sum(one.aside for one in self.readings)

    @property
    def settled(self) -> int:
        """How many settled something."""
        return sum(one.reading.settles for one in self.readings)


def measuring(advice: Advice, inquiry: Inquiry, system: str) -> Measuring:
    """What a page shows of the measurements of an inquiry."""
    measured = advice.measured
    readings = measured.readings if measured is not None else ()
    shown = tuple(_shown(k, one, system) for k, one in enumerate(readings))
    margin = measured.margin if measured is not None else None
    words = margin_words(margin, advice, system) if margin is not None else ""
    return Measuring(shown, words, offers(advice.ask_next, inquiry.measurement))


def _shown(place: int, one: Reading, system: str) -> Shown:
    way = ways()[one.what]
    rows = tuple(_row(moved, system) for moved in one.moved)
    stands = one.state in ("conflict", "too sharp") and way.kind == "reading" and bool(way.path)
    return Shown(place, one, WORDS[one.state], rows, stands)


def _row(moved: Moved, system: str) -> Row:
    before = "not known" if moved.before is None else _span(moved.before, moved.dimension, system)
    return Row(moved.title, before, _span(moved.after, moved.dimension, system), moved.settled)


def _span(band: Band, dimension: str, system: str) -> str:
    low, high = (show(value, dimension, system) for value in (band.p10, band.p90))
    return low if low == high else f"{low} to {high}"


def margin_words(margin: Margin, advice: Advice, system: str) -> str:
    """What the measurements did to the leading outfit's margin, in a sentence."""
    title = next((one.title for one in advice.outfits if one.id == margin.outfit), margin.outfit)
    now = _spare(margin.after, margin.unit, system)
    if margin.before is None:
        return f"{title}: {margin.title}, {now} to spare; it could not be told before."
    was = _spare(margin.before, margin.unit, system)
    if was == now:
        return f"{title}: {margin.title}, {now} to spare, as before."
    return f"{title}: {margin.title}, {now} to spare; before anything was measured, {was}."


def _spare(band: Band, unit: str, system: str) -> str:
    low, high = figure(band.p10, unit, system), figure(band.p90, unit, system)
    return low if low == high else f"{low} to {high}"


def ways_for(who: str) -> tuple[Way, ...]:
    """Every way of measuring of a caller, or of the workshop."""
    return tuple(way for way in ways().values() if way.who == who)


def entry_of(given: Mapping[str, str]) -> dict[str, Any]:
    """What a form says of a measurement, as the record has it; empty fields are left out."""
    texts = {name: given.get(name, "").strip()[:LONGEST] for name in ENTRIES}
    found: dict[str, Any] = {name: text for name, text in texts.items() if text}
    way = ways().get(texts["what"])
    if way is not None and way.reads == "seen" and "value" in found:
        found["seen"] = "_".join(found.pop("value").lower().split())
    on = [name for name in ("operator", "behind") if given.get(f"on-{name}")]
    return {**found, **({"on": on} if on else {}), **({"instead": True} if given.get("instead") else {})}


def with_entry(text: str, entry: Mapping[str, Any]) -> str:
    """An inquiry's text with one measurement more."""
    data = data_of(text)
    return text_of_data(text, {**data, "measurement": [*data.get("measurement", ()), dict(entry)]})


def without_entry(text: str, place: int) -> str:
    """An inquiry's text without one of its measurements."""
    data = data_of(text)
    kept = [one for k, one in enumerate(data.get("measurement", ())) if k != place]
    rest = {key: value for key, value in data.items() if key != "measurement"}
    return text_of_data(text, {**rest, "measurement": kept} if kept else rest)


def standing(text: str, place: int) -> str:
    """An inquiry's text in which one measurement stands in place of what was known."""
    data = data_of(text)
    given = data.get("measurement", ())
    each = [{**one, "instead": True} if k == place else one for k, one in enumerate(given)]
    return text_of_data(text, {**data, "measurement": each})
