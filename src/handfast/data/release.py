"""Which release reckons, and which issue of the tables it reckons with; both stand in every title block."""

from __future__ import annotations

VERSION = "0.1.0"
TABLES = "1"
