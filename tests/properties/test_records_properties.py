"""Whatever is written into an inquiry, it is read or refused with faults that can be found."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import Faults, read_data, read_inquiry
from handfast.machines.toml_lines import line_numbers

GOOD = (Path(__file__).parent.parent / "validation" / "checked" / "q01.toml").read_text(encoding="utf-8")
VALUES = st.sampled_from(
    ['"850 lb"', '"8,5 ft"', "3", "-1", "0", "nan", "inf", "true", '""', '"unknown"', '"30"', "[]", "[1, 2]", "{}",
     "{x = 1}", '"pinned"', '"2 to 1 lb"', "1e308", "1979-05-27", '{value = 1, origin = "weighed"}',
     "[[1, 2], [3]]", '"\\u0000"']
)  # fmt: skip


def _refused(error: Faults, text: str) -> None:
    rows = text.split("\n")
    for fault in error.faults:
        assert fault.found and fault.expected and str(fault)
        assert 0 <= fault.line <= len(rows)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read_inquiry(text)
    except Faults as error:
        _refused(error, text)


@settings(max_examples=200)
@given(st.integers(min_value=0, max_value=GOOD.count("\n") - 1), VALUES)
def test_any_value_in_any_place_is_read_or_refused_on_its_line(at: int, value: str) -> None:
    rows = GOOD.split("\n")
    key, equals, _ = rows[at].partition(" = ")
    if not equals:
        return
    rows[at] = f"{key} = {value}"
    text = "\n".join(rows)
    try:
        read_inquiry(text)
    except Faults as error:
        _refused(error, text)
        assert any(fault.line == at + 1 or "[" in key for fault in error.faults) or _about_two_entries(error)


def _about_two_entries(error: Faults) -> bool:
    """A contradiction stands at one of its two entries."""
    words = ("together the mass", "no more than", "less than the bore", "hydraulic, electric")
    return all(any(word in fault.expected for word in words) for fault in error.faults)


@settings(max_examples=200)
@given(st.integers(min_value=0, max_value=len(GOOD)), st.text(max_size=4))
def test_any_slip_of_the_pen_is_read_or_refused(at: int, slip: str) -> None:
    text = GOOD[:at] + slip + GOOD[at:]
    try:
        read_inquiry(text)
    except Faults as error:
        _refused(error, text)


JUNK = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda one: st.lists(one, max_size=3) | st.dictionaries(st.text(max_size=8), one, max_size=3),
    max_leaves=6,
)
ENTRIES = st.sampled_from(sorted(Inquiry.model_fields))


@given(st.dictionaries(ENTRIES, JUNK, max_size=4))
def test_any_data_are_read_or_refused(data: dict[str, Any]) -> None:
    try:
        read_data(Inquiry, data)
    except Faults as error:
        _refused(error, "")


@given(st.integers(min_value=0, max_value=len(GOOD)), st.sampled_from(["\n", "# [x]\n", "\n\n", " "]))
def test_blank_lines_and_remarks_move_lines_and_nothing_else(at: int, more: str) -> None:
    start = GOOD.rfind("\n", 0, at) + 1
    text = GOOD[:start] + more + GOOD[start:]
    assert tomllib.loads(text) == tomllib.loads(GOOD)
    before, after, edge = line_numbers(GOOD), line_numbers(text), GOOD.count("\n", 0, start) + 1
    moved = more.count("\n")
    assert after == {path: line + (moved if line >= edge else 0) for path, line in before.items()}
