"""Machines, visits, their entries, and the taken readings asked for across visits.

A migration stands by itself: it imports nothing of the program, which moves on.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "machine",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("tag", sa.Text, nullable=False),
        sa.Column("customer", sa.Text, nullable=False),
        sa.Column("phone", sa.Text, nullable=False),
        sa.Column("unit", sa.Text, nullable=False),
        sa.Column("engine", sa.Text, nullable=False),
        sa.Column("serial", sa.Text, nullable=False),
        sa.Column("engine_class", sa.Text, nullable=False),
        sa.Column("search", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_machine"),
    )
    op.create_index("ix_machine_tag", "machine", ["tag"])
    op.create_table(
        "visit",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("slip_number", sa.Text, nullable=False),
        sa.Column("slip_letter", sa.Text, nullable=False),
        sa.Column("slip_serial", sa.Integer),
        sa.Column("machine_id", sa.String(36), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("complaint", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("procedure_key", sa.Text, nullable=False),
        sa.Column("engine_class", sa.Text, nullable=False),
        sa.Column("steps", sa.Integer, nullable=False),
        sa.Column("first_check", sa.Text, nullable=False),
        sa.Column("header", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_visit"),
        sa.UniqueConstraint("slip_number", name="uq_visit_slip_number"),
        sa.ForeignKeyConstraint(["machine_id"], ["machine.id"], name="fk_visit_machine_id_machine"),
    )
    op.create_index("ix_visit_machine_id", "visit", ["machine_id"])
    op.create_index("ix_visit_opened_at", "visit", ["opened_at"])
    op.create_index("ix_visit_slip_letter_slip_serial", "visit", ["slip_letter", "slip_serial"])
    op.create_table(
        "entry",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kind", sa.String(24), nullable=False),
        sa.Column("check_key", sa.Text),
        sa.Column("strikes", sa.String(36)),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_entry"),
        sa.UniqueConstraint("visit_id", "seq", name="uq_entry_visit_id_seq"),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name="fk_entry_visit_id_visit"),
    )
    op.create_index("ix_entry_strikes", "entry", ["strikes"])
    op.create_table(
        "taken",
        sa.Column("entry_id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("check_key", sa.Text, nullable=False),
        sa.Column("reading_quantity", sa.String(16)),
        sa.Column("reading_value", sa.Double),
        sa.Column("resolution", sa.Double),
        sa.Column("full_scale", sa.Double),
        sa.Column("overload", sa.Boolean, nullable=False),
        sa.Column("source", sa.String(16), nullable=False),
        sa.Column("method", sa.Text, nullable=False),
        sa.Column("quantity", sa.String(16)),
        sa.Column("corrected", sa.Double),
        sa.Column("expanded_uncertainty", sa.Double),
        sa.Column("k", sa.Double, nullable=False),
        sa.Column("band_low", sa.Double),
        sa.Column("band_high", sa.Double),
        sa.Column("verdict", sa.String(16), nullable=False),
        sa.Column("side", sa.String(8)),
        sa.PrimaryKeyConstraint("entry_id", name="pk_taken"),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name="fk_taken_entry_id_entry"),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name="fk_taken_visit_id_visit"),
    )
    op.create_index("ix_taken_visit_id_check_key", "taken", ["visit_id", "check_key"])
    op.create_index("ix_taken_check_key_quantity", "taken", ["check_key", "quantity"])


def downgrade() -> None:
    for table in ("taken", "entry", "visit", "machine"):
        op.drop_table(table)
