"""After the sale: as-built records, comebacks, replacement orders, lessons.

Going down loses all of these; the log keeps what they said.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

ORDER_STATES = "'ordered', 'sent', 'received', 'fitted', 'cancelled'"


def upgrade() -> None:
    op.create_table(
        "as_built",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("machine", sa.Text, nullable=False),
        sa.Column("attachment", sa.Text, nullable=False),
        sa.Column("route", sa.String(30), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_as_built"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_as_built_kit", "as_built", ["machine", "attachment", "route"])
    _comebacks()


def _comebacks() -> None:
    op.create_table(
        "comebacks",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("quote", sa.Integer, nullable=False),
        sa.Column("tag", sa.String(10), nullable=False),
        sa.Column("symptom", sa.String(40), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_comebacks"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.number"], name="fk_comebacks_quote"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_comebacks_quote", "comebacks", ["quote"])
    op.create_table(
        "orders",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("comeback", sa.Integer, nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_orders"),
        sa.ForeignKeyConstraint(["comeback"], ["comebacks.number"], name="fk_orders_comeback"),
        sa.CheckConstraint(f"state IN ({ORDER_STATES})", name="ck_orders_state"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_orders_comeback", "orders", ["comeback"])
    op.create_table(
        "lessons",
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("comeback", sa.Integer, nullable=False),
        sa.Column("attachment", sa.Text, nullable=False),
        sa.Column("route", sa.String(30), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_lessons"),
        sa.ForeignKeyConstraint(["comeback"], ["comebacks.number"], name="fk_lessons_comeback"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_lessons_comeback", "lessons", ["comeback"])


def downgrade() -> None:
    for table in ("lessons", "orders", "comebacks", "as_built"):
        op.drop_table(table)
