"""Seeds of any size on PostgreSQL, whose INTEGER ends at 2,147,483,647; SQLite's holds them all.

Going down loses answers kept with a larger seed, on PostgreSQL. They can be reckoned again.
"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0010"


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.alter_column("advice", "seed", type_=sa.BigInteger())


def downgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DELETE FROM advice WHERE seed > 2147483647 OR seed < -2147483648")
        op.alter_column("advice", "seed", type_=sa.Integer())
