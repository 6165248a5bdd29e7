"""What every page shares: the open workspace, the templates, the visitor's units and ink, work kept off the loop."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from pathlib import Path
from threading import Semaphore
from time import monotonic
from typing import Any, ParamSpec, TypeVar
from urllib.parse import quote

from anyio import to_thread
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from handfast.advice.result import Advice
from handfast.counter import verbs as counter
from handfast.counter.guesses import Guesses
from handfast.counter.house import settings
from handfast.counter.roles import may
from handfast.counter.verbs import Workspace, named
from handfast.data.release import TABLES, VERSION
from handfast.drawings.marks_small import dagger, verdict_mark
from handfast.drawings.quick_attach_pictures import quick_attach_picture
from handfast.language.phrasebook import LANGUAGES, Speaker
from handfast.language.telling import telling
from handfast.machines.inquiry import Inquiry
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.web.glossary import entry, term_of
from handfast.web.guard import remember, token_for, token_is_good
from handfast.web.kept import Drawn
from handfast.web.tongue import Tongue, language_of, told
from handfast.web.who_asks import NOBODY, Asker

HERE = Path(__file__).parent
UNITS = ("us", "metric")
INKS = ("auto", "paper", "blueprint")
FIELDS_MOST = 400
P = ParamSpec("P")
T = TypeVar("T")


@dataclass
class Desk:
    """The open workspace and what the pages need to be drawn."""

    workspace: Workspace
    key: bytes
    templates: Environment
    reckons: Semaphore = field(default_factory=lambda: Semaphore(1))
    drawn: Drawn = field(default_factory=Drawn)
    tongue: Tongue = field(default_factory=Tongue)
    begun: float = field(default_factory=monotonic)
    guesses: Guesses = field(default_factory=Guesses)

    def speaker(self, language: str) -> Speaker | None:
        """Who tells texts in a language; None where that is English."""
        return None if language == "en" else self.tongue.speaker(language, counter.shelf(self.workspace))

    def answer(self, number: int, inquiry: Inquiry, system: str) -> Advice:
        """The advice, reckoned by one thread at a time so that the pages stay quick."""
        known = counter.answer_at_hand(self.workspace, number, inquiry.seed, system)
        if known is not None:
            return known
        with self.reckons:
            return counter.answer(self.workspace, number, inquiry.seed, system)


def templates() -> Environment:
    """The templates: escaped throughout, and refusing a name that is not given."""
    found = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["url"] = lambda text: quote(str(text), safe="")
    found.filters["show"] = show
    found.filters["money"] = show_money
    found.globals.update(
        static=static_url,
        mark=lambda verdict: Markup(verdict_mark(verdict)),
        dagger=lambda: Markup(dagger(spoken=False)),
        glossary=entry,
        term_of=term_of,
        picture=lambda kind: Markup(quick_attach_picture(kind)),
        version=VERSION,
        tables=TABLES,
    )
    return found


@lru_cache(maxsize=64)
def static_url(name: str) -> str:
    """The address of a static file with a stamp of its content, so that it can be kept for ever."""
    stamp = hashlib.sha256((HERE / "static" / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?{stamp}"


def desk_of(request: Request) -> Desk:
    """The desk of the app that a request came to; what is written there is noted with the name of who asks."""
    desk: Desk = request.app.state.desk
    person = getattr(request.state, "person", None)
    return desk if person is None else replace(desk, workspace=named(desk.workspace, person.name))


def asker_of(request: Request) -> Asker:
    """Who asks."""
    asker: Asker = getattr(request.state, "asker", NOBODY)
    return asker


def may_here(request: Request, area: str) -> bool:
    """Whether who asks may do what an area holds."""
    return may(asker_of(request).role, area)


async def off_loop(work: Callable[P, T], *args: P.args, **named: P.kwargs) -> T:
    """Do work in a thread, so that other pages are not kept waiting."""
    return await to_thread.run_sync(lambda: work(*args, **named))


def units_of(request: Request) -> str:
    """The visitor's units, US or metric: chosen at the foot of a page, or else the house's own."""
    chosen = request.cookies.get("units", "")
    if chosen in UNITS:
        return chosen
    if not hasattr(request.state, "house_units"):
        request.state.house_units = settings(desk_of(request).workspace).units
    return str(request.state.house_units)


async def on_paper(request: Request, work: Callable[P, T], *args: P.args, **named: P.kwargs) -> T:
    """Make a paper in a thread, in the visitor's language."""
    language = language_of(request)
    speaker = desk_of(request).speaker(language)

    def told_so() -> T:
        with telling(language, speaker):
            return work(*args, **named)

    return await off_loop(told_so)


def ink_of(request: Request) -> str:
    """The visitor's ink: as the device, paper or blueprint."""
    chosen = request.cookies.get("ink", "auto")
    return chosen if chosen in INKS else "auto"


def page(request: Request, template: str, status: int = 200, **given: Any) -> Response:
    """A page, or a part of one, from its template."""
    desk = desk_of(request)
    text = desk.templates.get_template(template).render(
        path=request.url.path,
        query=str(request.url.query),
        token=token_for(desk.key, request),
        units=units_of(request),
        ink=ink_of(request),
        language=language_of(request),
        languages=LANGUAGES,
        bare_keys=request.cookies.get("keys", "on") != "off",
        asker=asker_of(request),
        may=partial(may, asker_of(request).role),
        **given,
    )
    response = drawn_page(request, text, status)
    response.headers["vary"] = "HX-Request, Accept-Language"
    remember(request, response)
    return response


def drawn_page(request: Request, text: str, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """What was drawn, in the visitor's language."""
    language = language_of(request)
    return HTMLResponse(told(text, desk_of(request).speaker(language), language), status, headers)


def is_part(request: Request) -> bool:
    """Whether a part of a page is asked for by the page's own script."""
    return request.headers.get("hx-request") == "true"


async def form_of(request: Request, most: int = FIELDS_MOST) -> Mapping[str, str]:
    """The fields of a form that this browser was handed; 403 where it was not."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        raise HTTPException(415, "A form is expected.")
    form: FormData = await request.form(max_fields=most)
    given = {name: value for name, value in form.items() if isinstance(value, str)}
    token_holds(request, given.pop("token", ""))
    return given


def token_holds(request: Request, token: str) -> None:
    """403 where a form was not handed out to the browser that sends it."""
    if not token_is_good(desk_of(request).key, request, token):
        raise HTTPException(403, "This form was not handed out to this browser, or its cookie is gone.")


def number_in(request: Request) -> int:
    """The number in a page's address."""
    number: int = request.path_params["number"]
    if number >= 2**31:
        raise HTTPException(404, "There is no such number.")
    return number
