"""Photos of machines.

Going down loses the photos and the marks on them; pins that were put on a machine stay with it.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    op.create_table(
        "photos",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("machine", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("type", sa.String(20), nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("marks", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("file", sa.LargeBinary, nullable=False),
        sa.CheckConstraint("type IN ('image/jpeg', 'image/png')", name="ck_photos_type"),
        sa.PrimaryKeyConstraint("number", name="pk_photos"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_photos_machine", "photos", ["machine"])


def downgrade() -> None:
    op.drop_table("photos")
