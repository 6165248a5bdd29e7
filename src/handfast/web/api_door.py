"""Who uses the API: the person of a token, or on this machine whoever sits here. A browser's cookie opens nothing."""

from __future__ import annotations

from starlette.requests import Request

from handfast.counter.verbs import Workspace
from handfast.web.api_problem import Problem
from handfast.web.api_verb import Verb
from handfast.web.desk import desk_of

BROWSER = ("cookie", "origin", "sec-fetch-site")  # what a page of any site sends along unasked
BEARER = {"www-authenticate": 'Bearer realm="Handfast"'}


def workspace_for(request: Request, verb: Verb) -> Workspace:
    """The workspace in the name of whoever asks; a Problem where they may not."""
    if "authorization" in request.headers:
        raise Problem("who", "There is no such token.", headers=BEARER)
    if verb.method != "GET" and any(name in request.headers for name in BROWSER):
        raise Problem("who", "A browser's pages write here only with a token.", headers=BEARER)
    return desk_of(request).workspace
