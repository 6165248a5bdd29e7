"""Several programs on one workspace at once, as on a counter with several screens."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import handfast
from handfast.counter import verbs as counter

SOURCE = str(Path(handfast.__file__).parents[1])
WRITE = """
import sys
from pathlib import Path
from handfast.counter import verbs as counter
workspace = counter.open_workspace(Path(sys.argv[1]), who=sys.argv[2])
for n in range(60):
    number = counter.new_inquiry(workspace, f'title = "{sys.argv[2]} {n}"')
    counter.change_state(workspace, number, "closed")
    print(number)
"""


@pytest.mark.slow
def test_four_programs_write_into_a_workspace_that_none_has_made_yet(place, opened) -> None:
    home, address = place()
    command = [sys.executable, "-c", WRITE, str(home)]
    env = {**os.environ, "PYTHONPATH": SOURCE, "HANDFAST_DATABASE": address}
    programs = [
        subprocess.Popen([*command, name], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for name in ("north", "south", "east", "west")
    ]
    told = [program.communicate(timeout=300) for program in programs]
    assert [program.returncode for program in programs] == [0, 0, 0, 0], told
    numbers = [int(line) for out, _ in told for line in out.split()]
    assert sorted(numbers) == list(range(1, 241))
    rows = counter.inquiries(opened((home, address)))
    assert {row.number for row in rows} == set(numbers)
    assert {row.state for row in rows} == {"closed"}
    assert len({row.title for row in rows}) == 240
