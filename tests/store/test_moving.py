"""A whole workspace from one database to the other and back: the same to the byte, or nothing at all."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import select, text

import handfast
from handfast.cli.main import main
from handfast.counter import moving
from handfast.counter import verbs as counter
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.store.archive import write_archive
from handfast.store.database import FILE, StoreError, reading, writing
from handfast.store.tables import metadata, shelf


def test_there_and_back_is_the_same_to_the_byte(filled, cluster, tmp_path: Path, opened) -> None:
    """SQLite, PostgreSQL, SQLite: every table counted, every digest equal, the archives the same bytes."""
    desk, address = filled((tmp_path / "first", "")), cluster.new()
    there = moving.move(desk, address)
    middle = opened((tmp_path / "first", address))
    back = moving.move(middle, str(tmp_path / "second"))
    last = opened((tmp_path / "second", ""))
    assert there == back and set(there) == {table.name for table in metadata.sorted_tables}
    assert all(rows for rows, _ in there.values()), there
    assert moving.pack(desk) == moving.pack(middle) == moving.pack(last)
    assert counter.export(desk) == counter.export(middle) == counter.export(last)
    print(f"{sum(rows for rows, _ in there.values())} rows in {len(there)} tables, {len(moving.pack(desk))} bytes")


def test_numbers_go_on_after_the_highest(filled, place, tmp_path: Path, opened) -> None:
    desk = filled((tmp_path / "first", ""))
    other = opened(place("other"))
    moving.unpack(other, moving.pack(desk))
    for one in (desk, other):
        counter.new_inquiry(one, 'title = "one more"\n')
    assert counter.newest_change(desk) == counter.newest_change(other)
    assert [row.number for row in counter.inquiries(desk)] == [row.number for row in counter.inquiries(other)]


def test_the_order_of_rows_is_no_matter_of_language(desk) -> None:
    """`a`, `B`, `_` and `É` stand otherwise in an English list than by code point; the archive has the one order."""
    ids = ["b", "B", "a", "É", "_", "a-1", "a1", "É-2", "Z"]
    counter.put_on_shelf(desk, Shelf(parts={one: Part(id=one, kind="hose") for one in ids}))
    with reading(desk.engine) as connection:
        packed = write_archive(connection, "0")
    text_of = zipfile.ZipFile(io.BytesIO(packed)).read("shelf.jsonl").decode()
    found = [json.loads(line)["id"] for line in text_of.splitlines() if json.loads(line)["kind"] == "part"]
    assert found == sorted(ids)


def test_it_goes_into_an_empty_workspace_only(filled, place, tmp_path: Path, opened) -> None:
    desk, where = filled((tmp_path / "first", "")), place("other")
    other = opened(where)
    counter.new_inquiry(other, 'title = "mine"\n')
    with pytest.raises(StoreError, match="not empty"):
        moving.move(desk, where[1] or str(where[0]))
    assert [row.title for row in counter.inquiries(other)] == ["mine"]


def test_what_postgresql_cannot_keep_is_said_and_nothing_is_kept(cluster, tmp_path: Path, opened) -> None:
    desk = opened((tmp_path, ""))
    with writing(desk.engine) as connection:
        row = {"kind": "part", "id": "n", "record": "a\0b", "place": 1, "retired": 0}
        connection.execute(shelf.insert().values(row))
    address = cluster.new()
    with pytest.raises(StoreError, match=r"The rows of shelf can't be kept here: .*NUL"):
        moving.move(desk, address)
    with reading(opened((tmp_path, address)).engine) as connection:
        assert all(connection.execute(select(table)).first() is None for table in metadata.sorted_tables)


def test_a_copy_that_comes_back_otherwise_is_undone(filled, place, tmp_path: Path, opened, monkeypatch) -> None:
    """The proof is made on what the target gives back, inside its one transaction."""
    desk, where = filled((tmp_path / "first", "")), place("other")
    real = moving.read_archive

    def losing(connection, data):
        counted = real(connection, data)
        connection.execute(text("UPDATE promises SET what = 'another' WHERE number = 1"))
        return counted

    monkeypatch.setattr(moving, "read_archive", losing)
    with pytest.raises(StoreError, match=r"did not come back the same \(promises\)"):
        moving.move(desk, where[1] or str(where[0]))
    assert counter.inquiries(opened(where)) == []


def test_backup_and_restore_on_either(filled, place, opened, tmp_path: Path) -> None:
    desk, file = filled(place("first")), tmp_path / "copy.zip"
    moving.back_up(desk, file)
    other = opened(place("second"))
    moving.unpack(other, file.read_bytes())
    assert counter.export(other) == counter.export(desk)
    assert file.read_bytes() == moving.pack(desk) == moving.pack(other)


def test_the_verb_counts_every_table_and_hides_the_password(filled, cluster, tmp_path: Path, monkeypatch) -> None:
    desk = filled((tmp_path / "first", ""))
    monkeypatch.setenv("HANDFAST_HOME", str(desk.home))
    monkeypatch.delenv("HANDFAST_DATABASE", raising=False)
    address = cluster.new().replace("///", "//:well%20hid@/")
    told = CliRunner().invoke(main, ["move", address])
    assert told.exit_code == 0, told.output
    rows = {line.split()[0]: line.split()[1] for line in told.output.splitlines() if "sha256" in line}
    with reading(desk.engine) as connection:
        for table in metadata.sorted_tables:
            assert rows[table.name] == f"{len(connection.execute(select(table)).all()):,}"
    assert "hid" not in told.output and "HANDFAST_DATABASE='postgresql://:***@/" in told.output
    again = CliRunner().invoke(main, ["move", address])
    assert again.exit_code == 2 and "not empty" in again.output
    monkeypatch.setenv("HANDFAST_DATABASE", address)
    back = CliRunner().invoke(main, ["move", str(tmp_path / "back")])
    assert back.exit_code == 0 and (tmp_path / "back" / FILE).exists()
    assert [line for line in back.output.splitlines() if "sha256" in line] == [
        line for line in told.output.splitlines() if "sha256" in line
    ]


def test_an_address_that_answers_nothing_is_a_fault_of_what_was_given(tmp_path: Path) -> None:
    """At a real terminal: one sentence, exit status 2, no traceback."""
    env = {**os.environ, "PYTHONPATH": str(Path(handfast.__file__).parents[1]), "HANDFAST_HOME": str(tmp_path)}
    env["HANDFAST_DATABASE"] = "postgresql:///x?host=/nowhere-at-all"
    for verb in (["export"], ["advise", "-"]):
        ran = subprocess.run(
            [sys.executable, "-m", "handfast", *verb], env=env, capture_output=True, text=True, input='title = "a"\n'
        )
        assert ran.returncode == 2 and "can't be opened" in ran.stderr and "Traceback" not in ran.stderr, ran.stderr


def test_every_verb_writes_the_same_on_either(filling, place, opened, filled_archive: bytes) -> None:
    """The verbs themselves, not an archive, on this database: the same tables with as many rows each."""
    desk = opened(place())
    filling(desk)
    told = json.loads(zipfile.ZipFile(io.BytesIO(filled_archive)).read("manifest.json"))["rows"]
    assert {name: rows for name, (rows, _) in moving.told_in(moving.pack(desk)).items()} == told
