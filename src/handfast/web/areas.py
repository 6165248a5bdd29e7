"""Which area every address belongs to: the one table that says who may come to it and do what it does."""

from __future__ import annotations

from typing import Final

OPEN: Final = "open"  # for everybody, without a login: what the customer's secret opens, the login page, the styles
OWNERS: Final = "people"  # what is not in the table is for owners alone, until it is put in

AT = "/inquiries/{number:int}"
OUTFIT = AT + "/outfits/{outfit}"
QUOTE = "/quotes/{number:int}"

LOOK: Final = {
    "read": (
        "/", "/inquiries/new", AT, AT + "/edit", AT + "/first", AT + "/json", AT + "/measure", AT + "/history",
        AT + "/questions", AT + "/questions.html", AT + "/questions/sheet", AT + "/paste", "/inquiries/paste", "/calls",
        AT + "/side-by-side", OUTFIT, OUTFIT + "/drawing", OUTFIT + "/depth", OUTFIT + "/json", OUTFIT + "/{kind}.pdf",
        "/quotes", QUOTE + ".pdf", QUOTE, QUOTE + "/{kind}.pdf", QUOTE + "/as-built", "/comebacks", "/comebacks/new",
        "/comebacks/{number:int}", "/orders/{number:int}", "/calibration", "/shelf", "/shelf/{folder}/{id}",
        "/shelf/machines/{id}/photo", "/shelf/machines/{id}/photo/{number:int}", "/glossary", "/reckoning",
        "/reckoning/thread", "/reckoning/{chapter}", "/about", "/health", "/me", "/api",
    ),
    "shelf": ("/shelf/{folder}/new", "/shelf/{folder}/{id}/edit"),
    "costs": ("/shelf/price-book", "/shelf/prices", "/numbers"),
    "prices": ("/shelf/price-book/edit", "/lists", "/lists/{number:int}", "/lists/templates/{kind}.{form}"),
    "move": ("/lists/everything/{way}",),
    "settings": ("/settings",),
    "people": ("/people",),
    "quote": (QUOTE + "/anew",),
    OPEN: ("/a/{secret}", "/a/offer/{secret}", "/login"),
}  # fmt: skip
"""Pages and papers: what a GET shows."""

DO: Final = {
    "read": ("/logout", "/me", "/reckoning/{chapter}"),
    "inquire": (
        "/inquiries", AT, AT + "/facts", AT + "/state", AT + "/measure", AT + "/measure/{place:int}", "/calls",
        AT + "/hold", AT + "/resume", AT + "/ring-off", AT + "/undo", AT + "/redo", AT + "/cannot-say",
        AT + "/promises", "/promises/{number:int}/done", AT + "/questions", AT + "/paste", "/inquiries/paste",
    ),
    "quote": (OUTFIT + "/quote", QUOTE, QUOTE + "/anew"),
    "care": (
        QUOTE + "/as-built", QUOTE + "/outcome", QUOTE + "/state", "/comebacks", "/orders/{number:int}/state",
    ),
    "shelf": (
        "/shelf/{folder}/new", "/shelf/{folder}/{id}", "/shelf/{folder}/{id}/edit", "/shelf/machines/{id}/photo",
        "/shelf/machines/{id}/photo/marks",
    ),
    "prices": ("/shelf/price-book/edit", "/lists", "/lists/{number:int}"),
    "settings": ("/settings/house",),
    "people": ("/people", "/people/{number:int}"),
    OPEN: ("/a/{secret}", "/a/offer/{secret}", "/login", "/settings"),
}  # fmt: skip
"""Verbs: what a POST does. `/settings` sets how one's own browser looks; `/reckoning` stores nothing."""

TABLE: Final = {
    **{("GET", path): area for area, paths in LOOK.items() for path in paths},
    **{("POST", path): area for area, paths in DO.items() for path in paths},
}


def area_of(method: str, pattern: str) -> str:
    """The area of a method at an address pattern.

    >>> area_of("HEAD", "/shelf"), area_of("POST", "/lists"), area_of("DELETE", "/shelf")
    ('read', 'prices', 'people')
    """
    return TABLE.get(("GET" if method == "HEAD" else method, pattern), OWNERS)
