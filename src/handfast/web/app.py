"""The pages as one application: routes, faults turned into pages, static files."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from handfast.counter.verbs import Workspace, open_workspace
from handfast.machines.faults import Faults
from handfast.web import (
    pages_call,
    pages_calls,
    pages_care,
    pages_depth,
    pages_inquiry,
    pages_measure,
    pages_other,
    pages_outcome,
    pages_outfit,
    pages_papers,
    pages_questions,
    pages_reckoning,
    pages_record,
    pages_settings,
    pages_shelf,
    pages_thread,
)
from handfast.web.desk import HERE, Desk, page, templates
from handfast.web.guard import LIMIT, Guard, Hosts, TooLargeError, key_of
from handfast.web.kept import kept
from handfast.web.pages_questions import outside

HOSTS = ("127.0.0.1", "localhost", "[::1]")  # names under which the pages answer: no other site can borrow them


class Static(StaticFiles):
    """Static files; an address with a stamp of the content can be kept for ever."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, with how long it may be kept."""
        response = await super().get_response(path, scope)
        if scope["query_string"]:
            response.headers["cache-control"] = "public, max-age=31536000, immutable"
        else:
            response.headers["cache-control"] = "no-cache"
        return response


def create_app(home: Path, hosts: tuple[str, ...] = HOSTS) -> Starlette:
    """The pages on the workspace in a folder.

    Args:
        home: the workspace folder; made when missing.
        hosts: host names under which the pages answer.

    Returns:
        The application.
    """
    return make_app(open_workspace(home), hosts)


def make_app(workspace: Workspace, hosts: tuple[str, ...] = HOSTS) -> Starlette:
    """The pages on an open workspace.

    Args:
        workspace: as `handfast.counter.verbs.open_workspace` gives it.
        hosts: host names under which the pages answer.

    Returns:
        The application.
    """
    guards = [
        Middleware(Hosts, own=hosts, outside=partial(outside, workspace)),
        Middleware(Guard),
        Middleware(GZipMiddleware, minimum_size=700, compresslevel=6),
    ]
    faults = {
        HTTPException: said,
        KeyError: not_there,
        Faults: contradicted,
        TooLargeError: too_large,
        Exception: failed,
    }
    app = Starlette(routes=routes(), middleware=guards, exception_handlers=faults)  # type: ignore[arg-type]
    app.state.desk = Desk(workspace, key_of(workspace.home), templates())
    return app


def _calls() -> list[Route]:
    """Every address of a call and its outfits."""
    at = "/inquiries/{number:int}"
    outfit = at + "/outfits/{outfit}"
    return [
        Route("/", kept(pages_inquiry.inquiries_page)),
        Route("/inquiries/new", kept(pages_inquiry.new_page)),
        Route("/inquiries", pages_inquiry.take, methods=["POST"]),
        Route(at, kept(pages_call.call_page)),
        Route(at, pages_inquiry.take, methods=["POST"]),
        Route(at + "/edit", kept(pages_inquiry.edit_page)),
        Route(at + "/first", pages_inquiry.first_answer_part),
        Route(at + "/facts", pages_call.change_facts, methods=["POST"]),
        Route(at + "/state", pages_call.change_state, methods=["POST"]),
        Route(at + "/json", pages_call.call_json),
        Route(at + "/measure", kept(pages_measure.measure_page)),
        Route(at + "/measure", pages_measure.take_measurement, methods=["POST"]),
        Route(at + "/measure/{place:int}", pages_measure.change_measurement, methods=["POST"]),
        Route(at + "/questions", pages_questions.questions_page),
        Route(at + "/questions", pages_questions.act, methods=["POST"]),
        Route(at + "/questions.html", pages_questions.questions_file),
        Route(at + "/questions/sheet", pages_questions.questions_sheet),
        Route("/a/{secret}", pages_questions.customer_page),
        Route("/a/{secret}", pages_questions.customer_answers, methods=["POST"]),
        *pages_calls.call_routes(),
        Route(outfit, kept(pages_outfit.outfit_page)),
        Route(outfit + "/drawing", pages_outfit.drawing_part),
        Route(outfit + "/depth", kept(pages_depth.depth_part)),
        Route(outfit + "/json", pages_outfit.outfit_json),
        Route(outfit + "/{kind}.pdf", pages_papers.outfit_paper),
        Route(outfit + "/quote", pages_outfit.make_quote, methods=["POST"]),
    ]


def routes() -> list[Route | Mount]:
    """Every address."""
    return [
        *_calls(),
        Route("/quotes", kept(pages_other.quotes_page)),
        Route("/quotes/{number:int}.pdf", pages_other.quote_pdf),
        Route("/quotes/{number:int}", kept(pages_other.quote_page)),
        Route("/quotes/{number:int}/{kind}.pdf", pages_papers.quote_paper),
        Route("/quotes/{number:int}/as-built", kept(pages_care.as_built_page)),
        Route("/quotes/{number:int}/as-built", pages_care.take_as_built, methods=["POST"]),
        Route("/comebacks", kept(pages_care.comebacks_page)),
        Route("/comebacks", pages_care.take_comeback, methods=["POST"]),
        Route("/comebacks/new", kept(pages_care.new_comeback_page)),
        Route("/comebacks/{number:int}", kept(pages_care.comeback_page)),
        Route("/orders/{number:int}", kept(pages_care.order_page)),
        Route("/orders/{number:int}/state", pages_care.move_order, methods=["POST"]),
        Route("/quotes/{number:int}/outcome", pages_outcome.say_outcome, methods=["POST"]),
        Route("/calibration", kept(pages_outcome.calibration_page)),
        *shelf_routes(),
        Route("/reckoning", kept(pages_reckoning.reckoning_index)),
        Route("/reckoning/thread", kept(pages_thread.thread_page)),
        Route("/reckoning/{chapter}", kept(pages_reckoning.chapter_page)),
        Route("/reckoning/{chapter}", pages_reckoning.chapter_answer, methods=["POST"]),
        Route("/about", kept(pages_other.about_page)),
        Route("/settings", pages_settings.look, methods=["POST"]),
        Route("/health", pages_other.health),
        Mount("/static", Static(directory=HERE / "static")),
    ]


def shelf_routes() -> list[Route]:
    """The addresses of the shelf and of the settings."""
    return [
        Route("/shelf", kept(pages_shelf.shelf_page)),
        Route("/shelf/price-book", kept(pages_shelf.record_page)),
        Route("/shelf/price-book/edit", kept(pages_record.edit_page)),
        Route("/shelf/price-book/edit", pages_record.take, methods=["POST"]),
        Route("/shelf/{folder}/new", kept(pages_record.edit_page)),
        Route("/shelf/{folder}/new", pages_record.take, methods=["POST"]),
        Route("/shelf/{folder}/{id}", kept(pages_shelf.record_page)),
        Route("/shelf/{folder}/{id}", pages_shelf.retire, methods=["POST"]),
        Route("/shelf/{folder}/{id}/edit", kept(pages_record.edit_page)),
        Route("/shelf/{folder}/{id}/edit", pages_record.take, methods=["POST"]),
        Route("/settings", kept(pages_settings.settings_page)),
        Route("/settings/house", pages_settings.take, methods=["POST"]),
        Route("/glossary", kept(pages_settings.glossary_page)),
    ]


TITLES = {403: "Not taken", 404: "Not here", 405: "Not that way", 413: "Too large", 415: "Not taken", 422: "Not taken"}


async def said(request: Request, error: HTTPException) -> Response:
    """A refusal as a page."""
    words = error.detail if error.status_code not in (404, 405) else "There is nothing at this address."
    return page(request, "error.html", error.status_code, title=TITLES.get(error.status_code, "Not taken"), said=words)


async def not_there(request: Request, _error: KeyError) -> Response:
    """No such inquiry, outfit or quote."""
    words = "There is no such inquiry, outfit or quote. An outfit's address changes when what was asked changes."
    return page(request, "error.html", 404, title="Not here", said=words)


async def contradicted(request: Request, faults: Faults) -> Response:
    """Facts that can't all be true, as a page."""
    return page(request, "error.html", 422, title="Not taken", said=" ".join(map(str, faults.faults)))


async def too_large(request: Request, _error: TooLargeError) -> Response:
    """A body that no form needs."""
    words = f"More than {LIMIT // 1_000_000} MB came in one go. Nothing was stored."
    return page(request, "error.html", 413, title="Too large", said=words)


async def failed(request: Request, _error: Exception) -> Response:
    """Our own failure: said plainly; what it was stands in the log."""
    words = "Handfast failed at this page. What was stored is still there; the log says what happened."
    return page(request, "error.html", 500, title="Failed", said=words)
