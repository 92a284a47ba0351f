"""The requests of each client that are counted in its window.

Each migration works with the previous release: add first, remove one release later.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "request_count",
        sa.Column("client", sa.String(), nullable=False),
        sa.Column("began_at_ms", sa.BigInteger(), nullable=False),
        sa.Column("used", sa.Integer(), nullable=False),
        sa.CheckConstraint("used > 0", name="used_is_positive"),
        sa.PrimaryKeyConstraint("client"),
    )


def downgrade() -> None:
    op.drop_table("request_count")
