"""Files that go out: everything as sheets, JSON or an archive; templates to fill in."""

from __future__ import annotations

import json
from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from handfast.counter import exporting, moving
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace
from handfast.lists.grid import ListError
from handfast.lists.templates import FORMATS, KINDS
from handfast.web.desk import desk_of, off_loop, page, units_of

SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
TYPES = {"xlsx": SHEET, "csv": "text/csv; charset=utf-8", "zip": "application/zip", "json": "application/json"}


def _json(workspace: Workspace, _system: str) -> bytes:
    return json.dumps(counter.export(workspace), ensure_ascii=False, allow_nan=False, indent=1).encode()


def _archive(workspace: Workspace, _system: str) -> bytes:
    return moving.pack(workspace)


WAYS: dict[str, tuple[str, Callable[[Workspace, str], bytes]]] = {
    "workbook": ("handfast.xlsx", exporting.export_xlsx),
    "text": ("handfast-csv.zip", exporting.export_csv_packed),
    "json": ("handfast.json", _json),
    "archive": ("handfast-archive.zip", _archive),
}


def download(name: str, data: bytes) -> Response:
    """A file to be kept."""
    kind = TYPES[name.rpartition(".")[2]]
    return Response(data, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})


async def everything(request: Request) -> Response:
    """The whole workspace as a file."""
    way = WAYS.get(request.path_params["way"])
    if way is None:
        raise HTTPException(404, "There is no such file.")
    try:
        data = await off_loop(way[1], desk_of(request).workspace, units_of(request))
    except ListError as error:
        return page(request, "error.html", 422, title="Not done", said=str(error))
    return download(way[0], data)


async def template(request: Request) -> Response:
    """A template to fill in."""
    kind, form = request.path_params["kind"], request.path_params["form"]
    if kind not in KINDS or form not in FORMATS:
        raise HTTPException(404, "There is no such template.")
    made = await off_loop(exporting.template_for, desk_of(request).workspace, kind, form, units_of(request))
    return download(f"{kind}.{form}", made)


def routes() -> list[Route]:
    """The addresses of files that go out."""
    return [
        Route("/lists/everything/{way}", everything),
        Route("/lists/templates/{kind}.{form}", template),
    ]
