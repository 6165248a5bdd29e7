"""The same parts by dask.distributed on two workers: the bytes of one process, and a worker killed midway."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import pytest

from handfast.bulk import parts as parts_module
from handfast.bulk.cluster import screen_on
from handfast.bulk.run import Task, screen
from handfast.machines.inquiry import Inquiry

distributed = pytest.importorskip("distributed")
sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from territory import territory  # noqa: E402, RUF100

WORK = {"work": ({"kind": "logs", "diameter": "14 in", "length": "8 ft", "mass": "350 lb"},), "site": {"slope": "8 %"}}


@pytest.mark.slow
def test_two_workers_one_killed_write_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts_module, "IN_A_PART", 24)
    machines, shelf = territory(240, 64, 5)
    task = Task(Inquiry.model_validate(WORK), machines, shelf)
    killed: list[int] = []
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):

        def told(done: int, of: int) -> None:
            if done >= of // 3 and not killed:
                killed.append(next(iter(client.run(os.getpid).values())))
                os.kill(killed[0], signal.SIGKILL)

        many = screen_on(task, tmp_path / "cluster", client, told)
    alone = screen(task, tmp_path / "alone", 1)
    assert killed and many == alone and many.parts == 10
    assert (tmp_path / "cluster/fits.parquet").read_bytes() == (tmp_path / "alone/fits.parquet").read_bytes()
