"""The first tables: inquiries, advice, quotes, the shelf, and what changed.

Going down loses everything: no table is left.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

STATES = "'asked', 'quoted', 'waiting on caller', 'ordered', 'fitted', 'closed'"
QUOTE_STATES = "'draft', 'sent', 'accepted', 'as built', 'withdrawn'"


def upgrade() -> None:
    _inquiries()
    _answers()
    op.create_table(
        "shelf",
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("retired", sa.Integer, nullable=False, server_default="0"),
        sa.PrimaryKeyConstraint("kind", "id", name="pk_shelf"),
    )
    op.create_table(
        "changes",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("table_name", sa.String(20), nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.PrimaryKeyConstraint("number", name="pk_changes"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_changes_table_name_key", "changes", ["table_name", "key"])


def _inquiries() -> None:
    op.create_table(
        "inquiries",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("updated", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_inquiries"),
        sa.CheckConstraint(f"state IN ({STATES})", name="ck_inquiries_state"),
        sqlite_autoincrement=True,
    )


def _answers() -> None:
    op.create_table(
        "advice",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("seed", sa.Integer, nullable=False),
        sa.Column("version", sa.String(20), nullable=False),
        sa.Column("json", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_advice"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_advice_inquiry", ondelete="CASCADE"),
    )
    op.create_index("ix_advice_inquiry_digest", "advice", ["inquiry", "digest"], unique=True)
    op.create_table(
        "quotes",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("outfit", sa.Text, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("json", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_quotes"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_quotes_inquiry"),
        sa.CheckConstraint(f"state IN ({QUOTE_STATES})", name="ck_quotes_state"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_quotes_inquiry", "quotes", ["inquiry"])


def downgrade() -> None:
    for table in ("changes", "shelf", "quotes", "advice", "inquiries"):
        op.drop_table(table)
