"""What became of offers.

Going down loses what became of them; the log keeps what was said.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "outcomes",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("quote", sa.Integer, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_outcomes"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.number"], name="fk_outcomes_quote"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_outcomes_quote", "outcomes", ["quote"])


def downgrade() -> None:
    op.drop_table("outcomes")
