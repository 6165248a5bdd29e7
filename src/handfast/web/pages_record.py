"""A record's form: add, edit, copy; as fields and as text; what two people write at once is never lost."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import BaseModel
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import shelving
from handfast.counter import verbs as counter
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import Record
from handfast.machines.reading import read_data, read_model
from handfast.store.record_rows import RecordRow
from handfast.store.shelf_records import THE_ONE
from handfast.web.costs_out import blocks_without_costs, costs_kept, is_cost, without_costs
from handfast.web.desk import UNITS, Desk, desk_of, form_of, may_here, off_loop, page, units_of
from handfast.web.pages_shelf import Folder, folder_of, key_of, title_of
from handfast.web.record_fields import blocks
from handfast.web.record_form import HOW, MORE, Form, cleaned, data_from, form_of_record, values_of, with_faults
from handfast.web.record_text import text_of_record
from handfast.web.record_view import Difference, differences

FIELDS = 4000  # a price book's form has two for each rate
ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
TAKEN = ("new",)
ACTS = ("token", "version", "units", "act", "toml", "as")


@dataclass(frozen=True)
class Sent:
    """What came back of a form: the record as it was when it was drawn, and what stands in it now."""

    folder: Folder
    key: str  # empty: a new one
    version: int
    system: str
    base: dict[str, Any]
    given: Mapping[str, str]
    text: str | None = None
    costs: Mapping[str, Any] | None = None  # the record before, where who writes may not see its costs

    @property
    def model(self) -> type[Record]:
        """The record's model."""
        return self.folder.model

    def data(self) -> dict[str, Any]:
        """The record's plain data; raises Faults where a text can't be read at all."""
        if self.text is not None:
            plain = read_model(self.model, self.text, "text").plain()
            return plain if self.costs is None else without_costs(plain)
        return data_from(self.model, self.given, self.base, self.system, origin_for(self.folder))

    def record(self) -> Record:
        """The record itself; raises Faults."""
        if self.text is not None:
            record = read_model(self.model, self.text, "text")
        else:
            record = read_data(self.model, self.data(), "form")
        return self._with_id(record if self.costs is None else costs_kept(record, self.costs))

    def _with_id(self, record: Record) -> Record:
        if self.folder.kind == THE_ONE:
            return record
        wanted = self.key or str(getattr(record, "id", "")) or slug(str(getattr(record, "name", "")))
        if not self.key and (not ID.fullmatch(wanted) or wanted in TAKEN):
            expected = "an id of letters, digits, points and dashes, or a name to make one from"
            raise Faults([Fault("form", 0, "id", f'"{wanted[:60]}"' if wanted else "nothing", expected)])
        return record.model_copy(update={"id": wanted})


@dataclass(frozen=True)
class Shown:
    """A form as it is to be shown."""

    sent: Sent
    form: Form
    text: str | None = None
    clash: list[Difference] = field(default_factory=list)
    status: int = 200


def origin_for(folder: Folder) -> str:
    """Where a figure that is put in comes from, unless it is said otherwise."""
    return "stated" if folder.kind == THE_ONE else "sheet"


def slug(name: str) -> str:
    """An id from a name.

    >>> slug("Billetjaw 32 C log grapple!")
    'billetjaw-32-c-log-grapple'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60]


async def edit_page(request: Request) -> Response:
    """The form of a record, of a new one, or of a copy."""
    folder, desk, system = folder_of(request), desk_of(request), units_of(request)
    as_text = request.query_params.get("as") == "text"
    key, copied = request.path_params.get("id", ""), request.query_params.get("copy", "")
    if folder.kind == THE_ONE:
        key = THE_ONE
    row = await off_loop(shelving.record, desk.workspace, folder.kind, key or copied) if key or copied else None
    data = json.loads(row.record) if row is not None else {}
    if copied and not key:
        data = copy_of(data)
    blind = not may_here(request, "costs")
    data = without_costs(data) if blind else data
    sent = Sent(
        folder, key, row.version if row is not None and key else 0, system, data, {}, None, {} if blind else None
    )
    form = form_of_record(folder.model, data, system, origin_for(folder))
    text = text_of_record(folder.model, data) if as_text else None
    return _page(request, desk, Shown(sent, form, text), copied)


def copy_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """A record's data for a copy: all but what is one piece's own."""
    kept = {name: value for name, value in data.items() if name not in ("id", "serial", "stock")}
    return {**kept, "name": f"{data['name']}, copy"} if data.get("name") else kept


async def take(request: Request) -> Response:
    """Take a form: store the record, or show the form again with what is asked for."""
    desk, given = desk_of(request), await form_of(request, FIELDS)
    sent = await off_loop(_sent, request, desk, given)
    act = given.get("act", "save")
    try:
        if act == "text":
            shown = _as_text(sent)
        elif act == "fields":
            shown = _as_fields(sent)
        elif act.startswith("more:"):
            shown = _with_rows(sent, act[5:])
        else:
            return RedirectResponse(await off_loop(_save, desk, sent), 303)
    except Faults as error:
        shown = _refused(sent, error.faults)
    except shelving.StaleError as error:
        shown = await off_loop(_clashed, desk, sent, error.now)
    return _page(request, desk, shown, given.get("copied", ""))


def _sent(request: Request, desk: Desk, given: Mapping[str, str]) -> Sent:
    """A form as it came back, with the record that it was drawn from."""
    folder = folder_of(request)
    key = THE_ONE if folder.kind == THE_ONE else request.path_params.get("id", "")
    system = given.get("units", "us")
    version = given.get("version", "0")
    seen = int(version) if version.isascii() and version.isdigit() and len(version) < 16 else 0
    source = key or given.get("copied", "")
    before = shelving.record_then(desk.workspace, folder.kind, source, seen) if key else None
    if source and not key:
        try:
            before = shelving.record(desk.workspace, folder.kind, source).record
        except KeyError:
            before = None
    base = json.loads(before) if before else {}
    fields = cleaned({name: text for name, text in given.items() if name not in (*ACTS, "copied")})
    text = given.get("toml")
    text = None if text is None else text.replace("\r\n", "\n")
    base = base if key else copy_of(base)
    system = system if system in UNITS else "us"
    if may_here(request, "costs"):
        return Sent(folder, key, seen, system, base, fields, text)
    fields = {name: words for name, words in fields.items() if not is_cost(name.removeprefix(HOW))}
    return Sent(folder, key, seen, system, without_costs(base), fields, text, base if key else {})


def _save(desk: Desk, sent: Sent) -> str:
    """Store a record; its page's address. Raises Faults and StaleError."""
    record = sent.record()
    key = THE_ONE if sent.folder.kind == THE_ONE else str(getattr(record, "id", ""))
    if sent.key:
        shelving.change_record(desk.workspace, sent.folder.kind, sent.key, record, sent.version)
    else:
        shelving.add_record(desk.workspace, sent.folder.kind, key, record)
    return sent.folder.at(key)


def _as_text(sent: Sent) -> Shown:
    """The form's content as text, right or wrong."""
    return Shown(sent, Form([], {}), text_of_record(sent.model, sent.data()))


def _as_fields(sent: Sent) -> Shown:
    """The text as fields; a text that can't be read stays a text, with its faults."""
    return Shown(sent, _drawn(sent.model, sent.data(), sent))


def _drawn(model: type[BaseModel], data: Mapping[str, Any], sent: Sent, extra: Mapping[str, int] | None = None) -> Form:
    return form_of_record(model, data, sent.system, origin_for(sent.folder), extra)


def _with_rows(sent: Sent, place: str) -> Shown:
    """The form with more rows of a list."""
    return Shown(sent, _again(sent, {place: MORE}))


def _again(sent: Sent, extra: Mapping[str, int]) -> Form:
    """The form as it was sent, word for word."""
    drawn = blocks(sent.model, sent.data(), sent.system, extra)
    return Form(drawn, {**values_of(drawn, {}, origin_for(sent.folder)), **sent.given})


def _refused(sent: Sent, faults: list[Fault]) -> Shown:
    """The form or the text as it was sent, with everything that is wrong."""
    if sent.text is not None:
        return Shown(sent, Form([], {}, {}, tuple(faults)), sent.text, status=422)
    return Shown(sent, with_faults(_again(sent, {}), faults), status=422)


def _clashed(desk: Desk, sent: Sent, now: RecordRow) -> Shown:
    """The form over what somebody else has stored meanwhile: theirs where only they wrote, ours where we did."""
    theirs, mine, otherwise = json.loads(now.record), sent.data(), origin_for(sent.folder)
    theirs = theirs if sent.costs is None else without_costs(theirs)
    rows = {block.more: len(block.slots) for block in blocks(sent.model, mine, sent.system, {}) if block.more}
    drawn = blocks(sent.model, theirs, sent.system, rows)
    was, is_now, ours = (values_of(drawn, data, otherwise) for data in (sent.base, theirs, mine))
    merged = {name: text if text != was[name] else is_now[name] for name, text in ours.items()}
    told = differences(sent.model, sent.base, theirs, sent.system, mine)
    fresh = Sent(sent.folder, sent.key, now.version, sent.system, theirs, merged, sent.text)
    text = None
    if sent.text is not None:
        text = text_of_record(sent.model, data_from(sent.model, cleaned(merged), theirs, sent.system, otherwise))
    return Shown(fresh, Form(drawn, merged), text, told, 409)


def _page(request: Request, desk: Desk, shown: Shown, copied: str) -> Response:
    sent = shown.sent
    if sent.costs is not None:
        shown = replace(shown, form=replace(shown.form, blocks=blocks_without_costs(shown.form.blocks)))
    name = title_of(RecordRow(sent.folder.kind, sent.key, "", False, 0), sent.base, sent.folder)
    title = f"Edit {name}" if sent.key else f"New {sent.folder.noun}"
    there = counter.shelf(desk.workspace)
    held = {one.quick_attach for one in there.machines.values()} | {
        name for one in there.attachments.values() for name in one.interfaces
    }
    interfaces = [(one, one.replace("_", " ")) for one in sorted(filter(None, held))]
    return page(
        request, "record_form.html", shown.status, shown=shown, sent=sent, form=shown.form, title=title, name=name,
        copied=copied, origins=ORIGINS_SAID, interfaces=interfaces, key=key_of(request),
        back=sent.folder.at(sent.key) if sent.key else "/shelf",
    )  # fmt: skip


ORIGINS_SAID = (
    ("stated", "stated"),
    ("measured", "measured"),
    ("weighed", "weighed"),
    ("sheet", "from the sheet"),
    ("typical", "typical"),
    ("unknown", "don't know"),
)
