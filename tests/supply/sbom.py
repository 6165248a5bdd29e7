"""What Handfast stands on: every pinned package with its version, licence and hashes, as CycloneDX and as a page.

    python tests/supply/sbom.py            writes requirements/sbom.json and docs/dependencies.md

Names, versions and hashes come from the locks, licences from what the installed packages say of themselves; where that is nothing, or
no name of the SPDX list, from `BY_HAND`, read in the package's own licence file where it is installed here. Equal locks give equal bytes.
"""

from __future__ import annotations

import json
import re
import sys
import uuid
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SBOM, PAGE = ROOT / "requirements" / "sbom.json", ROOT / "docs" / "dependencies.md"
PIN = re.compile(r"^([A-Za-z0-9][\w.-]*)==([^\s;\\]+)(?:\s*;\s*(.*?))?\s*\\?$")
HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")
BY_HAND = {
    "axe-playwright-python": "MIT", "colorama": "BSD-3-Clause", "flexcache": "BSD-3-Clause", "grimp": "BSD-2-Clause",
    "import-linter": "BSD-2-Clause", "itsdangerous": "BSD-3-Clause", "jinja2": "BSD-3-Clause", "libcst": "MIT AND PSF-2.0 AND Apache-2.0",
    "mpmath": "BSD-3-Clause", "partd": "BSD-3-Clause", "pathspec": "MPL-2.0", "pint": "BSD-3-Clause",
    "polars": "MIT", "pyopengl": "BSD-3-Clause", "pyyaml-ft": "MIT", "scipy": "BSD-3-Clause", "sortedcontainers": "Apache-2.0",
    "sympy": "BSD-3-Clause", "tzdata": "Apache-2.0", "zict": "BSD-3-Clause",
}  # fmt: skip
CLASSIFIED = {
    "MIT License": "MIT",
    "Apache Software License": "Apache-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}
WITH_APACHE = {  # by the list of the Apache Software Foundation (third-party licence policy, categories A and B) and SPDX
    **dict.fromkeys(("MIT", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "Apache-2.0", "PSF-2.0", "Zlib", "CC0-1.0"), "freely"),
    "Apache-2.0 WITH LLVM-exception": "freely",
    "MPL-2.0": "its own files stay under it; used unchanged, never copied in",
    "LGPL-3.0-only": "a library that anybody can exchange; used unchanged, an extra, never copied in",
}  # fmt: skip


@dataclass(frozen=True)
class Pin:
    """One pinned package."""

    name: str
    version: str
    where: str  # what else has to hold: a system, a release of Python
    hashes: tuple[str, ...]
    run: bool  # needed at run time, not only to work on it
    licence: str


def name_of(given: str) -> str:
    """A package's name as indexes compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", given).lower()


def licence_of(name: str) -> str:
    """Its licence as an SPDX expression."""
    if name in BY_HAND:
        return BY_HAND[name]
    try:
        told = metadata(name)
    except PackageNotFoundError:
        return ""
    if told.get("License-Expression"):
        return str(told["License-Expression"])
    short = str(told.get("License") or "").strip()
    if short in WITH_APACHE:
        return short
    kinds = [kind.split("::")[-1].strip() for kind in told.get_all("Classifier") or () if kind.startswith("License")]
    return next((CLASSIFIED[kind] for kind in kinds if kind in CLASSIFIED), "")


def parts_of(expression: str) -> list[str]:
    """The licences that an expression asks for, each of which has to go together with ours.

    >>> parts_of("Apache-2.0 OR BSD-2-Clause"), parts_of("MIT AND PSF-2.0")
    (['Apache-2.0', 'BSD-2-Clause'], ['MIT', 'PSF-2.0'])
    """
    return re.split(r"\s+(?:AND|OR)\s+", expression)


def pins_in(lock: str) -> dict[tuple[str, str], tuple[str, tuple[str, ...]]]:
    """Name and version to condition and hashes of a lock; a name may stand there in several versions."""
    found: dict[tuple[str, str], tuple[str, list[str]]] = {}
    for line in (ROOT / "requirements" / f"{lock}.lock").read_text("utf-8").splitlines():
        pin, hashed = PIN.match(line), HASH.search(line)
        if pin:
            found[name_of(pin[1]), pin[2]] = (pin[3] or "", [])
        elif hashed:
            found[next(reversed(found))][1].append(hashed[1])
    return {one: (where, tuple(sorted(hashes))) for one, (where, hashes) in found.items()}


def pins() -> list[Pin]:
    """Everything that is pinned, by name."""
    run, dev = pins_in("run"), pins_in("dev")
    whole = {**dev, **run}
    return [Pin(*one, *whole[one], one in run, licence_of(one[0])) for one in sorted(whole)]


def sbom(every: list[Pin]) -> dict[str, Any]:
    """The bill of materials in the format CycloneDX 1.6."""
    components = [
        {
            "type": "library",
            "bom-ref": f"pkg:pypi/{one.name}@{one.version}",
            "name": one.name,
            "version": one.version,
            "scope": "required" if one.run else "excluded",
            "licenses": [{"expression": one.licence}],
            "purl": f"pkg:pypi/{one.name}@{one.version}",
            "properties": [{"name": "handfast:sha256", "value": digest} for digest in one.hashes]
            + ([{"name": "handfast:where", "value": one.where}] if one.where else []),
        }
        for one in every
    ]
    number = uuid.uuid5(uuid.NAMESPACE_URL, json.dumps(components, sort_keys=True))
    own = {"type": "application", "bom-ref": "handfast", "name": "handfast", "licenses": [{"expression": "Apache-2.0"}]}
    return {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{number}",
        "version": 1,
        "metadata": {"component": own},
        "components": components,
        "dependencies": [
            {"ref": "handfast", "dependsOn": [one["bom-ref"] for one in components if one["scope"] == "required"]}
        ],
    }


def page(every: list[Pin]) -> str:
    """The same for people."""
    needed, other = [one for one in every if one.run], [one for one in every if not one.run]
    kinds = sorted({part for one in every for part in parts_of(one.licence)})
    lines = [
        "# What Handfast stands on",
        "",
        "Handfast is under Apache-2.0. Every package that it uses is pinned to one version and to the hashes of its files",
        "(`requirements/run.lock`, `requirements/dev.lock`); `./run sbom` writes this page and `requirements/sbom.json` (CycloneDX 1.6) anew,",
        "and a test holds both to the locks. At run time nothing is fetched: the tests do the whole job with every address beyond this",
        "machine closed.",
        "",
        "| licence | beside Apache-2.0 |",
        "|---|---|",
        *(f"| {kind} | {WITH_APACHE[kind]} |" for kind in kinds),
        "",
    ]
    for title, some in (
        (f"Needed to run ({len(needed)})", needed),
        (f"Extras and tools to work on it ({len(other)})", other),
    ):
        lines += [f"## {title}", "", "| package | version | licence | only where |", "|---|---|---|---|"]
        lines += [f"| {one.name} | {one.version} | {one.licence} | {one.where.replace('|', '/')} |" for one in some]
        lines.append("")
    return "\n".join(lines)


def written(every: list[Pin]) -> dict[Path, str]:
    """Both files with what they hold."""
    return {SBOM: json.dumps(sbom(every), indent=1, sort_keys=True) + "\n", PAGE: page(every)}


def main() -> int:
    """Write both, and refuse a licence that is not known or does not go together with ours."""
    every = pins()
    strange = [
        f"{one.name}: {one.licence or 'no licence known'}"
        for one in every
        if set(parts_of(one.licence)) - set(WITH_APACHE)
    ]
    if strange:
        print("\n".join(strange), file=sys.stderr)
        return 1
    for path, text in written(every).items():
        path.write_text(text, encoding="utf-8")
        print(f"Wrote {path.relative_to(ROOT)}: {len(every)} packages.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
