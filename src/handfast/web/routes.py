"""Every address of the pages, by what it belongs to."""

from __future__ import annotations

from starlette.routing import Route

from handfast.web import (
    pages_api,
    pages_call,
    pages_calls,
    pages_care,
    pages_depth,
    pages_export,
    pages_inquiry,
    pages_lists,
    pages_mail,
    pages_measure,
    pages_numbers,
    pages_offer,
    pages_other,
    pages_outcome,
    pages_outfit,
    pages_papers,
    pages_people,
    pages_photo,
    pages_prices,
    pages_questions,
    pages_quotes,
    pages_reckoning,
    pages_record,
    pages_settings,
    pages_shelf,
    pages_side,
    pages_thread,
)
from handfast.web.api import api_routes
from handfast.web.kept import kept

AT = "/inquiries/{number:int}"
OUTFIT = AT + "/outfits/{outfit}"


def _calls() -> list[Route]:
    """An inquiry's addresses."""
    return [
        Route("/", kept(pages_inquiry.inquiries_page)),
        Route("/inquiries/new", kept(pages_inquiry.new_page)),
        Route("/inquiries", pages_inquiry.take, methods=["POST"]),
        Route(AT, kept(pages_call.call_page)),
        Route(AT, pages_inquiry.take, methods=["POST"]),
        Route(AT + "/edit", kept(pages_inquiry.edit_page)),
        Route(AT + "/first", pages_inquiry.first_answer_part),
        Route(AT + "/facts", pages_call.change_facts, methods=["POST"]),
        Route(AT + "/state", pages_call.change_state, methods=["POST"]),
        Route(AT + "/json", pages_call.call_json),
        Route(AT + "/measure", kept(pages_measure.measure_page)),
        Route(AT + "/measure", pages_measure.take_measurement, methods=["POST"]),
        Route(AT + "/measure/{place:int}", pages_measure.change_measurement, methods=["POST"]),
    ]


def _questions() -> list[Route]:
    """Questions that go out, and the customer's page behind a private link."""
    return [
        Route(AT + "/questions", pages_questions.questions_page),
        Route(AT + "/questions", pages_questions.act, methods=["POST"]),
        Route(AT + "/questions.html", pages_questions.questions_file),
        Route(AT + "/questions/sheet", pages_questions.questions_sheet),
        Route("/a/{secret}", pages_questions.customer_page),
        Route("/a/{secret}", pages_questions.customer_answers, methods=["POST"]),
    ]


def _outfits() -> list[Route]:
    """An outfit's addresses."""
    return [
        Route(AT + "/side-by-side", kept(pages_side.side_page)),
        Route(OUTFIT, kept(pages_outfit.outfit_page)),
        Route(OUTFIT + "/drawing", pages_outfit.drawing_part),
        Route(OUTFIT + "/depth", kept(pages_depth.depth_part)),
        Route(OUTFIT + "/json", pages_outfit.outfit_json),
        Route(OUTFIT + "/{kind}.pdf", pages_papers.outfit_paper),
        Route(OUTFIT + "/quote", pages_outfit.make_quote, methods=["POST"]),
    ]


def _quotes() -> list[Route]:
    """Quotes, what comes after the sale."""
    return [
        *pages_quotes.quote_routes(),
        *pages_offer.offer_routes(),
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
        Route("/numbers", kept(pages_numbers.numbers_page)),
    ]


def _shelf() -> list[Route]:
    """The shelf, its lists, the settings."""
    return [
        Route("/settings", pages_settings.look, methods=["POST"]),
        Route("/shelf", kept(pages_shelf.shelf_page)),
        Route("/shelf/price-book", kept(pages_shelf.record_page)),
        Route("/shelf/prices", kept(pages_prices.prices_page)),
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
        Route("/lists", pages_lists.lists_page),
        Route("/lists", pages_lists.bring, methods=["POST"]),
        Route("/lists/{number:int}", pages_lists.list_page),
        Route("/lists/{number:int}", pages_lists.act, methods=["POST"]),
    ]


def _reckoning() -> list[Route]:
    """Single chapters, and the rest."""
    return [
        Route("/reckoning", kept(pages_reckoning.reckoning_index)),
        Route("/reckoning/thread", kept(pages_thread.thread_page)),
        Route("/reckoning/{chapter}", kept(pages_reckoning.chapter_page)),
        Route("/reckoning/{chapter}", pages_reckoning.chapter_answer, methods=["POST"]),
        Route("/about", kept(pages_other.about_page)),
        Route("/health", pages_other.health),
    ]


def routes() -> list[Route]:
    """Every address."""
    return [
        *_calls(),
        *pages_calls.call_routes(),
        *_questions(),
        *pages_mail.routes(AT),
        *_outfits(),
        *_quotes(),
        *pages_photo.routes(),
        *pages_people.routes(),
        *pages_export.routes(),
        *_shelf(),
        *_reckoning(),
        *pages_api.routes(),
        *api_routes(),
    ]
