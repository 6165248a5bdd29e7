"""The OpenAPI document, made from the table of verbs and the JSON Schemas of the records."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from pydantic import BaseModel, TypeAdapter
from pydantic.json_schema import JsonSchemaMode, models_json_schema

from handfast.advice.result import Advice
from handfast.data.release import VERSION
from handfast.machines.schema import QUANTITY_TABLE, tidied
from handfast.web import api_models, api_problem
from handfast.web.api_body import JSON, TOML
from handfast.web.api_models import TOLD
from handfast.web.api_problem import KINDS, MEDIA, ProblemTold
from handfast.web.api_table import verbs
from handfast.web.api_verb import Param, Verb

HERE = "#/components/schemas/"
SAID = (
    "The verbs of Handfast, the loader-attachment reckoner, for programs. Quantities are read as people write them "
    "(14 in, about 300 lb, 5 to 6 ft) or as numbers in SI; answers are SI. Every refusal is a problem document "
    "(RFC 9457) that names each fault with its place. docs/api.md has worked examples."
)
ALWAYS = (401, 403)
TELLS = dict(KINDS.values())


@cache
def document() -> bytes:
    """The document as it is handed out."""
    return json.dumps(openapi(), ensure_ascii=False, allow_nan=False).encode()


def openapi() -> dict[str, Any]:
    """The document as plain data."""
    paths: dict[str, dict[str, Any]] = {}
    for verb in verbs():
        paths.setdefault(verb.path, {})[verb.method.lower()] = operation(verb)
    groups = list(dict.fromkeys(verb.group for verb in verbs()))
    return {
        "openapi": "3.1.0",
        "info": {"title": "Handfast", "version": VERSION, "description": SAID, "license": LICENSE},
        "servers": [{"url": "/"}],
        "security": [{"token": []}, {}],
        "tags": [{"name": name} for name in groups],
        "paths": paths,
        "components": {"schemas": schemas(), "securitySchemes": {"token": TOKEN}},
    }


LICENSE = {"name": "Apache-2.0", "identifier": "Apache-2.0"}
TOKEN = {
    "type": "http",
    "scheme": "bearer",
    "description": "A person's token. On the machine itself, where nobody has to log in, none is needed.",
}


def operation(verb: Verb) -> dict[str, Any]:
    """One verb as the document tells it."""
    made: dict[str, Any] = {
        "operationId": verb.name,
        "tags": [verb.group],
        "summary": verb.says,
        "responses": {str(verb.status): _done(verb), **_refused(verb)},
        "x-area": verb.area,
    }
    if verb.params:
        made["parameters"] = [_param(one) for one in verb.params]
    if verb.takes is not None:
        made["requestBody"] = {"required": True, "content": _content(verb, verb.takes)}
    return made


def _param(one: Param) -> dict[str, Any]:
    told = {
        "name": one.name,
        "in": "path" if one.in_path else "query",
        "required": one.needed or one.in_path,
        "description": one.says,
        "schema": one.schema(),
    }
    return {**told, **({"example": one.example} if one.example is not None else {})}


def _content(verb: Verb, takes: type[BaseModel]) -> dict[str, Any]:
    told: dict[str, Any] = {JSON: {"schema": at(takes), "example": verb.example}}
    if TOML in verb.media:
        told[TOML] = {"schema": {"type": "string"}, "example": verb.example_text}
    return told


def _done(verb: Verb) -> dict[str, Any]:
    if verb.gives != JSON:
        return {"description": verb.says, "content": {verb.gives: {"schema": {"type": "string", "format": "binary"}}}}
    told: dict[str, Any] = {
        "description": verb.says,
        "content": {JSON: {"schema": {"$ref": HERE + verb.answers}}},
    }
    if verb.located:
        told["headers"] = {"Location": {"description": "Where it is read.", "schema": {"type": "string"}}}
    return told


def _refused(verb: Verb) -> dict[str, Any]:
    statuses = {*ALWAYS, *verb.refusals}
    if any(one.in_path for one in verb.params):
        statuses.add(404)
    statuses.add(422)
    if verb.takes is not None:
        statuses |= {413, 415}
    content = {MEDIA: {"schema": at(ProblemTold)}}
    return {str(status): {"description": TELLS[status], "content": content} for status in sorted(statuses)}


@cache
def schemas() -> dict[str, Any]:
    """Every schema that the verbs name, by its name."""
    advice = TypeAdapter(Advice).json_schema(mode="serialization", ref_template=HERE + "Advice.{model}")
    advice["required"] = [name for name in advice["required"] if name != "measured"]
    made: dict[str, Any] = {f"Advice.{name}": _nullable(one) for name, one in advice.pop("$defs").items()}
    return dict(sorted({**made, "Advice": _nullable(advice), **_records()[1]}.items()))


@cache
def _records() -> tuple[dict[Any, str], dict[str, Any]]:
    """Where the schema of each model stands, and the schemas by name."""
    takes: set[type[BaseModel]] = {verb.takes for verb in verbs() if verb.takes is not None}
    every: set[type[BaseModel]] = {*takes, *TOLD, ProblemTold}
    models = sorted(every, key=lambda one: (one.__name__, one.__module__))
    own = (api_models, api_problem)
    answered = {name for one in own for name, at in vars(one).items() if getattr(at, "__module__", "") == one.__name__}
    asked: list[tuple[type[BaseModel], JsonSchemaMode]] = [(one, "validation") for one in models]
    where, whole = models_json_schema(asked, ref_template=HERE + "{model}")
    told = {name: one if name in answered else tidied(one, HERE) for name, one in whole["$defs"].items()}
    told["QuantityTable"] = QUANTITY_TABLE
    return {model: at["$ref"] for (model, _), at in where.items()}, told


def at(model: type[BaseModel]) -> dict[str, Any]:
    """A reference to a model's schema."""
    return {"$ref": _records()[0][model]}


def _nullable(schema: Any) -> Any:
    """Figures may be null: what is without end, or not known, is so in JSON."""
    if isinstance(schema, list):
        return [_nullable(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.get("type") == "number":
        return {**schema, "type": ["number", "null"]}
    return {key: _nullable(value) for key, value in schema.items() if key != "default"}
