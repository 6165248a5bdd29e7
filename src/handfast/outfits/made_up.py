"""Hoses made up at the bench: hose by length and crimped ends of a shelf, as parts with a price of their own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from handfast.connections.assembly import Assembly, BulkHose, CrimpEnd, assemblies
from handfast.connections.hose_run import sold_length
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.quantities.estimate import Estimate

CRIMP_HOURS = 0.05  # h to crimp an end where the price book names no price for it (practice)


def bulk_hoses(parts: Mapping[str, Part]) -> tuple[BulkHose, ...]:
    """Hose that is sold by length: a hose without ends, its price for the length stated.

    Args:
        parts: the shelf's parts by id.

    Returns:
        Those of which size, bore, pressure, length and price are known.

    Example:
        >>> foot = Part(kind="hose", hose_size="-8", bore="12.7 mm", length="1 ft", pressure_max="275 bar", price="8")
        >>> round(bulk_hoses({"half": foot})[0].per_metre, 2)
        26.25
    """
    found = []
    for name, part in parts.items():
        needed = (part.bore, part.pressure_max, part.length, part.price)
        if part.kind == "hose" and not part.ends and part.hose_size and not any(e.is_unknown for e in needed):
            bend = 0.0 if part.bend_radius.is_unknown else float(part.bend_radius.value)
            bore, pressure, length, price = (float(e.value) for e in needed)
            found.append(BulkHose(name, part.hose_size, bore, pressure, bend, price / length))
    return tuple(found)


def crimp_ends(parts: Mapping[str, Part]) -> tuple[CrimpEnd, ...]:
    """Ends that are crimped on hose of a size.

    Args:
        parts: the shelf's parts by id.

    Returns:
        Those of which size, bore, pressure and price are known.

    Example:
        >>> crimp_ends({})
        ()
    """
    found = []
    for name, part in parts.items():
        needed = (part.bore, part.pressure_max, part.price)
        if part.kind == "hose_end" and len(part.ends) == 1 and part.hose_size and not any(e.is_unknown for e in needed):
            bore, pressure, price = (float(e.value) for e in needed)
            found.append(CrimpEnd(name, part.hose_size, part.ends[0], bore, pressure, price))
    return tuple(found)


def crimp_price(book: PriceBook) -> float:
    """Money for crimping one end: the price book's line, else so many hours of its labour rate.

    Args:
        book: the dealer's rates.

    Returns:
        Money; 0 where neither is there.

    Example:
        >>> crimp_price(PriceBook(labour_rate="100"))
        5.0
    """
    line = next((one for one in book.line if "crimp" in one.id and not one.price.is_unknown), None)
    if line is not None:
        return float(line.price.value)
    return 0.0 if book.labour_rate.is_unknown else CRIMP_HOURS * float(book.labour_rate.value)


def made_length(span: float) -> float:
    """Overall length that a hose for a span is made to [m].

    Args:
        span: least length [m].

    Returns:
        Length [m], to the millimetre.

    Example:
        >>> made_length(1.41)
        1.425
    """
    return round(float(sold_length(span)), 4)


def made_up(
    hoses: Iterable[BulkHose], ends: Iterable[CrimpEnd], span: float, crimp: float, shelf: Shelf
) -> dict[str, Part]:
    """Hoses made up for a span, as parts: for each pair of connections and size the cheapest.

    Args:
        hoses: hose by length.
        ends: crimped ends.
        span: least overall length [m].
        crimp: money for crimping one end.
        shelf: whose parts they are made of.

    Returns:
        Parts by id.

    Example:
        >>> made_up((), (), 1.0, 0.0, Shelf())
        {}
    """
    best: dict[tuple[str, ...], Assembly] = {}
    for one in assemblies(hoses, ends, span, crimp):
        key = (one.hose.size, *sorted(str(end.end) for end in one.ends))
        if key not in best or one.price < best[key].price:
            best[key] = one
    return {one.id: _part(one, made_length(span), shelf) for one in best.values()}


def _part(made: Assembly, length: float, shelf: Shelf) -> Part:
    hose, ends = shelf.parts[made.hose.id], [shelf.parts[end.id] for end in made.ends]
    several = (hose, *ends)
    stock = None if any(p.stock is None for p in several) else int(all(p.stock for p in several))
    first, second = (shelf.parts[end.id].ends[0] for end in made.ends)
    feet = length / 0.3048
    name = f"{hose.name.split(', by')[0]}, {feet:.1f} ft made up, {_end_name(ends[0])} and {_end_name(ends[1])}"
    return Part(
        id=made.id,
        kind="hose_assembly",
        name=name,
        hose_type=hose.hose_type,
        edition=hose.edition,
        hose_size=hose.hose_size,
        ends=(first, second),
        bore=Estimate.known(made.bore),
        length=Estimate.known(length),
        pressure_max=Estimate.known(made.pressure_max),
        bend_radius=hose.bend_radius,
        price=Estimate.known(round(made.price, 2)),
        stock=stock,
        place=hose.place,
        supplier=hose.supplier,
    )


def _end_name(part: Part) -> str:
    """The end's own words: what follows the size in its name."""
    return part.name.split(", ", 1)[-1] if ", " in part.name else (part.name or part.id)
