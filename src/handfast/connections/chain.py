"""The cheapest row of parts from one port to another, through the breaks that a route needs."""

from __future__ import annotations

from dataclasses import replace

from handfast.connections.chain_index import Chain as Chain
from handfast.connections.chain_index import ChainAsk as ChainAsk
from handfast.connections.chain_index import ChainIndex as ChainIndex
from handfast.connections.chain_index import ChainPart as ChainPart
from handfast.connections.chain_search import Search


def find_chain(index: ChainIndex, ask: ChainAsk) -> Chain | None:
    """The cheapest chain of parts from port to port, ties by fewest joints.

    Args:
        index: Parts as from `ChainIndex.of`.
        ask: Ports, breaks and limits.

    Returns:
        The chain, or None where there is none.

    Raises:
        ValueError: A break is no family and size, or spans don't match breaks.

    Source: shortest path over (open end, breaks passed, span filled), guided by the least cost still to come;
    with a drop budget the labels of a place are kept as long as each loses less than all cheaper ones.

    >>> from handfast.connections.mating import End
    >>> bush = ChainPart("bush", (End("orb", "-8", "male"), End("flare37", "-8", "male")), 4.0)
    >>> find_chain(ChainIndex.of([bush]), ChainAsk(End("orb", "-8", "female"), End("flare37", "-8", "female")))
    Chain(parts=('bush',), price=4.0, joints=2, total=4.0, drop=0.0)
    """
    search = Search(index, ask)
    label = search.run()
    return None if label is None else search.chain(label)


def line_pair(
    index: ChainIndex, first: ChainAsk, second: ChainAsk, crossed: bool = True
) -> tuple[Chain | None, Chain | None]:
    """Chains for the two lines of one function, the halves female on the tractor or crossed against swapping.

    Args:
        index: Parts as from `ChainIndex.of`.
        first: One line; its `near` is set to female at every break.
        second: The other line, with the same breaks.
        crossed: Whether the second line takes the halves the other way round, so that lines can't be swapped.

    Returns:
        The two chains, None where there is none.

    Source: farm convention, female on the tractor and male on the implement.

    >>> from handfast.connections.mating import End
    >>> ask = ChainAsk(End("orb", "-8", "male"), End("orb", "-8", "female"))
    >>> [chain.joints for chain in line_pair(ChainIndex.of([]), ask, ask)]
    [1, 1]
    """
    usual = ("female",) * len(first.breaks)
    other = ("male" if crossed else "female",) * len(second.breaks)
    return find_chain(index, replace(first, near=usual)), find_chain(index, replace(second, near=other))
