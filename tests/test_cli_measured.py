"""Measurements at the terminal: what each settled, and nothing of it where nothing was measured."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from handfast.cli.main import main
from handfast.machines.shelf_files import DEMO

CALL = DEMO / "inquiries" / "7-dads-tractor.toml"


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HANDFAST_HOME", str(tmp_path / "none"))
    path = tmp_path / "call.toml"
    path.write_text(
        CALL.read_text()
        + '\n[[measurement]]\nwhat = "relief_by_gauge"\nvalue = "2400 psi"\nby = "Bench"\nwhen = 2026-11-20\n'
        + '\n[[measurement]]\nwhat = "wheelbase_by_tape"\nvalue = "90 in"\n'
    )
    return path


def test_what_was_measured_is_told(call: Path) -> None:
    done = CliRunner().invoke(main, ["advise", str(call)])
    assert done.exit_code == 0, done.output
    told = " ".join(done.output.split())
    assert "Relief pressure by gauge: 2400 psi, by Bench, 2026-11-20 Settled: Relief pressure 2,3" in told
    assert "Wheelbase by tape: 90 in It reads 90 in;" in told
    assert "to spare" in told


def test_the_whole_result_holds_them(call: Path) -> None:
    done = CliRunner().invoke(main, ["advise", str(call), "--json"])
    found = json.loads(done.output[done.output.index("{") :])["measured"]
    assert [one["state"] for one in found["readings"]] == ["used", "conflict"]
    assert found["readings"][0]["moved"][0]["after"]["p50"] == pytest.approx(2400 * 6894.757, rel=0.01)


def test_nothing_measured_nothing_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANDFAST_HOME", str(tmp_path / "none"))
    done = CliRunner().invoke(main, ["advise", str(CALL)])
    assert "\nMeasured\n" not in done.output


def test_a_faulty_reading_is_named_and_nothing_is_reckoned(call: Path) -> None:
    call.write_text(call.read_text().replace("2400 psi", "2400 lb"))
    done = CliRunner().invoke(main, ["advise", str(call)])
    assert done.exit_code == 2
    assert "measurement[0].value" in done.output
