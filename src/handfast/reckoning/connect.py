"""`reckon connect`: the cheapest chain of parts between two ports."""

from __future__ import annotations

from itertools import count
from typing import Annotated, Any

from pydantic import Field

from handfast.connections.chain import Chain, ChainAsk, ChainIndex, ChainPart, find_chain
from handfast.connections.mating import read_interface
from handfast.connections.nearest import nearest_miss
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import ONE_OR_MORE, UNKNOWN, Length, Money, Pressure, Record, SomeLength
from handfast.machines.part import Connection, Part
from handfast.machines.reading import read_model
from handfast.reckoning.needs import require, value_of

HOSES = ("hose", "hose_assembly", "hard_line")


class ConnectPart(Part):
    """A part on offer, with the pressure it loses at the flow in question."""

    drop: Pressure = UNKNOWN


class Connect(Record):
    """What is to be joined."""

    from_: Connection | None = Field(default=None, alias="from")
    to: Connection | None = None
    breaks: Annotated[tuple[str, ...], ONE_OR_MORE] = ()
    pressure: Pressure = UNKNOWN
    bore: Length = UNKNOWN
    joint_cost: Money = UNKNOWN
    spans: Annotated[tuple[SomeLength, ...], ONE_OR_MORE] = ()
    drop_budget: Pressure = UNKNOWN
    tractor_half: Annotated[tuple[str, ...], ONE_OR_MORE] = ()


class ConnectFile(Record):
    """Two ports and a shelf of parts."""

    connect: Connect = Field(default_factory=Connect)
    part: tuple[ConnectPart, ...] = ()


def reckon_connect(text: str, file: str) -> dict[str, Any]:
    """The cheapest chain from port to port, or the nearest miss and why.

    Args:
        text: The file's TOML text.
        file: Its name, for the faults.

    Returns:
        Result as plain data: parts, price, joints, total; without a chain nearest and why.

    Raises:
        Faults: Everything that is wrong with the text.

    Source: as `find_chain`.

    >>> reckon_connect(EXAMPLE, "connect.toml")["parts"]
    ['elbow']
    """
    given = read_model(ConnectFile, text, file)
    _complete(given, file)
    return connect_result(given)


def _complete(given: ConnectFile, file: str) -> None:
    connect = given.connect
    end = "a connection such as flare37 -8 male"
    faults = []
    for name, port in (("from", connect.from_), ("to", connect.to)):
        if port is None:
            faults.append(Fault(file, 0, f"connect.{name}", "nothing", end))
    for place, text in enumerate(connect.breaks):
        try:
            read_interface(text)
        except ValueError:
            where = f"connect.breaks[{place}]"
            faults.append(Fault(file, 0, where, f'"{text}"', "family and size such as coupler_flat 1/2"))
    if connect.spans and len(connect.spans) != len(connect.breaks) + 1:
        wanted = f"{len(connect.breaks) + 1}, one more than breaks"
        faults.append(Fault(file, 0, "connect.spans", str(len(connect.spans)), wanted))
    if faults:
        raise Faults(faults)
    needed = {f"part[{n}].price": (part.price, "a price") for n, part in enumerate(given.part)}
    require(file, needed)


def chain_part(part: Part, name: str, drop: float = 0.0) -> ChainPart | None:
    """A part as the chain search takes it.

    Args:
        part: The record.
        name: Its id.
        drop: Pressure it loses at the flow in question [Pa].

    Returns:
        The part; None where it has not two ends. A limit that is not known counts as none at all.

    Source: a rating not known can't be relied on.

    >>> bush = Part(kind="adapter", ends=["orb -8 male", "flare37 -8 male"], price="4")
    >>> chain_part(bush, "bush").pressure_max
    0.0
    """
    if len(part.ends) != 2:
        return None
    length = value_of(part.length, 0.0) if part.kind in HOSES else 0.0
    limits = value_of(part.pressure_max, 0.0), value_of(part.bore, 0.0)
    return ChainPart(name, (part.ends[0], part.ends[1]), value_of(part.price, 0.0), *limits, length, drop)


def connect_result(given: ConnectFile) -> dict[str, Any]:
    """The answer to a complete connect file.

    Args:
        given: The file's record, nothing needed missing.

    Returns:
        Result as plain data.

    Source: as `find_chain`, `nearest_miss`.

    >>> connect_result(read_model(ConnectFile, EXAMPLE, "connect.toml"))["joints"]
    2
    """
    numbers = count(1)
    named = [(part, part.id or f"part {next(numbers)}") for part in given.part]
    parts = [p for part, name in named if (p := chain_part(part, name, value_of(part.drop, 0.0)))]
    ask = _ask(given.connect)
    chain = find_chain(ChainIndex.of(parts), ask)
    if chain is not None:
        return _plain(chain)
    miss = nearest_miss(parts, ask)
    nearest = None if miss.nearest is None else _plain(miss.nearest)
    return {
        "parts": None,
        "price": None,
        "joints": None,
        "total": None,
        "nearest": nearest,
        "short": miss.short,
        "met": miss.met,
        "at": list(miss.at),
        "why": miss.why,
    }


def _ask(connect: Connect) -> ChainAsk:
    assert connect.from_ is not None
    assert connect.to is not None
    return ChainAsk(
        connect.from_,
        connect.to,
        connect.breaks,
        value_of(connect.pressure, 0.0),
        value_of(connect.bore, 0.0),
        value_of(connect.joint_cost, 0.0),
        tuple(value_of(span, 0.0) for span in connect.spans),
        value_of(connect.drop_budget, float("inf")),
        connect.tractor_half,
    )


def _plain(chain: Chain) -> dict[str, Any]:
    sums = {"price": chain.price, "joints": chain.joints, "total": chain.total, "drop": chain.drop}
    return {"parts": list(chain.parts), **sums}


EXAMPLE = """
[connect]
from = "orb -8 female"
to = "flare37 -8 female"
pressure = "2400 psi"
joint_cost = "2"
[[part]]
id = "elbow"
kind = "adapter"
ends = ["orb -8 male", "flare37 -8 male"]
price = "6.50"
pressure_max = "4000 psi"
bore = "10 mm"
"""
