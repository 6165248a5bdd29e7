"""Who uses the API: the person of a token, or on this machine whoever sits here. A browser's cookie opens nothing."""

from __future__ import annotations

from dataclasses import replace

from starlette.requests import Request

from handfast.counter.people import person_of_token
from handfast.counter.roles import DOES, may, who_may
from handfast.counter.verbs import Workspace
from handfast.store.people_rows import PersonRow
from handfast.web.api_problem import Problem
from handfast.web.api_verb import Verb
from handfast.web.desk import asker_of, desk_of

BROWSER = ("cookie", "origin", "sec-fetch-site")  # what a page of any site sends along unasked
BEARER = {"www-authenticate": 'Bearer realm="Handfast"'}
LONGEST_TOKEN = 200


def workspace_for(request: Request, verb: Verb) -> Workspace:
    """The workspace in the name of whoever asks; a Problem where they may not."""
    workspace = desk_of(request).workspace
    if "authorization" in request.headers:
        person = _person(workspace, request.headers["authorization"])
        if not may(person.role, verb.area):
            known = ", ".join(who_may(verb.area))
            raise Problem("may-not", f"To {DOES[verb.area]} is for: {known}. This token's person is {person.role}.")
        return replace(workspace, who=person.name)
    if not asker_of(request).here:
        raise Problem("who", "Send a token: Authorization: Bearer hf_…", headers=BEARER)
    if verb.method != "GET" and any(name in request.headers for name in BROWSER):
        raise Problem("who", "What a browser sends is taken here only with a token.", headers=BEARER)
    return workspace


def _person(workspace: Workspace, header: str) -> PersonRow:
    scheme, _, token = header.partition(" ")
    if scheme.lower() != "bearer" or not 0 < len(token.strip()) <= LONGEST_TOKEN:
        raise Problem("who", "Expected: Authorization: Bearer hf_…", headers=BEARER)
    person = person_of_token(workspace, token.strip())
    if person is None:
        raise Problem("who", "There is no such token, or it was withdrawn.", headers=BEARER)
    return person
