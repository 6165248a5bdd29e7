"""What the dealer sets for the whole house.

Going down loses the settings; the log keeps them.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.create_table(
        "settings",
        sa.Column("id", sa.String(20), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_settings"),
    )


def downgrade() -> None:
    op.drop_table("settings")
