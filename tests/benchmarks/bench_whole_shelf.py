"""One half-known caller over the whole shelf: the ranked list, and what to ask next.

A class, and that it has a mid outlet, is all that is known of the tractor (49 open facts). Every attachment of the
demonstration shelf, and nine that were seen elsewhere, are put to every mount and every way of moving a lid: 465
outfits, 1,024 samples, all checks, ballast chosen. `list` is the ranking with every outfit priced, `ask next` the same
with the worth of every open fact, `answer` all of it with the outfits shown worked out in full and put into words. The
plain loop is that of bench_advise: of all checks two, outfit by outfit and sample by sample, from figures that are
drawn already.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from handfast.advice.advise import _priced, advise
from handfast.advice.knowing import worth_of_answers
from handfast.advice.odds import Judged, judge
from handfast.advice.rank import Losses, losses, ranking
from handfast.advice.work_done import work_done
from handfast.machines.inquiry import Inquiry, SeenElsewhere
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.machines.work import Work
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate

LIST, ASK = 250.0, 400.0  # ms


def caller(shelf: Shelf) -> Inquiry:
    """Somebody who knows the class, the mid outlet and the work, and asks for everything that there is."""
    machine, work = Machine(class_="compact_large", mid_outlets=1), Work(kind="logs")
    seen = tuple(
        SeenElsewhere(kind="root_grapple", width=Estimate.known(0.0254 * inches), mass=Estimate.known(4.2 * inches))
        for inches in range(40, 76, 4)
    )
    return Inquiry(machine=machine, work=(work,), attachment=tuple(shelf.attachments.values()), seen_elsewhere=seen)


def ranked(inquiry: Inquiry, shelf: Shelf) -> tuple[Judged, Losses, list[int]]:
    """Every outfit checked, with ballast, priced and put in order."""
    whole = inquiry.resolve(shelf)
    judged = judge(lay(whole, shelf, 1), shelf)
    found = losses(judged, _priced(judged, whole, shelf, work_done(judged, whole)), whole, shelf)
    return judged, found, ranking(judged, found)


def asked(inquiry: Inquiry, shelf: Shelf) -> dict[str, float]:
    """The same, and what every open fact is worth."""
    judged, found, _ = ranked(inquiry, shelf)
    return worth_of_answers(judged, found)


def processor(call: Callable[[], object]) -> float:
    """Least processor time of a few calls [s]: what a busy machine does not stretch."""
    times = []
    for _ in range(5):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    from bench_advise import columns, middle, rival  # stands beside this file: only a run of it finds it

    print(__doc__)
    shelf = demo_shelf()
    inquiry = caller(shelf)
    bench = ranked(inquiry, shelf)[0].bench
    plain = columns(bench)
    inside, size = bench.frame.ratings_with in ("quick_attach", "bucket"), bench.draws.size
    loop = middle(lambda: rival(plain, inside, size))
    worth = sum(one > 0.0 for one in asked(inquiry, shelf).values())
    facts = len(bench.draws.inputs)
    print(f"{len(bench.outfits)} outfits, {size} samples, {facts} open facts, {worth} of them of worth")
    print(f"plain loop over two checks {1000 * loop:.0f} ms")
    for name, limit, call in (
        ("list", LIST, lambda: ranked(inquiry, shelf)),
        ("ask next", ASK, lambda: asked(inquiry, shelf)),
        ("answer", 0.0, lambda: advise(inquiry, shelf)),
    ):
        used, took = processor(call), middle(call)
        held = f", limit {limit:.0f}" if limit else ""
        ratio = f"processor {1000 * used:.0f} ms; the loop takes {loop / took:.1f} times as long"
        print(f"{name:10}{1000 * took:6.0f} ms{held}; {ratio}")


if __name__ == "__main__":
    main()
