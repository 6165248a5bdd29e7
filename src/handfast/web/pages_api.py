"""The readable page of the API: what it is for, how a token is made, every verb, every kind of refusal."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from handfast.counter.roles import DOES, SHOWN, who_may
from handfast.web.api_problem import KINDS
from handfast.web.api_table import verbs
from handfast.web.api_verb import Verb
from handfast.web.desk import page
from handfast.web.kept import kept


def routes() -> list[Route]:
    """The page's address."""
    return [Route("/api", kept(api_page))]


def grouped() -> Mapping[str, list[Verb]]:
    """The verbs by what they are about."""
    found: dict[str, list[Verb]] = {}
    for verb in verbs():
        found.setdefault(verb.group, []).append(verb)
    return found


async def api_page(request: Request) -> Response:
    """Every verb, and how one begins."""
    areas = {verb.area: ", ".join(SHOWN[role] for role in who_may(verb.area)) for verb in verbs()}
    return page(request, "api.html", groups=grouped(), kinds=KINDS, areas=areas, does=DOES)
