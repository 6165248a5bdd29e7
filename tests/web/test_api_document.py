"""The API's document and its examples: valid, whole, and true."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest
from starlette.testclient import TestClient

from handfast.counter import people
from handfast.counter.roles import AREAS
from handfast.web.api_openapi import openapi
from handfast.web.api_problem import KINDS
from handfast.web.api_table import verbs

ROOT = Path(__file__).parent.parent.parent
TOLD = (ROOT / "docs" / "api.md").read_text("utf-8")
HERE = "http://127.0.0.1:8765"


@pytest.fixture
def api(desk: Any) -> TestClient:
    return TestClient(desk.app, base_url="http://127.0.0.1", client=("127.0.0.1", 50000))


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    return openapi()


def test_the_document_is_openapi(document: dict[str, Any]) -> None:
    """By the specification's own schema of a document, which schemathesis carries."""
    from schemathesis.specs.openapi.definitions import OPENAPI_31_VALIDATOR

    assert OPENAPI_31_VALIDATOR.is_valid(document), [
        error.message for error in OPENAPI_31_VALIDATOR.iter_errors(document)
    ]


def test_every_schema_is_one_and_refers_to_what_is_there(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    for name, schema in schemas.items():
        assert jsonschema_rs.meta.is_valid({"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}), name
    named = set(re.findall(r'"#/components/schemas/([^"]+)"', json.dumps(document)))
    assert named <= schemas.keys()
    assert "$defs" not in json.dumps(document)


def schema_of(document: dict[str, Any], content: dict[str, Any]) -> dict[str, Any]:
    return {**content["schema"], "components": document["components"]}


def test_every_example_holds_its_schema(document: dict[str, Any]) -> None:
    for path, ways in document["paths"].items():
        for way, operation in ways.items():
            content = operation.get("requestBody", {}).get("content", {})
            if "application/json" in content:
                told = content["application/json"]
                example = json.loads(json.dumps(told["example"]))
                errors = [one.message for one in jsonschema_rs.iter_errors(schema_of(document, told), example)]
                assert not errors, (way, path, errors[:3])


def test_the_document_holds_every_verb_once(document: dict[str, Any]) -> None:
    told = {(way.upper(), path) for path, ways in document["paths"].items() for way in ways}
    assert told == {(verb.method, verb.path) for verb in verbs()}
    names = [one["operationId"] for ways in document["paths"].values() for one in ways.values()]
    assert len(names) == len(set(names)) == len(verbs())
    assert {verb.area for verb in verbs()} <= set(AREAS)


def test_the_page_lists_every_verb_and_every_refusal(desk: Any, document: dict[str, Any]) -> None:
    text = desk.client.get("/api").text
    for verb in verbs():
        assert f"<code>{verb.path}</code></dt><dd>" in text
    for kind in KINDS:
        assert f'id="{kind}"' in text, "the type of a problem leads here"
    assert "<script" not in text.split("<main")[1].split("</main>")[0]


def test_it_is_handed_out(api: TestClient, document: dict[str, Any]) -> None:
    answer = api.get("/api/openapi.json")
    assert answer.headers["content-type"] == "application/json"
    assert answer.json() == json.loads(json.dumps(document))


# -------------------- the examples


def sent(api: TestClient, command: str, known: dict[str, str], files: dict[str, str]) -> Any:
    """What a curl command would get."""
    for name, value in known.items():
        command = command.replace(f"${name}", value)
    assert "$" not in command, command
    words = shlex.split(command)
    assert words.pop(0) == "curl"
    way, headers, body, address = "GET", {}, None, ""
    while words:
        word = words.pop(0)
        if word == "-X":
            way = words.pop(0)
        elif word == "-H":
            name, value = words.pop(0).split(": ", 1)
            headers[name] = value
        elif word == "-d":
            body = words.pop(0)
        elif word == "--data-binary":
            body = files[words.pop(0).removeprefix("@")]
        else:
            address = word
    return api.request(way, address.removeprefix(HERE), headers=headers, content=body)


def holds(part: Any, whole: Any) -> bool:
    """Whether what is shown of an answer is a part of it."""
    if isinstance(part, dict):
        return isinstance(whole, dict) and all(key in whole and holds(one, whole[key]) for key, one in part.items())
    if isinstance(part, list):
        return isinstance(whole, list) and len(part) <= len(whole) and all(map(holds, part, whole))
    return bool(part == whole)


def test_the_examples_do_what_they_say(api: TestClient, desk: Any) -> None:
    workspace = desk.app.state.desk.workspace
    person = people.add_person(workspace, "Ada Lovell", "sales", "three loads of wet oak")
    known = {"TOKEN": people.new_token(workspace, person.number, "examples")[0]}
    files = {"call.toml": re.findall(r"```toml\n(.*?)```", TOLD, re.S)[0]}
    pairs = re.findall(r"```sh\n(.*?)\n```\n\n```json\n(.*?)\n```", TOLD, re.S)
    assert len(pairs) == len(re.findall(r"```sh", TOLD)) == 7
    for command, shown in pairs:
        answer = sent(api, command, known, files)
        assert holds(json.loads(shown), answer.json()), (command, answer.text[:500])
        if "VERSION" not in known and "version" in answer.json() and "/shelf/" in command:
            known["VERSION"] = str(answer.json()["version"])
    first = sent(api, re.findall(r"^    (curl .*)$", TOLD, re.M)[0], known, files)
    assert first.json()["state"] == "well"


def test_the_check_of_examples_can_fail() -> None:
    assert not holds({"a": [1]}, {"a": [2]})
    assert not holds({"a": 1}, {})
    assert holds({"a": [{"b": 1}]}, {"a": [{"b": 1, "c": 2}, 3], "d": 4})
