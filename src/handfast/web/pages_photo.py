"""Side photo: a photo or drawing of a loader, its pins marked, the linkage that follows, kept on the machine."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.counter import photos, shelving
from handfast.counter.picture_head import PictureError
from handfast.machines.faults import Fault, Faults
from handfast.machines.tractor import Machine
from handfast.quantities.showing import show
from handfast.reckoning.from_photo import Found, halves_by_source, pins_on
from handfast.reckoning.photo_lift import lift_gaps, photo_lift
from handfast.store.photo_rows import PhotoRow
from handfast.web.desk import Desk, desk_of, form_of, number_in, off_loop, page, token_holds, units_of
from handfast.web.photo_marks import LINES, NAMES, fields_of, marks_of, sighting_of

AT = "/shelf/machines/{id}/photo"
FIELDS = {
    "known": "Known distance",
    "marking": "How well a mark is set",
    "away": "Camera to tractor",
    "out_of_plane": "Pins nearer or further",
    "askew": "Camera not square",
}
PLACES = {name: title for name, (title, _) in NAMES.items()} | FIELDS
ERRORS = {"marking": "setting the marks", "scale": "the known distance", "camera": "the camera"}


@dataclass(frozen=True)
class Told:
    """What a page says beside the photo: faults, and what was stored just now."""

    faults: tuple[Fault, ...] = ()
    kept: bool = False
    status: int = 200


def routes() -> list[Route]:
    """Addresses of these pages."""
    return [
        Route(AT, photo_page),
        Route(AT, bring, methods=["POST"]),
        Route(AT + "/marks", take_marks, methods=["POST"]),
        Route(AT + "/{number:int}", picture),
    ]


def _key(request: Request) -> str:
    return str(request.path_params["id"])


def _at(key: str) -> str:
    return f"/shelf/machines/{quote(key, safe='')}/photo"


async def photo_page(request: Request) -> Response:
    """A machine's newest photo with its marks, or the way to bring one."""
    kept = request.query_params.get("kept") == "1"
    given = await off_loop(_context, desk_of(request), _key(request), units_of(request), None, Told(kept=kept))
    return page(request, "photo.html", **given)


async def bring(request: Request) -> Response:
    """Take a photo in; its type and size are read from its own bytes."""
    desk, key = desk_of(request), _key(request)
    form = await request.form(max_files=1, max_fields=4)
    token_holds(request, str(form.get("token", "")))
    file, fault = form.get("file"), "Choose a file: a JPEG or PNG."
    if isinstance(file, UploadFile) and file.filename:
        name = file.filename.replace("\\", "/").rsplit("/", 1)[-1]
        try:
            await off_loop(photos.keep_photo, desk.workspace, key, name, await file.read())
            return RedirectResponse(_at(key), 303)
        except PictureError as error:
            fault = str(error)
    given = await off_loop(_context, desk, key, units_of(request), None, Told())
    return page(request, "photo.html", 422, **{**given, "file_fault": fault})


async def picture(request: Request) -> Response:
    """A photo as it came, as nothing but the type that its bytes are."""
    desk, key, number = desk_of(request), _key(request), number_in(request)
    kind, data = await off_loop(photos.photo_file, desk.workspace, key, number)
    headers = {
        "content-security-policy": "default-src 'none'; sandbox",
        "content-disposition": "inline",
        "cache-control": "private, max-age=31536000, immutable",
    }
    return Response(data, media_type=kind, headers=headers)


async def take_marks(request: Request) -> Response:
    """Keep the marks and reckon; put the pins on the machine where that is asked."""
    desk, key, given = desk_of(request), _key(request), dict(await form_of(request))
    act, version = given.pop("act", "reckon"), given.pop("version", "")
    number = given.pop("photo", "")
    if not (number.isascii() and number.isdigit() and len(number) < 18):
        raise HTTPException(404)
    told = await off_loop(_take, desk, key, int(number), given, version if act == "keep" else None)
    if told.kept:
        return RedirectResponse(_at(key) + "?kept=1", 303)
    shown = await off_loop(_context, desk, key, units_of(request), given, told)
    return page(request, "photo.html", told.status, **shown)


def _take(desk: Desk, key: str, number: int, given: dict[str, str], version: str | None) -> Told:
    row = photos.photo_of(desk.workspace, key)
    if row is None or row.number != number:
        raise HTTPException(409, "A newer photo of this machine came in since; open the page again.")
    fields = fields_of(given, row)
    photos.mark_photo(desk.workspace, key, number, fields)
    try:
        found = pins_on(sighting_of(fields, row))
        if version is not None:
            photos.put_pins(desk.workspace, key, found, int(version) if version.isascii() and version.isdigit() else 0)
    except Faults as error:
        return Told(tuple(error.faults), status=422)
    except shelving.StaleError:
        where = "the machine's record"
        return Told((Fault("photo", 0, where, "a change by somebody else meanwhile", "a second look"),), status=409)
    return Told(kept=version is not None)


def _context(desk: Desk, key: str, system: str, given: dict[str, str] | None, told: Told) -> dict[str, Any]:
    record = shelving.record(desk.workspace, photos.MACHINE, key)
    machine = Machine.model_validate_json(record.record)
    row = photos.photo_of(desk.workspace, key)
    base = {
        "title": machine.name or key,
        "back": f"/shelf/machines/{quote(key, safe='')}",
        "here": _at(key),
        "version": record.version,
        "row": row,
        "told": told,
        "faults": [(one.place, PLACES.get(one.place, one.place), one) for one in told.faults],
        "file_fault": "",
    }
    return base if row is None else {**base, **_marked(machine, row, system, given, told)}


def _marked(machine: Machine, row: PhotoRow, system: str, given: dict[str, str] | None, told: Told) -> dict[str, Any]:
    """The marks, and what follows from them."""
    stored = json.loads(row.marks)
    fields = fields_of(stored if given is None else given, row)
    found, result = None, None
    if stored or given:
        try:
            seen = sighting_of(fields, row)
            found = pins_on(seen)
            result = _result(machine, found, halves_by_source(seen), system)
        except Faults:
            found = None  # the form is unfinished; its own faults are told where it was sent
    groups = marks_of(fields, found)
    at = {mark.name: mark for _, marks in groups for mark in marks if mark.placed}
    return {"fields": fields, "groups": groups, "at": at, "lines": LINES, "result": result, "labels": FIELDS}


def _result(machine: Machine, found: Found, alone: dict[str, float], system: str) -> dict[str, Any]:
    across, up = found.half_widths()
    pins = [
        (NAMES[name][0], _figures(found.places[i].real, across[i], "length", system),
         _figures(found.places[i].imag, up[i], "length", system))
        for i, name in enumerate(found.names)
    ]  # fmt: skip
    missing = lift_gaps(machine, found)
    rows = [] if missing else photo_lift(machine, found)
    lifts = [
        (_figures(one.height, one.height_half, "length", system), _figures(one.at_pin, one.at_pin_half, "mass", system),
         _figures(one.at_500, one.at_500_half, "mass", system))
        for one in reversed(rows)
    ]  # fmt: skip
    errors = [(ERRORS[name], _figure(half, "length", system)) for name, half in alone.items()]
    return {"pins": pins, "lifts": lifts, "missing": missing, "errors": errors}


def _figure(value: float, dimension: str, system: str) -> str:
    if dimension == "length":
        return show(value, "length", system, 1 if system == "us" else 0)
    return show(value, dimension, system)


def _figures(value: float, half: float, dimension: str, system: str) -> tuple[str, str]:
    """A figure and what it is within; not known where either is not."""
    if value != value or half != half:
        return "not known", ""
    return _figure(float(value), dimension, system), _figure(float(half), dimension, system)
