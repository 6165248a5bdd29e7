"""From plain data to a record, or to every fault in it at once."""

from __future__ import annotations

import difflib
import re
import types
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from handfast.machines.faults import NO_ENTRY, Fault, Faults
from handfast.machines.fields import Contradiction, Record
from handfast.machines.toml_lines import Path, line_of
from handfast.quantities.amounts import quoted

R = TypeVar("R", bound=BaseModel)
Lines = Callable[[], dict[Path, int]]  # asked for only when there is a fault to place


def no_lines() -> dict[Path, int]:
    """Lines of data that did not come from a text."""
    return {}


MOST = 500  # faults that are named; nobody mends more before asking again
PRINTABLE = "text that can be printed"
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
_HALF = re.compile(r"[\ud800-\udfff]")  # of a character that takes two
DEEPEST = 40  # entries within entries
_IN_LIST = re.compile(r"\[[0-9]{1,9}\]")
_EXPECTED = {
    "bool": "true or false",
    "int": "a whole number",
    "float": "a number",
    "string": "text in quotes",
    "tuple": "a list",
    "list": "a list",
    "dict": "a table",
    "model": "a table of entries",
    "is_instance": "a table of entries",
    "missing": "this entry, which is needed",
}


def check(
    model: type[R], data: Mapping[str, Any], file: str, lines: Lines, locale: str = "en_US", origin: str | None = None
) -> R:
    """A record from plain data.

    Args:
        model: record type.
        data: plain data, as a TOML or JSON reader gives it.
        file: name of the input, for the faults.
        lines: gives the line of each path; called only when something is wrong.
        locale: whose way to write numbers is used.
        origin: where quantities come from that do not say so themselves; "stated" when not given.

    Returns:
        the record.

    Raises:
        Faults: everything that is wrong with the data.

    >>> from handfast.machines.work import Behind
    >>> check(Behind, {"mass": "300 kg"}, "form", no_lines).mass.value
    300.0
    """
    strange = [
        Fault(
            file, line_of(path, lines()), dotted(path), f"the character U+{ord(sign):04X}", "text that can be printed"
        )
        for path, sign in _control_characters(data)
    ]
    if any("U+D" in fault.found for fault in strange):  # half a character: no reader of texts takes it
        raise Faults(strange)
    context = {"locale": locale, "origin": origin}
    try:
        record = model.model_validate(data, context=context)
    except ValidationError as error:
        details = error.errors(include_url=False)
        faults = strange + [_fault(model, detail, file, lines) for detail in details[:MOST]]
        if len(details) > MOST:
            faults.append(Fault(file, 0, "", f"{len(details) - MOST} faults more", "these mended first"))
        rest = _validated_rest(model, data, details, context)
        raise Faults(_distinct(faults + _contradicting(rest, file, lines))) from None
    contradicting = strange + _contradicting(record, file, lines)
    if contradicting:
        raise Faults(contradicting)
    return record


def _control_characters(data: Any, above: Path = ()) -> Iterator[tuple[Path, str]]:
    """Texts that carry what no keyboard writes and no store keeps."""
    if isinstance(data, str):
        found = _CONTROL.search(data)
        if found:
            yield above, found[0]
    elif isinstance(data, Mapping | list | tuple):
        pairs = data.items() if isinstance(data, Mapping) else enumerate(data)
        if len(above) > DEEPEST:
            raise Faults([Fault("", 0, "", "entries nested beyond what can be read", "plain entries")])
        for key, value in pairs:
            half = _HALF.search(key) if isinstance(key, str) else None
            if half:
                yield above, half[0]
            else:
                yield from _control_characters(value, (*above, key))


def _distinct(faults: list[Fault]) -> list[Fault]:
    return list(dict.fromkeys(faults))


def _fault(model: type[BaseModel], detail: ErrorDetails, file: str, lines: Lines) -> Fault:
    """One error of the validator in our words."""
    path: Path = tuple(detail["loc"])
    found, expected = _words(model, path, detail)
    return Fault(file, line_of(path, lines()), dotted(path), found, expected)


def _words(model: type[BaseModel], path: Path, detail: ErrorDetails) -> tuple[str, str]:
    """What was found and what is expected."""
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "quantity":
        return context["found"], context["expected"]
    if kind == "extra_forbidden":
        return NO_ENTRY, _suggestion(str(path[-1]), entries_at(model, path[:-1]))
    found = "nothing" if kind == "missing" else _found(detail.get("input"))
    if kind == "literal_error":
        choices = _choices(str(context["expected"]))
        near = difflib.get_close_matches(str(detail["input"]), choices, n=1, cutoff=0.6)
        return found, f"one of {', '.join(choices)}" + (f". Did you mean {near[0]}?" if near else "")
    if kind == "string_pattern_mismatch":
        return found, "three capital letters such as USD" if path[-1] == "currency" else context["pattern"]
    bound = _bound(kind, context)
    if bound:
        return found, bound
    known = _EXPECTED.get(kind) or _EXPECTED.get(kind.rsplit("_", 1)[0]) or _EXPECTED.get(kind.split("_")[0])
    if known is None or kind.endswith(("too_long", "too_short")):
        return found, detail["msg"].removeprefix("Value error, ").removeprefix("Input should be ")
    return found, known


def _bound(kind: str, context: Mapping[str, Any]) -> str:
    """A bound that was passed, in words; empty where it was none."""
    words = {
        "greater_than_equal": "{ge} or more",
        "less_than_equal": "at most {le}",
        "greater_than": "more than {gt}",
        "less_than": "less than {lt}",
        "string_too_long": "at most {max_length} characters",
    }
    return words[kind].format(**context) if kind in words else ""


def _choices(expected: str) -> list[str]:
    """The words in pydantic's list of allowed values."""
    return [word.strip("' ") for word in expected.replace(" or ", ", ").split(",")]


def _found(given: object) -> str:
    words = {list: "a list", tuple: "a list", dict: "a table", type(None): "nothing"}
    if isinstance(given, bool):
        return str(given).lower()
    return words.get(type(given)) or (quoted(given) if isinstance(given, str) else str(given)[:60])


def _suggestion(key: str, entries: list[str]) -> str:
    near = difflib.get_close_matches(key, entries, n=1, cutoff=0.6)
    if near:
        return f"Did you mean {near[0]}?"
    longer = [entry for entry in entries if len(key) > 2 and (entry.startswith(key) or key.startswith(entry))]
    return f"Did you mean {longer[0]}?" if longer else f"Known here: {', '.join(entries)}."


def dotted(path: Path) -> str:
    """A path as it is written: `attachment[0].mass`.

    Args:
        path: keys and places in lists.

    Returns:
        dotted text.

    >>> dotted(("attachment", 0, "mass"))
    'attachment[0].mass'
    """
    out = ""
    for part in path:
        out += f"[{part}]" if isinstance(part, int) else f".{part}"
    return out.removeprefix(".")


def entries_at(model: type[BaseModel], path: Path) -> list[str]:
    """Names of the entries that the table at a path may have.

    Args:
        model: record type of the whole.
        path: path of the table.

    Returns:
        entry names, empty when there is no such table.

    >>> from handfast.machines.inquiry import Inquiry
    >>> "pin_height_max" in entries_at(Inquiry, ("machine", "loader"))
    True
    """
    here: Any = model
    for part in path:
        here = _models_in(here)
        if here is None:
            return []
        if isinstance(part, str):
            named = {field.alias or name: field for name, field in here.model_fields.items()}
            here = named[part].annotation if part in named else None
    found = _models_in(here)
    return [field.alias or name for name, field in found.model_fields.items()] if found else []


def _models_in(annotation: Any) -> type[BaseModel] | None:
    """The record type within Optional, tuple, dict and Annotated."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (tuple, list, dict, Union, types.UnionType, Annotated):
        return next((found for part in get_args(annotation) if (found := _models_in(part)) is not None), None)
    return None


def _validated_rest(model: type[R], data: Mapping[str, Any], errors: list[ErrorDetails], context: Any) -> R | None:
    """The record without its faulty entries, so that contradictions among the good ones are named too."""
    pruned = deepcopy(dict(data))
    for _ in range(3):  # an entry taken out may be one that its table needs: then the table goes too
        for detail in sorted(errors, key=lambda detail: len(detail["loc"]), reverse=True):
            path = tuple(detail["loc"])
            _remove(pruned, path[:-1] if detail["type"] == "missing" else path)
        try:
            return model.model_validate(pruned, context=context)
        except ValidationError as error:
            errors = error.errors(include_url=False)
    return None


def _remove(data: Any, path: Path) -> None:
    """Take out an entry; a list keeps its places, so a faulty piece takes its whole list with it."""
    parents: list[tuple[Any, Any]] = []
    for part in path:
        if not isinstance(data, dict | list):
            break
        parents.append((data, part))
        try:
            data = parents[-1][0][part]
        except (KeyError, IndexError, TypeError):
            break
    while parents and isinstance(parents[-1][0], list):
        parents.pop()
    if parents:
        parents[-1][0].pop(parents[-1][1], None)


def _contradicting(record: BaseModel | None, file: str, lines: Lines) -> list[Fault]:
    if record is None:
        return []
    return [
        Fault(file, line_of(path, lines()), dotted(path), each.found, each.expected)
        for path, each in contradictions_in(record)
    ]


def contradictions_in(record: BaseModel, above: Path = ()) -> Iterator[tuple[Path, Contradiction]]:
    """Contradictions of a record and of all records within it, with their paths.

    Args:
        record: any record.
        above: path of the record.

    Returns:
        pairs of path and contradiction.

    >>> from handfast.machines.loader import Loader
    >>> [path for path, _ in contradictions_in(Loader(lift_at_pin="500 lb", lift_at_500="600 lb"))]
    [('lift_at_500',)]
    """
    if isinstance(record, Record):
        for each in record.contradictions():
            yield (*above, *path_of(each.place)), each
    for name in record.model_fields_set:
        field = type(record).model_fields[name]
        value = getattr(record, name)
        path = (*above, field.alias or name)
        inner: list[tuple[Path, Any]] = [(path, value)]
        if isinstance(value, tuple):
            inner = [((*path, i), each) for i, each in enumerate(value)]
        elif isinstance(value, dict):
            inner = [((*path, key), each) for key, each in value.items()]
        for place, each in inner:
            if isinstance(each, BaseModel):
                yield from contradictions_in(each, place)


def path_of(place: str) -> Path:
    """A dotted place as a path, the other way round from `dotted`.

    Args:
        place: dotted text.

    Returns:
        keys and places in lists.

    >>> path_of("attachment[0].price"), path_of("an entry [sic")
    (('attachment', 0, 'price'), ('an entry ', '[sic'))
    """
    parts = place.replace("[", ".[").split(".")
    return tuple(int(part[1:-1]) if _IN_LIST.fullmatch(part) else part for part in parts)
