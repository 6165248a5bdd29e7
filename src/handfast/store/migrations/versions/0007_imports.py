"""Lists that came in.

Going down loses the lists, their answers, and that they could be undone; what they put on the shelf stays.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    op.create_table(
        "imports",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("supplier", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("answers", sa.Text, nullable=False),
        sa.Column("done", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("taken", sa.String(32), nullable=False),
        sa.Column("file", sa.LargeBinary, nullable=False),
        sa.CheckConstraint("state IN ('waiting', 'taken', 'undone')", name="ck_imports_state"),
        sa.PrimaryKeyConstraint("number", name="pk_imports"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    op.drop_table("imports")
