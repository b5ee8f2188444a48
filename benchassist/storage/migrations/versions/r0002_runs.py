"""Runs: their samples as they come, gathered into chunks, and the lowest and highest above them.

A migration stands by itself: it imports nothing of the program, which moves on.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "run",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("visit_id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("header", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_run"),
    )
    op.create_index("ix_run_visit_id", "run", ["visit_id"])
    op.create_table(
        "run_dial",
        sa.Column("run_id", sa.String(36), nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("channel", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("run_id", "number", name="pk_run_dial"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_dial_run_id_run"),
    )
    op.create_table(
        "run_tail",
        sa.Column("run_id", sa.String(36), nullable=False),
        sa.Column("channel", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("run_id", "channel", "number", name="pk_run_tail"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_tail_run_id_run"),
    )
    op.create_table(
        "run_chunk",
        sa.Column("run_id", sa.String(36), nullable=False),
        sa.Column("channel", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("low", sa.Double),
        sa.Column("high", sa.Double),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("run_id", "channel", "number", name="pk_run_chunk"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_chunk_run_id_run"),
    )
    op.create_index(
        "ix_run_chunk_run_id_channel_start_s", "run_chunk", ["run_id", "channel", "start_s"]
    )
    op.create_table(
        "run_bins",
        sa.Column("run_id", sa.String(36), nullable=False),
        sa.Column("channel", sa.Text, nullable=False),
        sa.Column("level", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("run_id", "channel", "level", "number", name="pk_run_bins"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_bins_run_id_run"),
    )
    op.create_index(
        "ix_run_bins_run_id_channel_level_start_s",
        "run_bins",
        ["run_id", "channel", "level", "start_s"],
    )
    op.create_table(
        "run_gap",
        sa.Column("run_id", sa.String(36), nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("channel", sa.Text, nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("reason", sa.String(16), nullable=False),
        sa.PrimaryKeyConstraint("run_id", "number", name="pk_run_gap"),
        sa.ForeignKeyConstraint(["run_id"], ["run.id"], name="fk_run_gap_run_id_run"),
    )


def downgrade() -> None:
    for table in ("run_gap", "run_bins", "run_chunk", "run_tail", "run_dial", "run"):
        op.drop_table(table)
