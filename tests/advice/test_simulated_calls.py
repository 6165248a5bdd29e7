"""Simulated calls: asking in the program's order reaches the choice that all answers make, in fewer questions.

The calls, the rivals and what is counted are those of `tests/benchmarks/bench_calls.py`; docs/asking.md has 500.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest
from scipy.stats import binom


@pytest.fixture(scope="module")
def bench() -> ModuleType:
    file = Path(__file__).parents[1] / "benchmarks" / "bench_calls.py"
    spec = importlib.util.spec_from_file_location("bench_calls", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["bench_calls"] = module  # its dataclasses look themselves up
    spec.loader.exec_module(module)
    return module


def held(bench: ModuleType, count: int, first: int) -> None:
    found = bench.simulated(count, first)
    first_right = {name: bench.mean(ends, "first") for name, ends in found.items()}
    wrong = {name: 1.0 - bench.mean(ends, "right") for name, ends in found.items()}
    assert first_right["ours"] <= first_right["fixed list"] / 2.0
    assert first_right["ours"] < first_right["random order"]
    most = binom.ppf(0.99, count, 0.02)  # what two wrong in a hundred may come to by chance in so few calls
    assert wrong["ours"] * count <= max(most, 1.0) + 1e-9
    assert all(bench.mean(ends, "questions") >= bench.mean(found["ours"], "questions") for ends in found.values())


def test_six_calls(bench: ModuleType) -> None:
    held(bench, 6, 2000)


@pytest.mark.slow
def test_eighty_calls(bench: ModuleType) -> None:
    held(bench, 80, 3000)
