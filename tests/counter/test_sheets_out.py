"""Everything out and in again at the terminal."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from handfast.cli.main import main
from handfast.counter import verbs as counter


def run(home: Path, *words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words], env={"HANDFAST_HOME": str(home)})


def test_out_as_a_workbook_as_text_and_as_an_archive_and_in_again(tmp_path) -> None:
    here = counter.open_workspace(tmp_path / "here")
    counter.fill_demo(here)
    wanted = counter.export(here)
    made = run(
        tmp_path / "here",
        "export",
        "--xlsx",
        tmp_path / "a.xlsx",
        "--csv",
        tmp_path / "a",
        "--archive",
        tmp_path / "a.zip",
    )
    assert made.exit_code == 0, made.output
    assert run(tmp_path / "x", "import", tmp_path / "a.xlsx", "--take").exit_code == 0
    for name in ("machines", "attachments", "parts", "price_book"):
        assert run(tmp_path / "c", "import", tmp_path / "a" / f"{name}.csv", "--take").exit_code == 0
    assert run(tmp_path / "z", "restore", tmp_path / "a.zip").exit_code == 0
    for name in ("x", "c"):
        assert counter.export(counter.open_workspace(tmp_path / name))["shelf"] == wanted["shelf"], name
    assert counter.export(counter.open_workspace(tmp_path / "z")) == wanted


def test_a_template_is_written_and_another_ending_is_refused(tmp_path) -> None:
    for name in ("parts.xlsx", "parts.csv"):
        assert run(tmp_path / "w", "template", "parts", tmp_path / name).exit_code == 0
        looked = run(tmp_path / "w", "import", tmp_path / name)
        assert "0 new" in looked.output and "1 passed over" in looked.output and "asked:" not in looked.output
    refused = run(tmp_path / "w", "template", "parts", tmp_path / "parts.ods")
    assert refused.exit_code == 2
    assert ".xlsx or .csv" in refused.output
