"""The API's addresses: who may, what is taken, what is answered, and every refusal as a problem document."""

from __future__ import annotations

import json
import logging
from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Match, Route
from starlette.types import Receive, Scope, Send

from handfast.machines.faults import Faults
from handfast.web.api_body import JSON, Body, body_of
from handfast.web.api_door import workspace_for
from handfast.web.api_openapi import document
from handfast.web.api_problem import Problem, of_faults, one_fault
from handfast.web.api_table import verbs
from handfast.web.api_verb import Answer, Given, Verb, printable
from handfast.web.desk import desk_of, may_here, off_loop
from handfast.web.guard import TooLargeError, limit_of

DOCUMENT = "/api/openapi.json"
Endpoint = Callable[[Request], Awaitable[Response]]


def api_routes() -> list[Route]:
    """Every address below /api/, the last one for all that is not there."""
    made = [Route(verb.path, told(verb), methods=[verb.method], name=verb.name) for verb in verbs()]
    return [
        *made,
        Route(DOCUMENT, openapi, methods=["GET"], name="openapi"),
        Route("/api/{rest:path}", NotThere(made), name="api_not_there"),
    ]


def told(verb: Verb) -> Endpoint:
    """The endpoint of a verb."""

    async def endpoint(request: Request) -> Response:
        try:
            return await _done(verb, request)
        except ClientDisconnect:
            raise
        except Exception as error:  # whatever it is, it is told as a problem
            return problem_of(error, request).response()

    return endpoint


async def _done(verb: Verb, request: Request) -> Response:
    workspace = await off_loop(workspace_for, request, verb)
    said = _said(verb, request)
    body = await _body(verb, request)
    desk, costs, quotes = desk_of(request), may_here(request, "costs"), may_here(request, "quote")

    def work() -> Response:
        record = None
        if body is not None and verb.takes is not None and not verb.reads_itself:
            record = body.record(verb.takes)
        return _response(verb, verb.work(Given(desk, workspace, said, body, record, costs, quotes)))

    return await off_loop(work)


def _said(verb: Verb, request: Request) -> Mapping[str, Any]:
    """The parameters of a request; a Problem names the first that is none."""
    found: dict[str, Any] = {}
    asked = request.query_params
    known = {one.name: one for one in verb.params if not one.in_path}
    for name in asked:
        if name not in known:
            expected = f"Known here: {', '.join(known)}." if known else "No parameters are known here."
            raise one_fault(printable(name), "no such entry", expected)
        if len(asked.getlist(name)) > 1:
            raise one_fault(name, "the same name twice", "it once")
    for one in verb.params:
        text = request.path_params[one.name] if one.in_path else asked.get(one.name)
        found[one.name] = one.default if text is None else one.read(text)
        if text is None and one.needed:
            raise one_fault(one.name, "nothing", one.expected)
    return found


async def _body(verb: Verb, request: Request) -> Body | None:
    if verb.takes is None:
        return None
    media = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if media not in verb.media:
        raise Problem("media", f"Expected: {' or '.join(verb.media)}.", headers={"accept": ", ".join(verb.media)})
    return await off_loop(body_of, await request.body(), media)


def _response(verb: Verb, answer: Any) -> Response:
    headers: Mapping[str, str] = {}
    if isinstance(answer, Answer):
        answer, headers = answer.data, answer.headers
    if isinstance(answer, bytes):
        named = {"content-disposition": f'attachment; filename="handfast-{verb.name}.zip"'}
        return Response(answer, verb.status, {**named, **headers}, verb.gives)
    return Response(json.dumps(answer, ensure_ascii=False, allow_nan=False), verb.status, headers, JSON)


def problem_of(error: Exception, request: Request) -> Problem:
    """Why a verb was not done, told as a problem."""
    if isinstance(error, Problem):
        return error
    if isinstance(error, Faults):
        return of_faults(error.faults)
    if isinstance(error, KeyError):
        return Problem("not-there", "There is no such record.")
    if isinstance(error, TooLargeError):
        return Problem("too-large", f"At most {limit_of(request.url.path) / 1e6:g} MB are taken. Nothing was stored.")
    logging.getLogger(__name__).error("%s %s failed", request.method, request.url.path, exc_info=error)
    return Problem("failed", "What was stored is still there.")


class NotThere:
    """What is answered where there is no verb: 404, or 405 with the ways in which the address is used."""

    def __init__(self, known: list[Route]) -> None:
        self.known = known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Say so."""
        ways = sorted({way for route in self.known if _is_at(route, scope) for way in route.methods or ()})
        if scope["path"] == DOCUMENT:
            ways = ["GET", "HEAD"]
        if ways:
            problem = Problem("no-such-way", f"Known here: {', '.join(ways)}.", headers={"allow": ", ".join(ways)})
        else:
            problem = Problem("not-there", "There is nothing at this address; /api tells what there is.")
        await problem.response()(scope, receive, send)


def _is_at(route: Route, scope: Scope) -> bool:
    return route.matches(scope)[0] is not Match.NONE


async def openapi(request: Request) -> Response:
    """The OpenAPI document."""
    return Response(await off_loop(document), media_type=JSON)
