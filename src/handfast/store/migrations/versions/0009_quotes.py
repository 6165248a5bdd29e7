"""Quotes in versions, what customers answered, private links to offers.

Going down keeps the newest version of each quote and loses the others, with the answers and the links; the log keeps
what was said. States that were not known before become the nearest that were: declined, expired and returned become
withdrawn, ordered becomes accepted, delivered becomes as built.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"

BEFORE = ("draft", "sent", "accepted", "as built", "withdrawn")
NOW = ("draft", "sent", "accepted", "declined", "expired", "ordered", "delivered", "returned", "withdrawn")
FORWARD = {"as built": "delivered"}
BACK = {
    "declined": "withdrawn",
    "expired": "withdrawn",
    "ordered": "accepted",
    "delivered": "as built",
    "returned": "withdrawn",
}
CHILDREN = ("orders", "lessons", "comebacks", "outcomes")  # rows that name a quote, or name one that does


def upgrade() -> None:
    kept = _rows("quotes")
    _rebuild("quotes", NOW, [sa.Column("version", sa.Integer, nullable=False, server_default="1")], "json", FORWARD)
    _versions()
    _answers()
    asked = sa.text('SELECT "key", who FROM changes WHERE table_name = \'quotes\' AND "before" IS NULL')
    makers = {str(key): str(who) for key, who in op.get_bind().execute(asked)}
    _put(
        "quote_versions",
        [
            {
                "quote": row["number"],
                "version": 1,
                "json": row["json"],
                "note": "",
                "answer": "{}",
                "who": makers.get(str(row["number"]), ""),
                "created": row["created"],
                "sent": "",
            }
            for row in kept
        ],
    )


def downgrade() -> None:
    newest = {row["quote"]: row for row in sorted(_rows("quote_versions"), key=lambda row: row["version"])}
    for table in ("quote_links", "acceptances", "quote_versions"):
        op.drop_table(table)
    _rebuild(
        "quotes", BEFORE, [sa.Column("json", sa.Text, nullable=False, server_default="{}")], "version", BACK, newest
    )


def _versions() -> None:
    op.create_table(
        "quote_versions",
        sa.Column("quote", sa.Integer, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("json", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("answer", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("sent", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("quote", "version", name="pk_quote_versions"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.number"], name="fk_quote_versions_quote"),
    )


def _answers() -> None:
    op.create_table(
        "acceptances",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("quote", sa.Integer, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("became", sa.String(20), nullable=False),
        sa.Column("how", sa.String(20), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("shown", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_acceptances"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.number"], name="fk_acceptances_quote"),
        sa.CheckConstraint("became IN ('accepted', 'declined')", name="ck_acceptances_became"),
        sa.CheckConstraint("how IN ('paper', 'reply', 'link', 'spoken')", name="ck_acceptances_how"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_acceptances_quote", "acceptances", ["quote"])
    op.create_table(
        "quote_links",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("quote", sa.Integer, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("expires", sa.String(32), nullable=False),
        sa.Column("withdrawn", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_quote_links"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.number"], name="fk_quote_links_quote"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_quote_links_quote", "quote_links", ["quote"])
    op.create_index("ix_quote_links_digest", "quote_links", ["digest"], unique=True)


def _rebuild(
    table: str,
    states: Sequence[str],
    added: Sequence[sa.Column[Any]],
    gone: str,
    words: Mapping[str, str],
    newest: Mapping[int, dict[str, Any]] | None = None,
) -> None:
    """The quotes table with other states and one column in place of another; no row is lost."""
    bind, kept = op.get_bind(), _rows(table)
    rows = [{**row, "state": words.get(row["state"], row["state"])} for row in kept]
    for row in rows:
        row.pop(gone)
        row |= {"version": 1} if newest is None else {"json": newest[row["number"]]["json"]}
    check = f"state IN ({', '.join(repr(state) for state in states)})"
    if bind.dialect.name == "sqlite":  # it can't change a table's rules: the table is made anew
        named = {child: _rows(child) for child in CHILDREN}
        for child in CHILDREN:
            bind.execute(sa.text(f"DELETE FROM {child}"))
        op.drop_table(table)
        _quotes(check, added)
        _put(table, rows)
        for child in reversed(CHILDREN):
            _put(child, named[child])
        return
    for rule in sa.inspect(bind).get_check_constraints(table):  # the first tables named it by another rule
        op.drop_constraint(op.f(str(rule["name"])), table, type_="check")
    for column in added:
        op.add_column(table, column)
    op.drop_column(table, gone)
    found = _table(table)
    for row in rows:
        bind.execute(sa.update(found).where(found.c.number == row["number"]).values(**row))
    op.create_check_constraint(op.f("ck_quotes_state"), table, check)


def _quotes(check: str, added: Sequence[sa.Column[Any]]) -> None:
    op.create_table(
        "quotes",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("outfit", sa.Text, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        *added,
        sa.PrimaryKeyConstraint("number", name="pk_quotes"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_quotes_inquiry"),
        sa.CheckConstraint(check, name=op.f("ck_quotes_state")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_quotes_inquiry", "quotes", ["inquiry"])


def _table(name: str) -> sa.Table:
    return sa.Table(name, sa.MetaData(), autoload_with=op.get_bind())


def _rows(name: str) -> list[dict[str, Any]]:
    return [dict(row._mapping) for row in op.get_bind().execute(sa.select(_table(name)))]


def _put(name: str, rows: Sequence[dict[str, Any]]) -> None:
    if rows:
        op.get_bind().execute(sa.insert(_table(name)), rows)
