"""The terminal: exit status, faults, the same bytes for the same file, what an answer imports."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import handfast.data
from handfast.cli.main import CHAPTERS, main
from handfast.documents.kinds import KINDS

DEMO = Path(handfast.data.__file__).parent / "demo" / "inquiries"
CALLS = sorted(DEMO.glob("*.toml"))
SOURCE = Path(handfast.data.__file__).parents[2]

KNOWN = """
title = "Logs"
[machine]
record = "thimble-24"
[[work]]
kind = "logs"
"""


def run(*words: str | Path, home: Path | None = None, given: bytes | None = None) -> Result:
    """One verb in this process."""
    env = {"HANDFAST_HOME": str(home) if home else "/nowhere/handfast"}
    return CliRunner().invoke(main, [str(word) for word in words], input=given, env=env)


def spawn(code: str, *words: str | Path, hash_seed: str = "0") -> subprocess.CompletedProcess[str]:
    """One verb in a process of its own; `code` runs after it."""
    verb = "import sys; from handfast.cli.main import main\ntry: main()\nexcept SystemExit as end: status = end.code"
    env = {**os.environ, "PYTHONPATH": str(SOURCE), "PYTHONHASHSEED": hash_seed, "HANDFAST_HOME": "/nowhere/handfast"}
    command = [sys.executable, "-c", f"{verb}\n{code}", *(str(word) for word in words)]
    return subprocess.run(command, env=env, capture_output=True, text=True)


# -------------------- faults

BAD = {
    "an unknown key": (KNOWN + "[machine.loader]\npin_hieght = 2\n", ["machine.loader.pin_hieght", "pin_height"]),
    "a wrong unit": (KNOWN + 'diameter = "14 lb"\n', ["Line 7", "work[0].diameter", "lb", "a length"]),
    "a negative value": (KNOWN + 'diameter = "-14 in"\n', ["work[0].diameter", "-14 in"]),
    "NaN": (KNOWN + "diameter = nan\n", ["work[0].diameter", "nan"]),
    "infinity": (KNOWN + "diameter = inf\n", ["work[0].diameter", "inf"]),
    "a word for a number": (KNOWN + 'count = "many"\n', ["work[0].count"]),
    "a rating further out above the one at the pins": (
        '[machine.loader]\nlift_at_pin = "900 lb"\nlift_at_500 = "980 lb"\n',
        ["machine.loader.lift_at_500", "980 lb", "900 lb"],
    ),
    "axles that miss the whole": (
        '[machine]\nmass = "2300 lb"\nfront_axle_mass = "1300 lb"\nrear_axle_mass = "1300 lb"\n',
        ["machine", "2300 lb", "1300 lb"],
    ),
    "a rod as thick as its bore": (
        '[[attachment]]\nkind = "root_grapple"\nhydraulics = { bore = "2 in", rod = "2 in" }\n',
        ["attachment[0].hydraulics", "2 in"],
    ),
    "an empty file": ("", ["empty"]),
    "text that is no TOML": ("this is a letter\n", ["Line 1"]),
    "a binary file": (bytes(range(256)) * 8, ["bad.toml"]),
    "ten megabytes": (b"# " + b"x" * 10_000_000, ["MB"]),
    "a comma of another country": (KNOWN + 'length = "8,5 ft"\n', ["work[0].length", "8,5 ft"]),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("verb", ["advise", "quote"])
def test_bad_input_is_named_and_nothing_is_stored(tmp_path: Path, name: str, verb: str) -> None:
    content, told = BAD[name]
    file = tmp_path / "bad.toml"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    home = tmp_path / "home"
    done = run(verb, file, *(["--outfit", "x"] if verb == "quote" else []), home=home)
    assert done.exit_code == 2, done.output
    assert done.stdout == ""
    for words in ("bad.toml", *told):
        assert words in done.stderr
    assert not home.exists()


def test_a_record_that_is_not_on_the_shelf_is_a_fault(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(KNOWN.replace("thimble-24", "thimbel-24"))
    done = run("advise", file)
    assert done.exit_code == 2, done.output
    for words in ("bad.toml: Line 4, machine.record", "thimbel-24", "thimble-24"):
        assert words in done.stderr


def test_every_fault_is_named_at_once(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text('[machine]\nmas = "850 lb"\nwheelbase = "60 lb"\n[[work]]\nkind = "log"\nlength = -1\n')
    done = run("advise", file)
    assert done.exit_code == 2
    for words in ("machine.mas", "machine.wheelbase", "work[0].kind", "work[0].length", "4 faults"):
        assert words in done.stderr


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_each_chapter_names_faults_too(tmp_path: Path, chapter: str) -> None:
    file = tmp_path / "bad.toml"
    file.write_text('[nobody]\nmass = "850 lb"\n')
    done = run("reckon", chapter, file)
    assert done.exit_code == 2, done.output
    assert "nobody" in done.stderr


def test_a_missing_file_or_verb_is_a_fault_of_what_was_given(tmp_path: Path) -> None:
    assert run("advise", tmp_path / "none.toml").exit_code == 2
    assert run("guess").exit_code == 2
    assert run("advise").exit_code == 2


def test_a_broken_program_ends_with_one(tmp_path: Path) -> None:
    folder = tmp_path / "handfast"
    folder.mkdir()
    breaks = "import handfast.machines.reading as r\ndef fail(*_): raise ZeroDivisionError\nr.read_inquiry = fail\n"
    code = breaks + "from handfast.cli.main import main\nmain()"
    env = {**os.environ, "PYTHONPATH": str(SOURCE)}
    done = subprocess.run(
        [sys.executable, "-c", code, "advise", str(CALLS[0])], env=env, capture_output=True, text=True
    )
    assert done.returncode == 1
    assert "A fault of the program, not of what was given:\n" in done.stderr
    assert "ZeroDivisionError" in done.stderr


# -------------------- answers


@pytest.mark.parametrize("call", CALLS, ids=lambda path: path.stem)
def test_each_call_of_the_demonstration_is_answered(call: Path) -> None:
    done = run("advise", call)
    assert done.exit_code == 0, done.output
    for title in ("Outfits, the best first", "You can say now"):
        assert title in done.stdout


def test_the_answer_in_metric_units() -> None:
    assert " lb" in run("advise", CALLS[0]).stdout
    metric = run("advise", CALLS[0], "--units", "metric").stdout
    assert " kg" in metric


def test_one_outfit_in_depth_and_one_that_is_not_there() -> None:
    first = json.loads(run("advise", CALLS[0], "--json").stdout)["outfits"][0]["id"]
    page = run("advise", CALLS[0], "--outfit", first)
    assert page.exit_code == 0, page.output
    for title in ("Checks", "In the jaws", "Behind, and on the axles", "Fitted and delivered"):
        assert title in page.stdout
    assert json.loads(run("advise", CALLS[0], "--outfit", first, "--json").stdout)["id"] == first
    none = run("advise", CALLS[0], "--outfit", "nothing-like-it")
    assert none.exit_code == 2
    assert "nothing-like-it" in none.stderr


def test_the_fit_sheet_is_written_as_pdf(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    done = run("advise", CALLS[0], "--pdf", out)
    assert done.exit_code == 0, done.output
    assert done.stdout == ""
    assert out.read_bytes().startswith(b"%PDF-")


def test_the_same_file_and_seed_give_the_same_bytes() -> None:
    """In processes of their own whose sets and dictionaries are hashed differently."""
    one, two = (spawn("", "advise", CALLS[6], "--json", "--seed", "7", hash_seed=seed).stdout for seed in ("1", "2"))
    assert one
    assert one == two
    assert json.loads(one)["seed"] == 7


def test_another_seed_gives_other_draws() -> None:
    one, two = (run("advise", CALLS[6], "--json", "--seed", seed).stdout for seed in ("1", "2"))
    assert one != two


def test_an_answer_imports_neither_scipy_nor_the_store_nor_the_web() -> None:
    heavy = ("scipy", "sqlalchemy", "alembic", "starlette", "uvicorn", "jinja2", "typst", "sympy")
    code = f"print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr); sys.exit(status)"
    done = spawn(code, "advise", CALLS[0], "--json")
    assert done.returncode == 0, done.stderr
    assert done.stderr.splitlines()[-1] == "[]"


def test_help_imports_nothing_heavy() -> None:
    code = "print('numpy' in sys.modules, 'pydantic' in sys.modules, file=sys.stderr)"
    assert spawn(code, "--help").stderr.splitlines()[-1] == "False False"


# -------------------- threads


def test_a_thread_measured_is_named() -> None:
    """G 1/2: 20.955 mm over the crests, 14 threads per inch (ISO 228-1, table 1)."""
    found = json.loads(run("thread", "--od", "20.9mm", "--pitch", "1.814mm", "--taper", "no", "--json").stdout)
    assert {"bspp"} <= {one["family"] for one in found["candidates"][:3]}
    assert found["ask"]
    page = run("thread", "--od", "20.9mm", "--tpi", "14")
    assert "G 1/2-14" in page.stdout
    assert "What would settle it" in page.stdout


def test_a_thread_measured_wrongly_is_refused() -> None:
    done = run("thread", "--od", "19 lb", "--tpi", "many")
    assert done.exit_code == 2
    for words in ("--od", "--tpi", "2 faults"):
        assert words in done.stderr


# -------------------- quotes, export, schema


def test_a_quote_is_numbered_kept_and_exported(tmp_path: Path) -> None:
    from handfast.counter import verbs as counter

    home = tmp_path / "home"
    counter.fill_demo(counter.open_workspace(home))
    first = json.loads(run("advise", CALLS[0], "--json", home=home).stdout)["outfits"][0]["id"]
    for number in (1, 2):
        done = run("quote", CALLS[0], "--outfit", first, home=home)
        assert done.exit_code == 0, done.output
        assert f"Quote {number}, inquiry 1:" in done.stdout
    new = tmp_path / "new.toml"
    new.write_text(KNOWN)
    for file in (CALLS[0], new):
        assert run("quote", file, "--outfit", "nothing", home=home).exit_code == 2
    paper = tmp_path / "quote.pdf"
    assert run("quote", CALLS[0], "--outfit", first, "--pdf", paper, home=home).exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF-")
    from handfast.counter import quoting

    quoting.answer_ballast(counter.open_workspace(home), 2, "declined", "A. Rowan", "Ada Quill")
    shown = run("quote", "--number", "2", home=home)
    assert shown.exit_code == 0 and "Quote 2, version 2: draft" in shown.stdout and "Version 1" in shown.stdout
    assert "declined A. Rowan" in " ".join(shown.stdout.split())
    assert run("quote", "--number", "2", "--version", "1", "--pdf", tmp_path / "old.pdf", home=home).exit_code == 0
    assert (tmp_path / "old.pdf").read_bytes().startswith(b"%PDF-")
    for wrong in (("--number", "99"), ("--number", "2", "--version", "7"), (), (CALLS[0],)):
        assert run("quote", *wrong, home=home).exit_code == 2
    out = tmp_path / "all.json"
    assert run("export", "--out", out, home=home).exit_code == 0
    whole = json.loads(out.read_text())
    assert [(row["number"], row["version"]) for row in whole["quotes"]] == [(1, 1), (2, 1), (2, 2), (3, 1)]
    assert {row["outfit"] for row in whole["quotes"]} == {first}
    assert len(whole["inquiries"]) == len(CALLS)
    assert len(whole["shelf"]) > 60


def test_the_schema_is_json_and_closed() -> None:
    schema = json.loads(run("schema").stdout)
    assert schema["inquiry"]["additionalProperties"] is False
    assert "loader" in json.dumps(schema["machine"])


def test_every_paper_is_written_as_pdf(tmp_path: Path) -> None:
    for kind in KINDS:
        out = tmp_path / f"{kind}.pdf"
        done = run("advise", CALLS[2], "--pdf", out, "--paper", kind)
        assert done.exit_code == 0, done.output
        assert out.read_bytes().startswith(b"%PDF-")
    assert run("advise", CALLS[2], "--pdf", tmp_path / "x.pdf", "--paper", "poem").exit_code == 2
    a4 = tmp_path / "a4.pdf"
    assert run("advise", CALLS[2], "--pdf", a4, "--paper", "pick-list", "--page", "a4").exit_code == 0
    assert b"595.2" in a4.read_bytes() and b"841.8" in a4.read_bytes()  # ISO 216 in points
    nobody = run("advise", CALLS[2], "--pdf", a4, "--paper", "purchase-order", "--supplier", "Nobody")
    assert nobody.exit_code == 2 and "bought from" in nobody.stderr


def test_an_outfit_in_depth_has_its_hoses_and_its_order_in_two_parts() -> None:
    outfit = "thicketjaw-42n~universal_plate_narrow.direct~diverter"
    text = run("advise", CALLS[2], "--outfit", outfit).stdout
    assert "Safe to order now" in text
    assert text.index("Safe to order now") < text.index("Waits for one answer")
    for tag in ("A1", "A2", "B1", "B2", "C1", "C2", "C3", "C4"):
        assert re.search(rf"^  {tag}  ", text, re.M)
    assert "How long is a string" in " ".join(text.split())
