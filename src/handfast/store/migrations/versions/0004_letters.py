"""Questions sent out by a private link.

Going down loses the letters: links that are open open nothing any more. The log keeps questions and answers.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "letters",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("questions", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("expires", sa.String(32), nullable=False),
        sa.Column("withdrawn", sa.String(32), nullable=False),
        sa.Column("answers", sa.Text, nullable=False),
        sa.Column("answered", sa.String(32), nullable=False),
        sa.Column("taken", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_letters"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_letters_inquiry"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_letters_inquiry", "letters", ["inquiry"])
    op.create_index("ix_letters_digest", "letters", ["digest"], unique=True)


def downgrade() -> None:
    op.drop_table("letters")
