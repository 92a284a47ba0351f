"""The parts table: axles, frames, sleeves, and the catalogue's revision.

Each migration works with the previous release: add first, remove one release later.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "axle",
        sa.Column("sku", sa.String(), nullable=False),
        sa.Column("gtin", sa.String(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("fastening", sa.String(), nullable=False),
        sa.Column("shaft_um", sa.Integer(), nullable=True),
        sa.Column("shaft_tolerance", sa.String(), nullable=True),
        sa.Column("length_um", sa.Integer(), nullable=True),
        sa.Column("length_tolerance_um", sa.Integer(), nullable=True),
        sa.Column("grip_min_um", sa.Integer(), nullable=True),
        sa.Column("grip_max_um", sa.Integer(), nullable=True),
        sa.Column("barrel_um", sa.Integer(), nullable=True),
        sa.Column("barrel_mouth_um", sa.Integer(), nullable=True),
        sa.Column("barrel_thread_um", sa.Integer(), nullable=True),
        sa.Column("screw_um", sa.Integer(), nullable=True),
        sa.Column("thread", sa.String(), nullable=True),
        sa.Column("thread_length_um", sa.Integer(), nullable=True),
        sa.Column("nut_height_um", sa.Integer(), nullable=True),
        sa.Column("drive", sa.String(), nullable=True),
        sa.Column("driven_heads", sa.Integer(), nullable=True),
        sa.Column("keyed_profile", sa.String(), nullable=True),
        sa.Column("offset_um", sa.Integer(), nullable=True),
        sa.Column("brake_thread", sa.String(), nullable=True),
        sa.Column("material", sa.String(), nullable=True),
        sa.Column("colour", sa.String(), nullable=True),
        sa.Column("pack_quantity", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=True),
        sa.Column("currency", sa.String(), nullable=True),
        sa.Column("stock", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "brake_thread IS NULL OR fastening = 'threaded_wall'", name="brake_axle_is_threaded_wall"
        ),
        sa.CheckConstraint(
            "fastening IN ('threaded_wall', 'two_piece', 'bolt_and_nut')", name="fastening_is_known"
        ),
        sa.CheckConstraint("(price_minor IS NULL) = (currency IS NULL)", name="price_has_currency"),
        sa.CheckConstraint("barrel_mouth_um + barrel_thread_um <= barrel_um", name="thread_is_in_the_barrel"),
        sa.CheckConstraint("barrel_mouth_um >= 0", name="barrel_mouth_um_is_not_negative"),
        sa.CheckConstraint("barrel_thread_um > 0", name="barrel_thread_um_is_positive"),
        sa.CheckConstraint("barrel_um > 0", name="barrel_um_is_positive"),
        sa.CheckConstraint("driven_heads IN (1, 2)", name="one_or_two_heads_are_driven"),
        sa.CheckConstraint("grip_max_um > 0", name="grip_max_um_is_positive"),
        sa.CheckConstraint("grip_min_um <= grip_max_um", name="grip_is_a_range"),
        sa.CheckConstraint("grip_min_um > 0", name="grip_min_um_is_positive"),
        sa.CheckConstraint("length_tolerance_um > 0", name="length_tolerance_um_is_positive"),
        sa.CheckConstraint("length_um > 0", name="length_um_is_positive"),
        sa.CheckConstraint("nut_height_um > 0", name="nut_height_um_is_positive"),
        sa.CheckConstraint("offset_um >= 0", name="offset_um_is_not_negative"),
        sa.CheckConstraint("pack_quantity > 0", name="pack_quantity_is_positive"),
        sa.CheckConstraint("price_minor >= 0", name="price_minor_is_not_negative"),
        sa.CheckConstraint("screw_um > 0", name="screw_um_is_positive"),
        sa.CheckConstraint("shaft_um IN (6000, 6300, 8000)", name="shaft_is_of_a_class"),
        sa.CheckConstraint("stock >= 0", name="stock_is_not_negative"),
        sa.CheckConstraint("thread_length_um <= length_um", name="thread_is_on_the_axle"),
        sa.CheckConstraint("thread_length_um > 0", name="thread_length_um_is_positive"),
        sa.PrimaryKeyConstraint("sku"),
    )
    op.create_index("ix_axle_gtin", "axle", ["gtin"], unique=False)
    op.create_table(
        "catalogue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name="catalogue_is_one_row"),
        sa.CheckConstraint("revision >= 0", name="revision_is_not_negative"),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "frame",
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("fastening", sa.String(), nullable=True),
        sa.Column("bore_um", sa.Integer(), nullable=True),
        sa.Column("holes", sa.String(), nullable=True),
        sa.Column("hole_offset_um", sa.Integer(), nullable=True),
        sa.Column("outside_widths_um", sa.JSON(), nullable=False),
        sa.Column("inside_width_um", sa.Integer(), nullable=True),
        sa.Column("head_wall_um", sa.Integer(), nullable=True),
        sa.Column("far_wall_um", sa.Integer(), nullable=True),
        sa.Column("recess_um", sa.Integer(), nullable=True),
        sa.Column("thread", sa.String(), nullable=True),
        sa.Column("wall_material", sa.String(), nullable=True),
        sa.Column("keyed_profile", sa.String(), nullable=True),
        sa.Column("wheels", sa.Integer(), nullable=False),
        sa.Column("axle_positions_um", sa.JSON(), nullable=False),
        sa.Column("brake_position", sa.Integer(), nullable=True),
        sa.Column("brake_thread", sa.String(), nullable=True),
        sa.CheckConstraint(
            "fastening IS NULL OR fastening IN ('threaded_wall', 'two_piece', 'bolt_and_nut')",
            name="fastening_is_known",
        ),
        sa.CheckConstraint(
            "hole_offset_um IS NULL OR COALESCE(holes, '') = 'oval'", name="offset_has_oval_holes"
        ),
        sa.CheckConstraint("holes IN ('round', 'oval')", name="holes_are_known"),
        sa.CheckConstraint("bore_um IN (6000, 6300, 8000)", name="bore_is_of_a_class"),
        sa.CheckConstraint("brake_position BETWEEN 1 AND wheels", name="brake_is_at_a_wheel"),
        sa.CheckConstraint(
            "brake_thread IS NULL OR brake_position IS NOT NULL", name="brake_thread_has_position"
        ),
        sa.CheckConstraint("far_wall_um > 0", name="far_wall_um_is_positive"),
        sa.CheckConstraint("head_wall_um > 0", name="head_wall_um_is_positive"),
        sa.CheckConstraint("hole_offset_um > 0", name="hole_offset_um_is_positive"),
        sa.CheckConstraint("inside_width_um > 0", name="inside_width_um_is_positive"),
        sa.CheckConstraint("recess_um >= 0", name="recess_um_is_not_negative"),
        sa.CheckConstraint("wheels > 0", name="wheels_is_positive"),
        sa.PrimaryKeyConstraint("code"),
    )
    op.create_table(
        "sleeve",
        sa.Column("sku", sa.String(), nullable=False),
        sa.Column("gtin", sa.String(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("inner_um", sa.Integer(), nullable=False),
        sa.Column("outer_um", sa.Integer(), nullable=False),
        sa.Column("length_um", sa.Integer(), nullable=False),
        sa.Column("pack_quantity", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=True),
        sa.Column("currency", sa.String(), nullable=True),
        sa.Column("stock", sa.Integer(), nullable=True),
        sa.CheckConstraint("(price_minor IS NULL) = (currency IS NULL)", name="price_has_currency"),
        sa.CheckConstraint("inner_um < outer_um", name="sleeve_has_a_wall"),
        sa.CheckConstraint("inner_um > 0", name="inner_um_is_positive"),
        sa.CheckConstraint("length_um > 0", name="length_um_is_positive"),
        sa.CheckConstraint("outer_um > 0", name="outer_um_is_positive"),
        sa.CheckConstraint("pack_quantity > 0", name="pack_quantity_is_positive"),
        sa.CheckConstraint("price_minor >= 0", name="price_minor_is_not_negative"),
        sa.CheckConstraint("stock >= 0", name="stock_is_not_negative"),
        sa.PrimaryKeyConstraint("sku"),
    )
    op.create_index("ix_sleeve_gtin", "sleeve", ["gtin"], unique=False)
    op.execute("INSERT INTO catalogue (id, revision) VALUES (1, 0)")


def downgrade() -> None:
    for table in ("sleeve", "frame", "catalogue", "axle"):
        op.drop_table(table)
