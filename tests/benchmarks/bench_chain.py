"""Time of the chain search on 2,000 and 10,000 parts, and its ratio to networkx on the explicit product graph.

Run: python tests/benchmarks/bench_chain.py
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import networkx as nx
import numpy as np

from handfast.connections.chain import ChainAsk, ChainIndex, ChainPart, find_chain
from handfast.connections.mating import End, interface, mates

THREADS = [(f, f"-{n}") for f in ("flare37", "orb", "orfs", "npt", "bspp", "bspt") for n in (4, 6, 8, 10, 12, 16)]
THREADS += [("m_port", f"M{n}") for n in (12, 14, 16, 18, 22, 27)]
HALVES = [(f, s) for f in ("coupler_flat", "coupler_a", "coupler_b") for s in ("1/4", "3/8", "1/2", "3/4")]
BREAKS = ("coupler_flat 1/2", "coupler_flat 1/2")


def shelf(count: int, seed: int = 5) -> list[ChainPart]:
    """A random shelf: half adapters, a quarter hoses, a quarter coupler halves; drop falls with price."""
    rng = np.random.default_rng(seed)

    def end(kinds: list[tuple[str, str]]) -> End:
        family, size = kinds[rng.integers(len(kinds))]
        return End(family, size, ("male", "female")[rng.integers(2)])

    parts = []
    for n in range(count):
        kind, price = rng.random(), float(np.round(rng.uniform(3, 60), 2))
        drop = float(rng.uniform(0.2, 1.0) * 6e5 / np.sqrt(price))
        ends = (end(THREADS), end(HALVES if kind > 0.75 else THREADS))
        length = float(rng.uniform(0.3, 4.0)) if 0.5 < kind <= 0.75 else 0.0
        parts.append(ChainPart(f"p{n}", ends, price, float(rng.choice([1.4e7, 2.1e7, 2.8e7])), 0.0127, length, drop))
    return parts


def best_of(runs: int, job: Callable[[], object]) -> float:
    """Least time of several runs [ms]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        times.append((time.perf_counter() - start) * 1e3)
    return min(times)


def product_graph(parts: list[ChainPart], ask: ChainAsk) -> nx.DiGraph:
    """Every (open end, breaks passed) as a node, the cheapest eligible part as an edge; no spans, no budget."""
    graph: nx.DiGraph = nx.DiGraph()
    breaks = [interface(*b.split()) for b in ask.breaks]

    def node(end: End, passed: int) -> tuple[object, str, int]:
        return interface(end.family, end.size), end.gender, passed

    for part in parts:
        if part.pressure_max < ask.pressure or part.bore < ask.bore:
            continue
        for near, far in (part.ends, part.ends[::-1]):
            open_end = End(near.family, near.size, "male" if near.gender == "female" else "female")
            for k in range(len(breaks) + 1):
                after = k
                if near.family.startswith("coupler_"):
                    if k == len(breaks) or interface(near.family, near.size) != breaks[k]:
                        continue
                    after = k + 1
                weight = part.price + ask.joint_cost
                edge = (node(open_end, k), node(far, after))
                if weight < graph.edges.get(edge, {}).get("weight", np.inf):
                    graph.add_edge(*edge, weight=weight)
    return graph


def main() -> None:
    """Print the times."""
    start, goal = End("orb", "-8", "female"), End("npt", "-8", "female")
    for count in (2000, 10000):
        parts = shelf(count)
        began = time.perf_counter()
        index = ChainIndex.of(parts)
        built = (time.perf_counter() - began) * 1e3
        ask = ChainAsk(start, goal, BREAKS, pressure=2e7, joint_cost=2.0)
        chain = find_chain(index, ask)
        graph = product_graph(parts, ask)
        mate = End(goal.family, goal.size, "male")
        ends = [(interface(e.family, e.size), e.gender, k) for e, k in ((start, 0), (mate, len(BREAKS)))]
        theirs = nx.dijkstra_path_length(graph, *ends) + ask.joint_cost
        assert mates(mate, goal)
        assert chain is not None
        assert abs(chain.total - theirs) < 1e-6
        plain = best_of(7, lambda index=index, ask=ask: find_chain(index, ask))
        rival = best_of(7, lambda graph=graph, ends=ends: nx.dijkstra_path_length(graph, *ends))
        print(f"{count} parts, index {built:.0f} ms")
        print(f"  plain {plain:.1f} ms, networkx {rival:.1f} ms on a graph built beforehand, ratio {rival / plain:.2f}")
        spanned = replace(ask, spans=(1.5, 2.0, 1.0))
        free = find_chain(index, spanned)
        assert free is not None
        for share in (0.8, 0.5):
            budgeted = replace(spanned, drop_budget=free.drop * share)
            found = find_chain(index, budgeted)
            taken = best_of(7, lambda index=index, ask=budgeted: find_chain(index, ask))
            total = "none" if found is None else f"{found.total:.2f} against {free.total:.2f}"
            print(f"  spans and {share:.0%} of the drop: {taken:.1f} ms, total {total}")


if __name__ == "__main__":
    main()
