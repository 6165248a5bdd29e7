"""The whole API against its own document, by schemathesis: never a 500, every answer as the document says it is."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.config import SchemathesisConfig

from handfast.counter import verbs as counter
from handfast.web.api_openapi import openapi
from handfast.web.app import make_app

HOST = "http://127.0.0.1"
SEED = 20260305
NOT_HELD = {
    "positive_data_acceptance",  # a text that is no quantity is refused; no schema tells which texts are
}
load_all_checks()
HELD = [CHECKS.get_one(name) for name in CHECKS.get_all_names() if name not in NOT_HELD]


@schemathesis.serializer("application/toml")
def as_it_is(_context: Any, value: Any) -> bytes:
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


def config(examples: int) -> SchemathesisConfig:
    return SchemathesisConfig.from_dict(
        {
            "seed": SEED,
            "base-url": HOST,
            "generation": {
                "deterministic": True,
                "max-examples": examples,
                "database": "none",
                "no-shrink": True,
                "with-security-parameters": False,
            },
        }
    )


class Late:
    """The application on the demonstration's workspace, made when it is first asked."""

    def __init__(self) -> None:
        self.app: Any = None

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if self.app is None:
            workspace = counter.open_workspace(Path(tempfile.mkdtemp()))
            assert counter.fill_demo(workspace)
            self.app = make_app(workspace)
        await self.app(scope, receive, send)


def schema_with(examples: int) -> Any:
    schema = schemathesis.openapi.from_dict(openapi(), config=config(examples))
    schema.app = Late()
    return schema


@schema_with(8).parametrize()
def test_api(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=HELD)


@pytest.mark.slow
@schema_with(150).parametrize()
def test_api_at_length(case: schemathesis.Case) -> None:
    case.call_and_validate(checks=HELD)
