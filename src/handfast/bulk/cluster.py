"""The same parts on many machines by dask.distributed: a part lost with its worker is done again, to the same bytes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from handfast.bulk.parts import Part
from handfast.bulk.run import Summary, Task, Told, Worker, gather, keep

_worker: list[Worker] = []


def screen_on(task: Task, folder: Path, scheduler: Any, told: Told = lambda done, of: None) -> Summary:
    """Work every part out on a cluster, then put them together here.

    Args:
        task: what is asked.
        folder: as in `handfast.bulk.run.screen`; each part is kept as soon as it comes back.
        scheduler: address of a scheduler, or a client that is connected already.
        told: as in `handfast.bulk.run.screen`.

    Returns:
        `Summary`.

    Raises:
        ImportError: dask.distributed is not installed (`pip install handfast[cluster]`).
        OSError: no scheduler answers there.

    Example:
        >>> screen_on.__name__
        'screen_on'
    """
    import distributed

    made: Any = distributed
    client = made.Client(scheduler) if isinstance(scheduler, str) else scheduler
    parts, store = task.parts(), folder / "parts"
    store.mkdir(parents=True, exist_ok=True)
    waiting = [part for part in parts if not (store / part.name).is_file()]
    done = len(parts) - len(waiting)
    told(done, len(parts))
    spread = client.scatter(task, broadcast=True, hash=False)
    futures = [client.submit(_do, spread, part, key=f"part-{part.digest}", retries=3, pure=True) for part in waiting]
    names = {future.key: part.name for future, part in zip(futures, waiting, strict=True)}
    for future in made.as_completed(futures):
        keep(store / names[future.key], future.result())
        done += 1
        told(done, len(parts))
    if client is not scheduler:
        client.close()
    return gather(task, parts, folder, len(parts) - len(waiting))


def _do(task: Task, part: Part) -> bytes:
    """One part on a worker; what belongs to the task is looked up once in each process."""
    if not _worker or _worker[0].task is not task:
        _worker[:] = [Worker(task)]
    return _worker[0].file(part)
