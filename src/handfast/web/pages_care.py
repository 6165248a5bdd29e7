"""After the sale: a comeback from tag to replacement, the order as a page to print, kits as built."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from math import nan
from typing import Any

from pydantic import ValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.advice.comeback import PAYERS, SAFETY, Look, Symptom, symptom_of, symptoms, who_pays
from handfast.counter import aftercare
from handfast.counter.aftercare import Came, Kit
from handfast.machines.faults import Faults
from handfast.quantities.amounts import QuantityError
from handfast.quantities.reading import read_quantity
from handfast.store.tables import ORDER_STATES
from handfast.web.desk import desk_of, form_of, number_in, off_loop, page, units_of
from handfast.web.form import sentence
from handfast.web.pages_inquiry import when

BARE = re.compile(r"\s*\d+([.,]\d+)?\s*")
UNIT = {"us": "in", "metric": "mm"}
MOST_WORDS = 500
Faulty = dict[str, str]


async def comebacks_page(request: Request) -> Response:
    """What came back, what is on order, and the line that takes the next tag."""
    return await _comebacks(request, 200, "", {})


async def _comebacks(request: Request, status: int, tag: str, faults: Faulty) -> Response:
    workspace = desk_of(request).workspace
    came = [_told(row) for row in await off_loop(aftercare.comebacks, workspace)]
    orders = [_told(row) for row in await off_loop(aftercare.orders, workspace)]
    return page(
        request,
        "comebacks.html",
        status,
        came=came,
        orders=orders,
        tag=tag,
        faults=faults,
        safety=SAFETY,
        payers=PAYERS,
    )


def _told(row: Any) -> dict[str, Any]:
    """A row with its record read and its day."""
    return {"row": row, "kept": json.loads(row.record), "when": when(row.created)}


async def new_comeback_page(request: Request) -> Response:
    """The next step of a comeback: what the caller says, then what to look at."""
    tag, symptom = (request.query_params.get(name, "").strip()[:40] for name in ("tag", "symptom"))
    return await _step(request, tag, symptom, {}, {})


async def _step(request: Request, tag: str, symptom: str, given: Mapping[str, str], faults: Faulty) -> Response:
    try:
        number, hose = aftercare.named(tag)
        kit = await off_loop(aftercare.kit_of, desk_of(request).workspace, number)
        if hose and hose not in {one.tag for one in kit.numbers}:
            known = ", ".join(one.tag for one in kit.numbers) or "none"
            return await _comebacks(request, 422, tag, {"tag": f"Quote {number} has no {hose}. Its hoses: {known}."})
    except Faults as error:
        return await _comebacks(request, 422, tag, {"tag": sentence(error.faults[0])})
    except KeyError:
        return await _comebacks(request, 422, tag, {"tag": "There is no quote of that number."})
    about: dict[str, Any] = {"tag": tag, "number": number, "hose": hose, "kit": kit, "safety": SAFETY}
    if not symptom:
        return page(request, "comeback_says.html", symptoms=symptoms(), **about)
    try:
        said = symptom_of(symptom)
    except KeyError:
        raise HTTPException(404, "There is no such symptom.") from None
    status = 422 if faults else 200
    return page(request, "comeback_look.html", status, faults=faults, **about, **_look(kit, hose, said, given, request))


def _look(kit: Kit, hose: str, said: Symptom, given: Mapping[str, str], request: Request) -> dict[str, Any]:
    """What the page of looks shows."""
    here = next((one for one in kit.hoses if one.tag == hose), None)
    return {
        "said": said,
        "looks": [(one, who_pays(one.cause, kit.owner_fitted)) for one in said.looks],
        "here": here,
        "picks": kit.hoses if said.about_hose else (),
        "unit": UNIT[units_of(request)],
        "given": given,
        "measures": any(one.remedy == "longer" for one in said.looks),
        "sorts": any(one.remedy not in ("longer", "none") for one in said.looks),
    }


def _length(text: str, units: str, name: str, faults: Faulty) -> float:
    """A length as written; a bare number is in the unit that the field names."""
    said = f"{text} {UNIT[units]}" if BARE.fullmatch(text) else text
    try:
        found = read_quantity(said, "length")
    except QuantityError as error:
        faults[name] = f"Found {error.found}; expected {error.expected}."
        return nan
    if not found.is_unknown and not 0.0 < found.value < 20.0:
        faults[name] = f'Found "{text[:40]}"; expected a length of a hose, under 20 m.'
    return float(found.value)


async def take_comeback(request: Request) -> Response:
    """Take a comeback; what it needs is ordered at once."""
    given = await form_of(request)
    tag, symptom, units = given.get("tag", "")[:40], given.get("symptom", ""), units_of(request)
    faults: Faulty = {}
    try:
        number, named = aftercare.named(tag)
        look = symptom_of(symptom).look(given.get("look", ""))
    except (Faults, KeyError):
        return await _step(request, tag, symptom, given, {"look": "Say which of these it is."})
    hose = named or given.get("hose", "")
    came = _came(given, look, hose, units, faults)
    if faults:
        return await _step(request, tag, symptom, given, faults)
    done = await off_loop(aftercare.come_back, desk_of(request).workspace, number, hose, symptom, came)
    return RedirectResponse(f"/comebacks/{done[0]}" if done[1] is None else f"/orders/{done[1]}", 303)


def _came(given: Mapping[str, str], look: Look, hose: str, units: str, faults: Faulty) -> Came:
    fitted = missing = nan
    if look.remedy == "longer":
        if not hose:
            faults["hose"] = "Say which hose it is: the number stands on its tag."
        fitted = _length(given.get("fitted", ""), units, "fitted", faults) if given.get("fitted", "").strip() else nan
        if not given.get("missing", "").strip():
            faults["missing"] = "Measure how much is missing at the worst pose, the hose pulled straight by hand."
        else:
            missing = _length(given["missing"], units, "missing", faults)
    words = [given.get(name, "").strip()[:MOST_WORDS] for name in ("what", "notes")]
    return Came(look.id, fitted, missing, *words)


async def comeback_page(request: Request) -> Response:
    """One comeback: what was found, what was done, who pays."""
    workspace, number = desk_of(request).workspace, number_in(request)
    row = await off_loop(aftercare.comeback, workspace, number)
    orders = [_told(one) for one in await off_loop(aftercare.orders, workspace) if one.comeback == number]
    return page(request, "comeback.html", told=_told(row), orders=orders, safety=SAFETY, payers=PAYERS)


async def order_page(request: Request) -> Response:
    """A replacement order to print."""
    workspace = desk_of(request).workspace
    row = await off_loop(aftercare.order, workspace, number_in(request))
    back = await off_loop(aftercare.comeback, workspace, row.comeback)
    return page(
        request, "order.html", told=_told(row), back=_told(back), states=ORDER_STATES, safety=SAFETY, payers=PAYERS
    )


async def move_order(request: Request) -> Response:
    """Move a replacement order along."""
    given, number = await form_of(request), number_in(request)
    if given.get("state") not in ORDER_STATES:
        raise HTTPException(422, f"An order is one of {', '.join(ORDER_STATES)}.")
    await off_loop(aftercare.move_order, desk_of(request).workspace, number, given["state"])
    return RedirectResponse(f"/orders/{number}", 303)


async def as_built_page(request: Request) -> Response:
    """What the install sheet says of a quote's kit, to be written down."""
    return await _as_built(request, {}, {})


async def _as_built(request: Request, given: Mapping[str, str], faults: Faulty) -> Response:
    kit = await off_loop(aftercare.kit_of, desk_of(request).workspace, number_in(request))
    unit = UNIT[units_of(request)]
    return page(
        request, "as_built.html", 422 if faults else 200, kit=kit, number=kit.quote.number, given=given, faults=faults,
        unit=unit, today=aftercare.today(), safety=SAFETY, payers=PAYERS,
    )  # fmt: skip


async def take_as_built(request: Request) -> Response:
    """Keep what the install sheet says."""
    given, number, units = await form_of(request), number_in(request), units_of(request)
    workspace, faults = desk_of(request).workspace, dict[str, str]()
    kit = await off_loop(aftercare.kit_of, workspace, number)
    hoses = {}
    for one in kit.hoses:
        text = given.get(f"length-{one.tag}", "").strip()
        long = _length(text, units, f"length-{one.tag}", faults) if text else nan
        hoses[one.tag] = {
            "length": None if long != long else long,
            "routing": given.get(f"routing-{one.tag}", "").strip(),
        }
    words = {name: given.get(name, "").strip()[:MOST_WORDS] for name in ("made", "serial", "relief", "hours", "notes")}
    if not re.fullmatch(r"(\d{4}-\d{2}-\d{2})?", words["made"]):
        faults["made"] = f'Found "{words["made"][:20]}"; expected a day such as {aftercare.today()}.'
    if not faults:
        try:
            await off_loop(aftercare.keep_as_built, workspace, number, {**words, "hoses": hoses})
        except ValidationError as error:
            faults |= {str(one["loc"][0]): f"{one['msg']}." for one in error.errors()}
        except Faults as error:
            faults["machine"] = sentence(error.faults[0])
    if faults:
        return await _as_built(request, given, faults)
    return RedirectResponse(f"/quotes/{number}/as-built", 303)
