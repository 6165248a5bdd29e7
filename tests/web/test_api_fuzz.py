"""The whole API against its own document, by schemathesis: never a 500, every answer as the document says it is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from handfast.counter import verbs as counter
from handfast.web.api_openapi import openapi
from handfast.web.api_table import verbs
from handfast.web.app import make_app

SEED = 20260305


LARGE = [verb.name for verb in verbs() if verb.media != ("application/json",)]
"""Verbs that take a whole record or file: every single violation of their schemas is tens of thousands of requests."""


def config(examples: int, length: bool) -> dict[str, Any]:
    """How it is run: always the same requests."""
    return {
        "seed": SEED,
        "base-url": "http://127.0.0.1",
        "workers": 1,
        "generation": {
            "deterministic": True,
            "max-examples": examples,
            "database": "none",
            "no-shrink": True,
            "with-security-parameters": False,
        },
        "checks": {"positive_data_acceptance": {"enabled": False}},  # no schema tells which texts are quantities
        "phases": {"coverage": {"enabled": length}, "stateful": {"enabled": length}},
        "operations": [{"include-operation-id": LARGE, "phases": {"coverage": {"enabled": False}}}],
    }


def run(home: Path, examples: int, length: bool = False) -> tuple[set[str], int, list[str]]:
    """The operations that were tried, how many requests were sent, and everything that was found."""
    import schemathesis
    from schemathesis.config import SchemathesisConfig
    from schemathesis.engine import from_schema
    from schemathesis.engine.events import FatalError, NonFatalError, ScenarioFinished

    @schemathesis.serializer("application/toml")
    def as_it_is(_context: Any, value: Any) -> bytes:
        return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")

    workspace = counter.open_workspace(home)
    assert counter.fill_demo(workspace)
    schema = schemathesis.openapi.from_dict(openapi(), config=SchemathesisConfig.from_dict(config(examples, length)))
    schema.app = make_app(workspace)
    tried, sent, found = set(), 0, []
    for event in from_schema(schema).execute():
        if isinstance(event, NonFatalError | FatalError):
            found.append(f"{event!r}: {getattr(event, 'info', '')} {getattr(event, 'value', '')}")
        if isinstance(event, ScenarioFinished):
            tried.add(event.recorder.label)
            sent += len(event.recorder.interactions)
            for node, checks in event.recorder.checks.items():
                case = event.recorder.cases[node].value
                found += [
                    f"{case.as_curl_command()[:1500]}\n{check.failure_info.failure}"
                    for check in checks
                    if check.failure_info is not None
                ]
    return tried, sent, found


def test_every_verb_holds_what_the_document_says(tmp_path: Path) -> None:
    tried, sent, found = run(tmp_path, 5)
    assert {f"{verb.method} {verb.path}" for verb in verbs()} <= tried
    print(f"{sent} requests")
    assert sent > 250
    assert not found, f"{len(found)} of {sent}\n" + "\n\n".join(found[:20])


@pytest.mark.slow
def test_every_verb_holds_it_at_length(tmp_path: Path) -> None:
    tried, sent, found = run(tmp_path, 40, length=True)
    assert {f"{verb.method} {verb.path}" for verb in verbs()} <= tried
    print(f"{sent} requests")
    assert not found, f"{len(found)} of {sent}\n" + "\n\n".join(found[:20])
