"""Suppliers' lists at the pages: looked at, answered, taken, undone; files that mean harm are refused."""

from __future__ import annotations

import io
import re
import zipfile

import pytest

from handfast.counter import lists
from handfast.counter import verbs as counter
from handfast.lists.workbooks import UNPACKED_MOST

LIST = b"Item,Type,Weight,Price\nL1,bucket,300,500\nL2,bucket,#REF!,510\n"


def bring(desk, data: bytes, name: str = "list.csv", supplier: str = "Hollowden"):
    sent = {"token": desk.token(), "supplier": supplier}
    return desk.client.post("/lists", data=sent, files={"file": (name, data)})


def state(desk, number: int) -> str:
    return lists.look_at_list(desk.app.state.desk.workspace, number).row.state


def test_a_list_is_looked_at_answered_taken_and_undone(desk) -> None:
    at = bring(desk, LIST).headers["location"]
    text = desk.client.get(at).text
    assert "Which unit are the bare numbers" in text and "C3: #REF!; expected a value" in text
    place = re.search(r'<select id="(q-\d+)"', text)
    assert place
    assert desk.post(at, act="answer", **{place[1]: "lb"}).status_code == 303
    assert "Put 1 on the shelf" in desk.client.get(at).text
    assert desk.post(at, act="take").status_code == 303
    assert "L1" in counter.shelf(desk.app.state.desk.workspace).attachments
    assert desk.post(at, act="take").status_code == 422
    assert desk.post(at, act="undo").status_code == 303
    assert "L1" not in counter.shelf(desk.app.state.desk.workspace).attachments


def test_a_list_needs_the_token_of_this_browser(desk) -> None:
    sent = desk.client.post("/lists", data={"token": "no"}, files={"file": ("a.csv", LIST)})
    assert sent.status_code == 403 and lists.lists_so_far(desk.app.state.desk.workspace) == []


def bomb() -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", "<workbook/>")
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * (UNPACKED_MOST + 1_000_000))
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("data", "name", "says"),
    [
        (b"", "", "Choose a file"),
        (b"PK\x03\x04 nothing", "a.xlsx", "broken"),
        (b"\x00" * 100, "a.csv", "bytes that no list has"),
        (bomb(), "b.xlsx", "unpacks to more than"),
    ],
    ids=["none", "broken", "binary", "bomb"],
)
def test_what_is_no_list_is_refused_and_nothing_is_kept(desk, data: bytes, name: str, says: str) -> None:
    answer = bring(desk, data, name) if name else desk.client.post("/lists", data={"token": desk.token()}, files={})
    assert answer.status_code in (415, 422)
    if answer.status_code == 422:
        assert says in answer.text
    assert lists.lists_so_far(desk.app.state.desk.workspace) == []


def test_a_hundred_megabytes_are_refused_while_they_come(desk) -> None:
    answer = bring(desk, b"a,b\n" * 25_000_000, "large.csv")
    assert answer.status_code == 413 and lists.lists_so_far(desk.app.state.desk.workspace) == []


@pytest.mark.parametrize("name", ["../../etc/passwd.csv", "..\\..\\x.csv", "/etc/x.csv", "a\x00b.csv", "<b>.csv"])
def test_a_files_name_is_a_name_and_no_path(desk, name: str) -> None:
    answer = bring(desk, LIST, name)
    assert answer.status_code == 303
    [row] = lists.lists_so_far(desk.app.state.desk.workspace)
    assert "/" not in row.name and "\\" not in row.name
    assert "<b>" not in desk.client.get("/lists").text
