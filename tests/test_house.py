"""The house itself: layers, docstrings, locks, documents, words that have no place in it."""

from __future__ import annotations

import ast
import importlib
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "handfast"
LOCKS = sorted((ROOT / "requirements").glob("*.lock"))

# -------------------- layers

LINT = (
    "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(config_filename={!r}, no_cache=True))"
)


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the contracts of `.importlinter` on the package that stands in `folder`."""
    code = LINT.format(str(ROOT / ".importlinter"))
    return subprocess.run(
        [sys.executable, "-c", code], cwd=folder, env={"PYTHONPATH": str(folder)}, capture_output=True, text=True
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The package copied, so that it can be broken."""
    shutil.copytree(PACKAGE, tmp_path / "handfast", ignore=shutil.ignore_patterns("__pycache__", "static", "templates"))
    return tmp_path


def test_layers_hold(copy: Path) -> None:
    done = lint(copy)
    assert done.returncode == 0, done.stdout


BREACHES = {
    "a lower storey imports a higher one": ("quantities/breach.py", "import handfast.advice\n", "only go down"),
    "physics imports a noun": ("physics/breach.py", "import handfast.machines\n", "only go down"),
    "the counter imports the pages": ("store/breach.py", "import handfast.counter\n", "only go down"),
    "an upward import only for types": (
        "costing/breach.py",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import handfast.advice\n",
        "only go down",
    ),
    "a module without a storey": ("attic.py", '"""Nobody knows where this belongs."""\n', "only go down"),
    "two neighbours in a circle": ("physics/breach_a.py", "import handfast.physics.breach_b\n", "No circles"),
    "SQL in the core": ("advice/breach.py", "import sqlalchemy\n", "The core reaches"),
    "the web in the core": ("outfits/breach.py", "def late() -> None:\n    import starlette\n", "The core reaches"),
    "paper in the core": ("costing/breach.py", "import typst\n", "The core reaches"),
    "the terminal in the core": ("machines/breach.py", "import click\n", "The core reaches"),
    "scipy on the way of advise": ("advice/breach.py", "def late() -> None:\n    import scipy\n", "Scipy is imported"),
}


@pytest.mark.parametrize("name", BREACHES)
def test_a_breach_is_seen(copy: Path, name: str) -> None:
    place, text, contract = BREACHES[name]
    (copy / "handfast" / place).write_text(text)
    (copy / "handfast" / "physics" / "breach_b.py").write_text("import handfast.physics.breach_a\n" * ("_a" in place))
    done = lint(copy)
    assert done.returncode != 0
    assert re.search(rf"{contract}.* BROKEN|not defined|[Mm]issing layers", done.stdout), done.stdout


def test_every_contract_has_a_breach() -> None:
    names = re.findall(r"^name = (.+)$", (ROOT / ".importlinter").read_text(), re.M)
    assert names
    for name in names:
        assert any(contract in name for _, _, contract in BREACHES.values()), name


# -------------------- docstrings

HANDBOOK = ("physics", "connections")
UNIT = re.compile(r"\[|whether|true|elements|unit length|shape|[+-]1", re.I)
CORE = ("physics", "connections", "quantities", "costing", "outfits", "advice")


def modules(folders: tuple[str, ...]) -> Iterator[tuple[Path, ast.Module]]:
    for folder in folders:
        for path in sorted((PACKAGE / folder).rglob("*.py")):
            yield path, ast.parse(path.read_text())


def public(body: list[ast.stmt]) -> Iterator[ast.FunctionDef]:
    for node in body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def parameters(function: ast.FunctionDef) -> Iterator[ast.arg]:
    args = function.args
    yield from (*args.posonlyargs, *args.args, *args.kwonlyargs)
    yield from (extra for extra in (args.vararg, args.kwarg) if extra)


def counts(arg: ast.arg) -> bool:
    """Whether a parameter is a quantity, so that it has a unit."""
    return bool(re.search(r"Array|float", ast.unparse(arg.annotation or ast.Constant(""))))


def sections(text: str) -> dict[str, str]:
    parts = re.split(r"^(Args|Returns|Raises|Source):\s*", text, flags=re.M)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def entry(args: str, name: str) -> str | None:
    """What `Args:` says of one parameter; several may share a line: `front, rear: …`."""
    found = re.search(rf"^\s*(?:\*{{0,2}}\w+,\s*)*\*{{0,2}}{name}\b[^:\n]*:(.*(?:\n\s{{6,}}.*)*)", args, re.M)
    return found and found[0]


def faults(function: ast.FunctionDef, handbook: bool) -> list[str]:
    """What is missing in the docstring of one public function."""
    text = ast.get_docstring(function)
    if not text:
        return ["no docstring"]
    missing = []
    lines = text.splitlines()
    if len(lines) > 1 and lines[1].strip():
        missing.append("the first line does not stand alone")
    parts = sections(text)
    for arg in parameters(function):
        said = entry(parts.get("Args", ""), arg.arg)
        if said is None:
            missing.append(f"Args: {arg.arg}")
        elif handbook and counts(arg) and not UNIT.search(said):
            missing.append(f"Args: {arg.arg} has no [unit]")
    returns = ast.unparse(function.returns) if function.returns else ""
    if returns not in ("None", "") and "Returns" not in parts:
        missing.append("Returns:")
    if any(isinstance(node, ast.Raise) for node in ast.walk(function)) and "Raises" not in parts:
        missing.append("Raises:")
    if handbook and "Source" not in parts:
        missing.append("Source:")
    if ">>>" not in text:
        missing.append("an example")
    return missing


@pytest.mark.parametrize("folder", CORE)
def test_docstrings_are_contracts(folder: str) -> None:
    found = []
    for path, tree in modules((folder,)):
        for function in public(tree.body):
            missing = faults(function, folder in HANDBOOK)
            found += [f"{path.relative_to(PACKAGE)}: {function.name}: {what}" for what in missing]
    assert not found, "\n".join(found)


def test_the_docstring_test_can_fail() -> None:
    text = 'def lift(pin: float) -> float:\n    """It.\n\n    Returns:\n        kg.\n    """\n    raise ValueError'
    function = ast.parse(text).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert faults(function, handbook=True) == ["Args: pin", "Raises:", "Source:", "an example"]


def test_every_module_and_class_says_what_it_is() -> None:
    silent = []
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text())
        classes = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef) and not node.name.startswith("_")]
        silent += [f"{path.relative_to(PACKAGE)}: {node.name}" for node in classes if not ast.get_docstring(node)]
        if not ast.get_docstring(tree):
            silent.append(str(path.relative_to(PACKAGE)))
    assert not silent


def test_init_files_hold_a_docstring_only() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        assert len(ast.parse(path.read_text()).body) <= 1, path


def test_sizes() -> None:
    """Files within 350 lines; bodies within 50, the habit being 30."""
    long = []
    for path in sorted(PACKAGE.rglob("*.py")):
        lines = path.read_text().count("\n")
        if lines > 350:
            long.append(f"{path.relative_to(PACKAGE)}: {lines} lines")
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                if body and (body[-1].end_lineno or 0) - body[0].lineno + 1 > 50:
                    long.append(f"{path.relative_to(PACKAGE)}: {node.name}")
    assert not long, "\n".join(long)


# -------------------- locks


def pins(lock: Path) -> dict[str, str]:
    return dict(re.findall(r"^([A-Za-z0-9_.-]+)==(\S+)", lock.read_text(), re.M))


def plain(requirement: str) -> str:
    return re.split(r"[<>=~!\[; ]", requirement)[0].lower().replace("_", "-")


@pytest.mark.parametrize("lock", LOCKS, ids=lambda path: path.name)
def test_locks_hold_hashes_and_no_address(lock: Path) -> None:
    text = lock.read_text()
    assert "://" not in text
    assert not re.search(r"index|find-links|trusted-host|@ ", text)
    blocks = re.split(r"^(?=\S)", text, flags=re.M)[1:]
    assert blocks
    assert all("--hash=sha256:" in block for block in blocks)


def test_locks_hold_every_dependency_at_the_same_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    run, dev = pins(ROOT / "requirements" / "run.lock"), pins(ROOT / "requirements" / "dev.lock")
    assert {plain(one) for one in project["dependencies"]} <= run.keys()
    extras = [one for extra in project["optional-dependencies"].values() for one in extra]
    assert {plain(one) for one in extras} - {plain(project["name"])} <= dev.keys()
    assert run.items() <= dev.items()


# -------------------- documents


def document(name: str) -> str:
    return (ROOT / name).read_text()


def test_the_readme_begins_with_the_job() -> None:
    first = document("README.md").split("\n\n")[1]
    for word in ("dealer", "attachment", "lift", "balance", "cost", "fit"):
        assert word in first
    for command in ("./run ", "./run test"):
        assert command in document("README.md").split("##")[0]


def test_the_documents_name_every_check() -> None:
    checks = importlib.import_module("handfast.outfits.checks").CHECKS
    ids = {getattr(check, "id", check) for check in checks}
    rows = set(re.findall(r"^\| `([a-z]+\.[a-z_]+)` \|", document("docs/adding-a-check.md"), re.M))
    assert ids
    assert ids == rows


def test_the_documents_name_every_verb() -> None:
    from handfast.cli.main import main

    told = document("docs/house.md")
    assert main.commands
    for verb in main.commands:
        assert f"`handfast {verb}" in told, verb
    for chapter in main.commands["reckon"].commands:  # type: ignore[attr-defined]
        assert re.search(rf"\b{chapter}\b", told), chapter


def test_the_documents_name_every_counter_verb() -> None:
    for file in (PACKAGE / "counter").glob("*.py"):
        for function in public(ast.parse(file.read_text()).body):
            assert f"`{function.name}`" in document("docs/house.md"), function.name


def test_the_documents_point_at_what_is_there() -> None:
    for path in (*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md"), *ROOT.glob("requirements/*.md")):
        named = re.findall(r"`((?:docs|src|tests|requirements)/[\w./*-]+|\.ci/run|\.importlinter)`", path.read_text())
        missing = [one for one in named if not list(ROOT.glob(one))]
        assert not missing, (path.name, missing)


def test_the_changelog_and_the_licence_are_there() -> None:
    assert "## Unreleased" in document("CHANGELOG.md")
    assert "Apache License" in document("LICENSE")


# -------------------- words

UNFINISHED = re.compile("TO" + "DO|FIX" + "ME|XX" + "X|NotImplemented" + "Error")
ELSEWHERE = re.compile(
    "/wo" + "rk/|(?<![\\w.])/tm" + "p/|/ro" + "ot/|py" + "pi\\.|pythonhost" + "ed|registry\\.np" + "mjs"
)


def committed() -> list[Path]:
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError):
        return [path for path in ROOT.glob("[!.]*/**/*") if path.is_file()]
    return [path for name in listed.split("\0") if name and (path := ROOT / name).is_file()]


def test_nothing_is_left_unfinished_and_no_path_of_one_machine_is_named() -> None:
    found = []
    for path in committed():
        try:
            text = path.read_text()
        except UnicodeDecodeError:
            continue
        pattern = (
            ELSEWHERE if path.suffix in (".lock", ".md") else re.compile(f"{UNFINISHED.pattern}|{ELSEWHERE.pattern}")
        )
        for number, line in enumerate(text.splitlines(), 1):
            if len(line) < 2000 and pattern.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}")
    assert not found, "\n".join(found)
