"""Serving beyond this machine, and the first owner, at the terminal."""

from __future__ import annotations

import http.client
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from handfast.cli.main import main
from handfast.counter import passwords, people
from handfast.counter.verbs import open_workspace

WORDS = "a short sentence does"


def run(home: Path, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(main, list(words), input=typed, env={"HANDFAST_HOME": str(home), "HANDFAST_PORT": "0"})


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))


def test_the_first_owner_is_added_and_the_password_not_shown(tmp_path: Path) -> None:
    done = run(tmp_path, "person", "add", "Ada Rowan", "--role", "owner", typed=f"{WORDS}\n{WORDS}\n")
    assert done.exit_code == 0
    assert WORDS not in done.output
    assert people.log_in(open_workspace(tmp_path), "Ada Rowan", WORDS)
    again = run(tmp_path, "person", "add", "ada rowan", "--role", "reader", typed=f"{WORDS}\n{WORDS}\n")
    weak = run(tmp_path, "person", "add", "Ben Alder", "--role", "sales", typed="short\nshort\n")
    assert (again.exit_code, weak.exit_code) == (2, 2)
    assert len(people.persons(open_workspace(tmp_path))) == 1


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.1", "::", "2001:db8::1"])
def test_beyond_this_machine_only_with_an_owner(tmp_path: Path, host: str) -> None:
    people.add_person(open_workspace(tmp_path), "Ben Alder", "sales", WORDS)
    refused = run(tmp_path, "serve", "--host", host)
    assert refused.exit_code == 2
    assert "no owner" in refused.output


@pytest.mark.parametrize("host", ["example.com", "", "127.0.0.1.example", "300.1.1.1"])
def test_what_is_no_address_is_refused(tmp_path: Path, host: str) -> None:
    refused = run(tmp_path, "serve", "--host", host)
    assert refused.exit_code == 2
    assert "an address such as" in refused.output


def test_listening_everywhere_needs_a_name(tmp_path: Path) -> None:
    people.add_person(open_workspace(tmp_path), "Ada Rowan", "owner", WORDS)
    refused = run(tmp_path, "serve", "--host", "0.0.0.0")
    assert refused.exit_code == 2
    assert "--name" in refused.output


@contextmanager
def served(home: Path, *words: str) -> Iterator[int]:
    """The pages as a process of their own; the port it took."""
    told = {**os.environ, "HANDFAST_HOME": str(home), "HANDFAST_PORT": "0", "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-m", "handfast", "serve", *words]
    process = subprocess.Popen(command, env=told, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    try:
        assert process.stdout is not None
        found = re.search(r":(\d+)/", process.stdout.readline())
        assert found
        yield int(found[1])
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=30)


def asked(port: int, **headers: str) -> tuple[int, str]:
    there = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    there.request("GET", "/people", headers={name.replace("_", "-"): value for name, value in headers.items()})
    answer = there.getresponse()
    answer.read()
    return answer.status, answer.getheader("location", "")


def test_the_real_server_asks_who_is_not_here(tmp_path: Path) -> None:
    """Over a socket, so that what the server makes of addresses and headers counts too."""
    people.add_person(open_workspace(tmp_path), "Ada Rowan", "owner", WORDS)
    with served(tmp_path, "--host", "0.0.0.0", "--name", "quotes.example") as port:
        assert asked(port) == (200, "")
        assert asked(port, host="quotes.example") == (303, "/login?next=/people")
        for header in ("x-forwarded-for", "x-real-ip", "forwarded", "x-forwarded-host"):
            assert asked(port, **{header: "127.0.0.1"})[0] == 303
        assert asked(port, host="other.example")[0] == 400
