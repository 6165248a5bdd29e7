"""Calls that are open or on hold, promises, and which changes were an undo or a redo.

Going down loses calls and promises, which the log keeps, and which changes were an undo: each counts as a change then.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    op.create_table(
        "calls",
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("begun", sa.String(32), nullable=False),
        sa.Column("moved", sa.String(32), nullable=False),
        sa.Column("cannot_say", sa.Text, nullable=False, server_default="[]"),
        sa.PrimaryKeyConstraint("inquiry", name="pk_calls"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_calls_inquiry", ondelete="CASCADE"),
        sa.CheckConstraint("state IN ('on the line', 'on hold', 'rung off')", name="ck_calls_state"),
    )
    op.create_table(
        "promises",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("inquiry", sa.Integer, nullable=False),
        sa.Column("who", sa.String(20), nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("by", sa.String(20), nullable=False),
        sa.Column("done", sa.String(32)),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_promises"),
        sa.ForeignKeyConstraint(["inquiry"], ["inquiries.number"], name="fk_promises_inquiry", ondelete="CASCADE"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_promises_inquiry", "promises", ["inquiry"])
    op.add_column("changes", sa.Column("step", sa.String(4)))


def downgrade() -> None:
    op.execute("ALTER TABLE changes DROP COLUMN step")
    op.drop_table("promises")
    op.drop_table("calls")
