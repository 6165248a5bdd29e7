"""Logging in and out, one's own password, and the owner's page of the people and their tokens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.counter import people
from handfast.counter.passwords import SHORTEST, WeakPasswordError
from handfast.counter.people import Person, Session
from handfast.counter.roles import DOES, ROLES, SHOWN, who_may
from handfast.counter.verbs import Workspace
from handfast.store.people_rows import TokenRow
from handfast.web.desk import Desk, asker_of, desk_of, form_of, number_in, off_loop, page
from handfast.web.pages_inquiry import when
from handfast.web.who_asks import address_key, cookie_name, is_secure

WRONG = "Name or password is not right."
REFUSALS = (people.PeopleError, WeakPasswordError)


def routes() -> list[Route]:
    """Addresses of these pages."""
    return [
        Route("/login", login_page),
        Route("/login", log_in, methods=["POST"]),
        Route("/logout", log_out, methods=["POST"]),
        Route("/me", own_page),
        Route("/me", change_own, methods=["POST"]),
        Route("/people", people_page),
        Route("/people", add, methods=["POST"]),
        Route("/people/{number:int}", change, methods=["POST"]),
    ]


def back_of(asked: str) -> str:
    """Where to go after the login: an address of ours, or the front page.

    >>> [back_of(one) for one in ("/shelf?find=oak", "//a.example", "/\\\\a.example", "https://a.example", "")]
    ['/shelf?find=oak', '/', '/', '/', '/']
    """
    ours = asked.startswith("/") and not asked.startswith(("//", "/\\")) and asked.isprintable() and "\\" not in asked
    return asked[:2000] if ours else "/"


async def login_page(request: Request) -> Response:
    """Who is there?"""
    return page(request, "login.html", back=back_of(request.query_params.get("next", "")), name="", said="")


async def log_in(request: Request) -> Response:
    """Begin a session with a new secret; wrong guesses wait longer each time."""
    given, desk = await form_of(request, 6), desk_of(request)
    name, back = given.get("name", "")[:200], back_of(given.get("next", ""))
    keys = (f"name {people.folded(name)}", address_key(request.scope))
    waits = desk.guesses.begin(keys)
    if waits > 0.0:
        said = f"Too many wrong passwords. Try again in {_span(waits)}."
        answer = page(request, "login.html", 429, back=back, name=name, said=said)
        answer.headers["retry-after"] = str(ceil(waits))
        return answer
    begun = await off_loop(people.log_in, desk.workspace, name, given.get("password", ""))
    if begun is None:
        return page(request, "login.html", 422, back=back, name=name, said=WRONG)
    desk.guesses.right(keys)
    if asker_of(request).secret:
        await off_loop(people.log_out, desk.workspace, asker_of(request).secret)
    answer = RedirectResponse(back, 303)
    _hand_over(request, answer, begun)
    return answer


def _span(seconds: float) -> str:
    """So long, as one says it.

    >>> _span(0.4), _span(90)
    ('1 s', '2 minutes')
    """
    return f"{ceil(seconds)} s" if seconds <= 60 else f"{ceil(seconds / 60)} minutes"


def _hand_over(request: Request, answer: Response, begun: Session) -> None:
    """Give the browser the session's secret: no script reads it, no other site sends it along."""
    secure = is_secure(request.scope)
    most = int(people.DAY.total_seconds())
    answer.set_cookie(
        cookie_name(secure), begun.secret, max_age=most, path="/", httponly=True, samesite="lax", secure=secure
    )


async def log_out(request: Request) -> Response:
    """End the session, here and in the store."""
    await form_of(request, 4)
    secret = asker_of(request).secret
    if secret:
        await off_loop(people.log_out, desk_of(request).workspace, secret)
    answer = RedirectResponse("/login", 303)
    secure = is_secure(request.scope)
    answer.delete_cookie(cookie_name(secure), path="/", httponly=True, samesite="lax", secure=secure)
    return answer


async def own_page(request: Request) -> Response:
    """Who one is here, what one may, and one's own password."""
    return _own(request)


def _own(request: Request, said: str = "", done: bool = False, status: int = 200) -> Response:
    person = asker_of(request).person
    role = person.role if person is not None else "owner"
    mine = [words for area, words in DOES.items() if role in who_may(area)]
    return page(
        request, "me.html", status, person=person, role=SHOWN[role], does=mine, said=said, done=done, least=SHORTEST
    )


async def change_own(request: Request) -> Response:
    """Change one's own password; the old one is asked, as slowly as at the door."""
    given, desk, asker = await form_of(request, 6), desk_of(request), asker_of(request)
    person = asker.person
    if person is None:
        raise HTTPException(403, "Nobody is logged in here.")
    keys = (f"name {people.folded(person.name)}", address_key(request.scope))
    waits = desk.guesses.begin(keys)
    if waits > 0.0:
        return _own(request, f"Too many wrong passwords. Try again in {_span(waits)}.", status=429)
    checked = await off_loop(people.is_password, desk.workspace, person.number, given.get("old", ""))
    if not checked:
        return _own(request, "The password of now is not right.", status=422)
    desk.guesses.right(keys)
    fresh = given.get("new", "")
    if fresh != given.get("again", ""):
        return _own(request, "The new password was typed twice, not the same.", status=422)
    try:
        await off_loop(people.change_person, desk.workspace, person.number, password=fresh, keep=asker.secret)
    except REFUSALS as error:
        return _own(request, str(error), status=422)
    return _own(request, done=True)


@dataclass(frozen=True)
class Listed:
    """A person of the page with their tokens."""

    person: Person
    role: str
    since: str
    tokens: list[tuple[TokenRow, str]]


async def people_page(request: Request) -> Response:
    """Everybody with role and tokens."""
    return await _people(request)


async def _people(request: Request, status: int = 200, **told: Any) -> Response:
    workspace = desk_of(request).workspace
    rows, tokens = await off_loop(people.persons, workspace), await off_loop(people.tokens, workspace)
    listed = [
        Listed(
            one,
            SHOWN[one.role],
            when(one.created),
            [(token, when(token.created)) for token in tokens if token.person == one.number and not token.withdrawn],
        )
        for one in sorted(rows, key=lambda one: not one.active)
    ]
    shown = {"listed": listed, "roles": list(SHOWN.items()), "least": SHORTEST, "said": "", "token_made": "", "of": 0}
    shown |= {"given": {"name": "", "role": "sales"}, "areas": _areas(), **told}
    return page(request, "people.html", status, **shown)


def _areas() -> list[tuple[str, list[bool]]]:
    """What each role may, as rows of a table."""
    return [(words, [role in who_may(area) for role in ROLES]) for area, words in DOES.items()]


async def add(request: Request) -> Response:
    """Add a person."""
    given, desk = await form_of(request, 8), desk_of(request)
    name, role, password = (given.get(one, "") for one in ("name", "role", "password"))
    try:
        await off_loop(people.add_person, desk.workspace, name, role, password)
    except REFUSALS as error:
        return await _people(request, 422, said=str(error), given={"name": name[:200], "role": role})
    return RedirectResponse("/people", 303)


async def change(request: Request) -> Response:
    """Another role or password, retired or back, a token or its end."""
    given, desk, number = await form_of(request, 8), desk_of(request), number_in(request)
    act = given.get("act", "")
    try:
        if act == "token":
            made, _ = await off_loop(people.new_token, desk.workspace, number, given.get("name", ""))
            return await _people(request, token_made=made, of=number)
        await off_loop(_changed, desk, number, act, given, asker_of(request).secret)
    except REFUSALS as error:
        return await _people(request, 422, said=str(error), of=number)
    return RedirectResponse("/people", 303)


def _changed(desk: Desk, number: int, act: str, given: Mapping[str, str], keep: str) -> None:
    workspace: Workspace = desk.workspace
    if act == "role":
        people.change_person(workspace, number, role=given.get("role", ""), keep=keep)
    elif act in ("retire", "back"):
        people.change_person(workspace, number, active=act == "back", keep=keep)
    elif act == "password":
        people.change_person(workspace, number, password=given.get("password", ""), keep=keep)
    elif act == "withdraw" and given.get("token_number", "").isdecimal():
        people.withdraw_token(workspace, int(given["token_number"][:17]))
    else:
        raise HTTPException(422, "Nothing was done: that is no act of this page.")
