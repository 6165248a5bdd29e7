"""People, the sessions they are in, the tokens of their programs.

Going down loses all of these: nobody can log in from elsewhere until they are named anew.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    op.create_table(
        "people",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("parameters", sa.Text, nullable=False),
        sa.Column("active", sa.Integer, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_people"),
        sa.CheckConstraint("role IN ('owner', 'sales', 'parts', 'reader')", name="ck_people_role"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_people_folded", "people", ["folded"], unique=True)
    op.create_table(
        "sessions",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person", sa.Integer, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("seen", sa.String(32), nullable=False),
        sa.Column("expires", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_sessions"),
        sa.ForeignKeyConstraint(["person"], ["people.number"], name="fk_sessions_person"),
    )
    op.create_index("ix_sessions_person", "sessions", ["person"])
    op.create_table(
        "tokens",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("withdrawn", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_tokens"),
        sa.ForeignKeyConstraint(["person"], ["people.number"], name="fk_tokens_person"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_tokens_person", "tokens", ["person"])
    op.create_index("ix_tokens_digest", "tokens", ["digest"], unique=True)


def downgrade() -> None:
    for table in ("tokens", "sessions", "people"):
        op.drop_table(table)
