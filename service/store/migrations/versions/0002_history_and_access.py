"""The catalogue's history, API keys, and the answers that a repeated request gets again.

Each migration works with the previous release: add first, remove one release later.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "catalogue_write",
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(), nullable=False),
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.CheckConstraint("revision > 0", name="write_makes_a_revision"),
        sa.PrimaryKeyConstraint("revision"),
    )
    op.create_table(
        "catalogue_change",
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("table_name", sa.String(), nullable=False),
        sa.Column("record_key", sa.String(), nullable=False),
        sa.Column("record_before", sa.String(), nullable=True),
        sa.Column("record_after", sa.String(), nullable=True),
        sa.CheckConstraint("table_name IN ('axles', 'frames', 'sleeves')", name="table_is_known"),
        sa.CheckConstraint(
            "record_before IS NOT NULL OR record_after IS NOT NULL", name="change_changes_something"
        ),
        sa.ForeignKeyConstraint(["revision"], ["catalogue_write.revision"]),
        sa.PrimaryKeyConstraint("revision", "ordinal"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "api_key",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("scopes", sa.String(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("issued_at", sa.String(), nullable=False),
        sa.Column("revoked_at", sa.String(), nullable=True),
        sa.CheckConstraint("length(digest) = 64", name="digest_is_of_sha256"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "idempotent_answer",
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("idempotency_key", sa.String(), nullable=False),
        sa.Column("request_digest", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("at", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("actor", "idempotency_key"),
    )


def downgrade() -> None:
    for table in ("idempotent_answer", "api_key", "catalogue_change", "catalogue_write"):
        op.drop_table(table)
