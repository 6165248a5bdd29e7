"""The door, on machines that lack something: a copy of `./run` and an interpreter that only pretends."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture
def door(tmp_path: Path) -> Path:
    shutil.copy(ROOT / "run", tmp_path / "run")
    (tmp_path / "bin").mkdir()
    return tmp_path


def pretend(door: Path, script: str) -> None:
    """Stand in for every python3 that the door looks for."""
    for name in ("python3", *(f"python3.{minor}" for minor in range(11, 15))):
        file = door / "bin" / name
        file.write_text(f"#!/bin/sh\n{script}\n")
        file.chmod(0o755)


def knock(door: Path, *words: str) -> subprocess.CompletedProcess[str]:
    env = {"PATH": f"{door / 'bin'}:/bin:/usr/bin"}
    return subprocess.run([str(door / "run"), *words], env=env, capture_output=True, text=True)


def test_an_old_python_is_told_what_is_needed(door: Path) -> None:
    pretend(door, "exit 1")
    done = knock(door, "setup")
    assert done.returncode != 0
    assert "needs Python 3.11 or later" in done.stderr
    assert not (door / ".venv").exists()


def test_a_python_without_ensurepip_is_told_what_to_install(door: Path) -> None:
    pretend(door, 'case "$*" in *ensurepip*) exit 1 ;; *) exit 0 ;; esac')
    done = knock(door, "setup")
    assert done.returncode != 0
    assert "no ensurepip" in done.stderr
    assert "apt-get install python3-venv" in done.stderr
    assert not (door / ".venv").exists()


def test_help_needs_no_python_at_all(door: Path) -> None:
    pretend(door, "exit 1")
    done = knock(door, "help")
    assert done.returncode == 0
    for verb in ("setup", "test", "slow", "bench", "mutants", "lock"):
        assert f"./run {verb}" in done.stdout


@pytest.mark.parametrize("script", ["run", ".ci/run"])
def test_the_scripts_are_executable_and_plain_sh(script: str) -> None:
    file = ROOT / script
    assert file.stat().st_mode & 0o111
    assert file.read_text().startswith("#!/bin/sh\n")
    assert subprocess.run(["sh", "-n", str(file)], check=False).returncode == 0
