"""The dated copies of a workspace in its own folder: which there are, which is the newest, which may go."""

from __future__ import annotations

import re
from pathlib import Path

FOLDER = "backups"
KEPT = 14  # copies; the oldest goes when a newer one stands
NAME = re.compile(r"handfast-\d{4}-\d{2}-\d{2}\.zip")


def backup_file(home: Path, day: str) -> Path:
    """Where the copy of a day stands.

    >>> backup_file(Path("w"), "2026-03-01").as_posix()
    'w/backups/handfast-2026-03-01.zip'
    """
    return home / FOLDER / f"handfast-{day}.zip"


def backups(home: Path) -> list[Path]:
    """Every dated copy, the newest first."""
    try:
        found = [path for path in (home / FOLDER).iterdir() if NAME.fullmatch(path.name)]
    except OSError:
        return []
    return sorted(found, key=lambda path: path.name, reverse=True)


def thin(home: Path, kept: int = KEPT) -> list[Path]:
    """Take away all but so many of the newest; counted, not by age: a clock that jumps takes none with it."""
    gone = backups(home)[max(kept, 1) :]
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def offered(home: Path | None) -> str:
    """What there is to go back to, as a sentence."""
    found = backups(home) if home is not None else []
    if not found:
        return "There is no dated copy of it in its backups folder; look for one made by handfast backup."
    return f"The last copy is {found[0]}: handfast restore puts it into a new, empty folder."
