"""Both lines of a lid from the tractor's port to the attachment's: the cheapest parts, their length, their price."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handfast.connections.chain import Chain, ChainAsk
from handfast.connections.mating import End, is_coupler
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.bench import Join
from handfast.outfits.facts import machine_class
from handfast.outfits.learnt import NAMES, Learnt, learnt
from handfast.outfits.line_ends import LINES, Halves, Outlet, ToolEnd, outlet_of, relief, tool_end
from handfast.outfits.line_shelf import BRINGS_HOSE, LineAsk, LineShelf, Side, line_shelf
from handfast.outfits.oil_lines import OilLine, OilLines, kit_elements, kit_line, part_elements
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import HYDRAULIC, PowerRoute
from handfast.outfits.tool_reach import ToolReach
from handfast.reckoning.needs import value_of

BORE = 0.008  # m, the narrowest way through that a lid's line may have (practice)
WHOLE_LINE = frozenset(("hose", "adapter", "coupler"))  # a kit that brings these needs nothing else
NAN, INFINITE = float("nan"), float("inf")


@dataclass(frozen=True)
class Stretch:
    """One stretch of one line: what was asked and found, which line, on which side of the front coupler."""

    asked: LineAsk
    side: Side
    line: int
    at: str  # tractor, tool

    @property
    def where(self) -> str:
        """In words."""
        on_tractor = self.at == "tractor"
        return (
            "from the tractor to the coupler in front" if on_tractor else "from the coupler in front to the attachment"
        )


def joins(outfits: Sequence[Outfit], inquiry: Inquiry, shelf: Shelf) -> Sequence[Join | None]:
    """How both lines of every oil-worked lid meet; None where a port or the pressure is not known, or no oil is needed.

    Args:
        outfits: the candidates.
        inquiry: resolved inquiry.
        shelf: hoses, couplers and fittings with their prices.

    Returns:
        One `Join` or None for each outfit, in order.

    Source: cheapest chain over mating rules (`connections.chain`), each side of the front coupler by itself; what the
    kit or the attachment brings costs nothing.

    Example:
        >>> joins((), Inquiry(), Shelf())
        []
    """
    machine = inquiry.machine
    lines = line_shelf(shelf, machine_class(machine))
    reach, pressure = ToolReach(machine), relief(machine)
    ends: dict[int, ToolEnd | None] = {}
    seen: dict[tuple[object, ...], Join | None] = {}
    found = []
    for outfit in outfits:
        tool = id(outfit.attachment)
        if tool not in ends:
            ends[tool] = tool_end(outfit.attachment, reach)
        past = learnt(shelf, machine, outfit.attachment.id, outfit.power.route)
        end = ends[tool]
        if end is not None:
            end = reaching(end, outfit.attachment, reach, past)
        key = (outfit.power.route, *map(id, outfit.power.parts), end, tool if past is not None else 0)
        if key not in seen:
            seen[key] = _join(outfit.power, end, machine, pressure, lines, past)
        found.append(seen[key])
    return found


def _join(
    power: PowerRoute, tool: ToolEnd | None, machine: Machine, pressure: float, lines: LineShelf, past: Learnt | None
) -> Join | None:
    outlet = outlet_of(power, machine, pressure) if power.route in HYDRAULIC else None
    if outlet is None or tool is None:
        return None
    tries, halves = stretches_between(outlet, tool, lines, past)
    if halves is None:
        return _missed(tries, lines)
    found = _complete(tries, outlet, tool, halves, lines)
    return found if past is None else replace(found, why=" ".join(filter(None, (found.why, past.words))))


def stretches_between(
    outlet: Outlet, tool: ToolEnd, lines: LineShelf, past: Learnt | None = None
) -> tuple[list[Stretch], Halves | None]:
    """The stretches of both lines, with the first setting of the coupler halves that joins them all.

    Args:
        outlet: where the oil comes out.
        tool: where it must go.
        lines: what lines are made of.
        past: what earlier fittings of this kit taught; its lengths win.

    Returns:
        (stretches, halves); the stretches last tried and None where something is missing.

    Source: halves crossed first, so that the lines cannot be swapped (farm convention).

    Example:
        >>> stretches_between.__name__
        'stretches_between'
    """
    tries: list[Stretch] = []
    for halves in outlet.halves:
        tries = _stretches(outlet, tool, halves, lines, past)
        if all(one.side.chain is not None for one in tries):
            return tries, halves
    return tries, None


def _stretches(outlet: Outlet, tool: ToolEnd, halves: Halves, lines: LineShelf, past: Learnt | None) -> list[Stretch]:
    """The tractor's side and the attachment's side of both lines."""
    found = []
    for k, half in enumerate(halves):
        bought = past is not None and past.bought(NAMES[k], "tractor")
        if not (outlet.in_front or (outlet.brings >= WHOLE_LINE and not bought)):
            asked = _tractor_ask(outlet, half, k, past)
            found.append(Stretch(asked, lines.side(asked), k, "tractor"))
        asked = _tool_ask(outlet, half, tool, k, past)
        found.append(Stretch(asked, lines.side(asked), k, "tool"))
    return found


def _tractor_ask(outlet: Outlet, half: str, line: int, past: Learnt | None) -> LineAsk:
    """From the outlet to the half that stays on the tractor; its mate stands for the port at the far end."""
    family, size = outlet.coupler.rsplit(" ", 1)
    mate = End(family, size, _other(half))
    long, free = _known(outlet.line, _free(outlet.brings), NAMES[line], "tractor", past)
    breaks, spans, near = [outlet.coupler], [long, 0.0], [half]
    if is_coupler(outlet.end):
        breaks.insert(0, f"{outlet.end.family} {outlet.end.size}")
        spans.insert(0, 0.0)
        near.insert(0, outlet.end.gender)
    limits = outlet.pressure, BORE
    ask = ChainAsk(outlet.end, mate, tuple(breaks), *limits, spans=tuple(spans), near=tuple(near))
    return LineAsk(ask, free)


def _tool_ask(outlet: Outlet, half: str, tool: ToolEnd, line: int, past: Learnt | None) -> LineAsk:
    """From the half on the tractor to the attachment's port."""
    family, size = outlet.coupler.rsplit(" ", 1)
    long, free = _known(tool.span, _free_at_tool(outlet, tool, line), NAMES[line], "tool", past)
    start, spans = End(family, size, half), (0.0, long)
    ask = ChainAsk(start, tool.ports[line], (outlet.coupler,), outlet.pressure, BORE, spans=spans, near=(half,))
    return LineAsk(ask, free, tool.seconds[line] if tool.seconds else None)


def _known(span: float, free: frozenset[str], line: str, at: str, past: Learnt | None) -> tuple[float, frozenset[str]]:
    """Length to ask for and what costs nothing, after what was learnt; a hose that comes along has its own length."""
    if past is None:
        return span, free
    if past.bought(line, at):
        free -= BRINGS_HOSE
    return (span if free >= BRINGS_HOSE else past.span(line, at, span)), free


def reaching(tool: ToolEnd, attachment: Attachment, reach: ToolReach, past: Learnt | None) -> ToolEnd:
    """The attachment's end with the length that a bought hose needs, where its own turned out too short.

    Args:
        tool: the end.
        attachment: whose end it is.
        reach: hose lengths on the machine.
        past: what earlier fittings of this kit taught.

    Returns:
        `ToolEnd`.

    Example:
        >>> reaching.__name__
        'reaching'
    """
    if past is None or tool.hoses < LINES or not any(past.bought(line, "tool") for line in NAMES):
        return tool
    return replace(tool, span=reach.of(attachment))


def _other(gender: str) -> str:
    return "male" if gender == "female" else "female"


def _free(brings: frozenset[str]) -> frozenset[str]:
    """Kinds that cost nothing: a kit that brings hoses brings their ends too."""
    return brings | BRINGS_HOSE if "hose" in brings else brings


def _free_at_tool(outlet: Outlet, tool: ToolEnd, line: int) -> frozenset[str]:
    """What costs nothing beyond the front coupler: the attachment's hoses and fittings, the kit's coupler halves."""
    free = frozenset(("coupler",)) & outlet.brings
    if tool.hoses > line:
        free |= BRINGS_HOSE
    return free | {"adapter"} if tool.fittings > line else free


def _complete(tries: Sequence[Stretch], outlet: Outlet, tool: ToolEnd, halves: Halves, lines: LineShelf) -> Join:
    bought: Counter[str] = Counter()
    reached = []
    for one in tries:
        chain = one.side.chain or Chain((), 0.0, 0, 0.0, 0.0)
        paid = [lines.parts[name] for name in chain.parts if lines.parts[name].kind not in one.asked.free]
        bought.update(part.name or part.id for part in paid)
        lengths = [float(part.length.value) for part in paid if part.kind in BRINGS_HOSE and not part.length.is_unknown]
        reached += [(max(one.asked.ask.spans), max(lengths))] if lengths else []
    needed, length = min(reached, key=lambda pair: pair[1] / pair[0], default=(NAN, NAN))
    price = sum(lines.price(one.side.chain, one.asked.free) for one in tries if one.side.chain is not None)
    parts = tuple(f"{count} × {_small(name)}" for name, count in bought.items())
    bears = _bears(tries, lines, 0), _bears(tries, lines, 1)
    return Join(True, needed, length, parts, price, _note(outlet, tool, halves), _oil(tries, outlet, lines), bears)


def _bears(tries: Sequence[Stretch], lines: LineShelf, line: int) -> float:
    """What the weakest part sold for a line bears between coupler and lid [Pa]; infinite where nothing is."""
    found = (one for one in tries if one.line == line and one.at == "tool" and one.side.chain is not None)
    parts = [lines.parts[name] for one in found for name in _paid(one, lines)]
    return min((value_of(part.pressure_max, INFINITE) for part in parts), default=INFINITE)


def _paid(one: Stretch, lines: LineShelf) -> Sequence[str]:
    chain = one.side.chain
    return () if chain is None else [name for name in chain.parts if lines.parts[name].kind not in one.asked.free]


def _oil(tries: Sequence[Stretch], outlet: Outlet, lines: LineShelf) -> OilLines:
    """What each line loses pressure in, from the valve to the cylinder."""
    close, open_ = (_oil_line([one for one in tries if one.line == k], outlet, lines) for k in range(LINES))
    return close, open_


def _oil_line(stretches: Sequence[Stretch], outlet: Outlet, lines: LineShelf) -> OilLine:
    found = list(kit_elements(outlet.kit))
    if outlet.kit is not None and all(one.at == "tool" for one in stretches):
        found += kit_line(outlet.line)
    for one in stretches:
        for name in one.side.chain.parts if one.side.chain is not None else ():
            part = lines.parts[name]
            own = part.kind in one.asked.free or part.length.is_unknown
            length = max(one.asked.ask.spans) if own else float(part.length.value)
            found += part_elements(part, length, value_of(part.bore))
    return tuple(found)


def _small(name: str) -> str:
    """A name within a line of text: a common word loses its capital."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _note(outlet: Outlet, tool: ToolEnd, halves: Halves) -> str:
    """What is not on the bill, and how the halves are set."""
    said = []
    kinds = [word for word in ("hose", "adapter", "coupler", "hard_line") if word in outlet.brings]
    if kinds:
        said.append("The kit brings " + _list([_plural(kind) for kind in kinds]) + ".")
    brought = [name for name, count in (("hoses", tool.hoses), ("fittings", tool.fittings)) if count]
    if brought:
        said.append(f"The attachment's own {_list(brought)} come with it.")
    if halves[0] != halves[1]:
        said.append("Coupler halves crossed, so the two lines cannot be swapped.")
    return " ".join(said)


def _plural(kind: str) -> str:
    return kind.replace("_", " ") + "s"


def _list(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def _missed(tries: Sequence[Stretch], lines: LineShelf) -> Join | None:
    """The nearest miss; None where only the loose end of what the attachment brings is not known."""
    short = next(one for one in tries if one.side.miss is not None)
    miss = short.side.miss
    assert miss is not None
    if miss.short == "part" and short.asked.free >= BRINGS_HOSE and "adapter" in short.asked.free:
        return None
    why = miss.why
    for name in miss.at:
        why = why.replace(name, lines.parts[name].name or name) if name in lines.parts else why
    return Join(False, NAN, NAN, (), 0.0, f"No chain {short.where}: {why}.")
