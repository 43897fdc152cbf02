"""What the desk keeps: proposals and reviews, withdrawals, packs held by phones, answers, machines, summaries."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "proposals",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("files", sa.JSON(), nullable=False),
        sa.Column("change_note", sa.Text(), nullable=False),
        sa.Column("bulletin", sa.Text(), nullable=False),
        sa.Column("workfile", sa.String(length=36), nullable=True),
        sa.Column("version", sa.Integer(), nullable=True),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("published", sa.JSON(), nullable=False),
        sa.Column("published_by", sa.String(length=80), nullable=True),
        sa.Column("published_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_proposals_dealer")),
        sa.PrimaryKeyConstraint("dealer", "id", name=op.f("pk_proposals")),
    )
    op.create_table(
        "reviews",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("proposal", sa.String(length=36), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("verdict", sa.String(length=16), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("own", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["dealer", "proposal"], ["proposals.dealer", "proposals.id"], name=op.f("fk_reviews_dealer_proposal")),
        sa.PrimaryKeyConstraint("dealer", "proposal", "number", name=op.f("pk_reviews")),
    )
    op.create_table(
        "withdrawals",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("subject", sa.String(length=120), nullable=False),
        sa.Column("revision", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_withdrawals_dealer")),
        sa.PrimaryKeyConstraint("dealer", "subject", "revision", name=op.f("pk_withdrawals")),
    )
    op.create_table(
        "held_packs",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("packs", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_held_packs_dealer_device")),
        sa.PrimaryKeyConstraint("dealer", "device", name=op.f("pk_held_packs")),
    )
    op.create_table(
        "note_answers",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("position", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.Column("event", sa.String(length=36), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_note_answers_dealer")),
        sa.PrimaryKeyConstraint("dealer", "position", name=op.f("pk_note_answers")),
    )
    op.create_index(op.f("ix_note_answers_dealer_job"), "note_answers", ["dealer", "job"], unique=False)
    op.create_table(
        "customer_machines",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=300), nullable=False),
        sa.Column("customer", sa.String(length=200), nullable=False),
        sa.Column("model", sa.String(length=120), nullable=True),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("options", sa.JSON(), nullable=False),
        sa.Column("serial", sa.String(length=120), nullable=True),
        sa.Column("hours", sa.Float(), nullable=True),
        sa.Column("hours_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("saved_by", sa.String(length=80), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_customer_machines_dealer")),
        sa.PrimaryKeyConstraint("dealer", "id", name=op.f("pk_customer_machines")),
    )
    op.create_table(
        "job_summaries",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.Column("mark", sa.String(length=120), nullable=False),
        sa.Column("made_with", sa.String(length=64), nullable=False),
        sa.Column("summary", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_job_summaries_dealer")),
        sa.PrimaryKeyConstraint("dealer", "job", name=op.f("pk_job_summaries")),
    )
