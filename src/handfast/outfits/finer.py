"""Some outfits of an inquiry once more, with samples of one's own choosing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from handfast.outfits.bench import Bench
from handfast.outfits.combine import Candidates
from handfast.outfits.draws import Draws, Plan, draw, size_share
from handfast.outfits.facts import machine_class, plan_machine, plan_site
from handfast.outfits.frame import frame_of
from handfast.outfits.lay import Laid
from handfast.outfits.loads import plan_work, work_load
from handfast.outfits.tools import floor_points, tool_columns
from handfast.quantities.arrays import Array


def finer(laid: Laid, rows: Sequence[int], seed: int, make: Callable[[int, int], Array]) -> Laid:
    """The same outfits, mounts and joins with other samples.

    Args:
        laid: as first laid, with at least one bench.
        rows: which outfits, in the order wanted.
        seed: of the samples.
        make: points for so many dimensions and a seed, shape (samples, dimensions).

    Returns:
        `Laid` of those outfits only.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.quantities.sobol import points
        >>> finer(laid(), [0], 1, points).benches[0].shape == laid().benches[0].shape
        True
    """
    first = laid.benches[0]
    outfits = tuple(first.outfits[row] for row in rows)
    draws = draw(_plan(laid), seed, _share(first), make)
    benches = tuple(_bench(bench, rows, draws, f"work{k}.") for k, bench in enumerate(laid.benches))
    return Laid(benches, Candidates(outfits, ()), draws)


def _share(bench: Bench) -> float | None:
    machine = bench.inquiry.machine
    return size_share(machine_class(machine), machine.engine_power.value)


def _plan(laid: Laid) -> Plan:
    """What is to be drawn, the columns in the order in which they were first laid."""
    plan, first = Plan(), laid.benches[0]
    plan_machine(plan, first.inquiry.machine)
    plan_site(plan, first.inquiry)
    for k, bench in enumerate(laid.benches):
        plan_work(plan, bench.inquiry.work[0], f"work{k}.")
    drawn = [path for path in laid.draws.columns if path.startswith("attachment.")]
    plan.shared = {path: laid.draws.origin(path) for path in drawn}
    return plan


def _bench(bench: Bench, rows: Sequence[int], draws: Draws, prefix: str) -> Bench:
    outfits = tuple(bench.outfits[row] for row in rows)
    attachments = [outfit.attachment for outfit in outfits]
    tools = tool_columns(attachments, draws)
    floors = [floor_points(one) for one in attachments]
    load = work_load(bench.inquiry.work[0], prefix, draws, tools, floors)
    joins = [bench.joins[row] for row in rows] if bench.joins else ()
    return Bench(bench.inquiry, draws, frame_of(bench.inquiry, draws), outfits, tools, load, joins=joins)
