"""Bulletins; what a person decided about quarantined events; erasure and retention."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ADDED = (
    ("dealers", sa.Column("retention_days", sa.Integer(), nullable=True)),
    ("events", sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True)),
    ("quarantined_events", sa.Column("settled", sa.String(length=16), nullable=True)),
    ("quarantined_events", sa.Column("settled_by", sa.String(length=80), nullable=True)),
    ("quarantined_events", sa.Column("settled_at", sa.DateTime(timezone=True), nullable=True)),
    ("quarantined_events", sa.Column("settled_reason", sa.Text(), nullable=True)),
    ("quarantined_events", sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True)),
)


def upgrade() -> None:
    for table, column in ADDED:
        op.add_column(table, column)
    op.create_table(
        "bulletins",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("from_sha256", sa.String(length=64), nullable=False),
        sa.Column("to_sha256", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("subject", sa.String(length=120), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("from_revision", sa.Integer(), nullable=False),
        sa.Column("to_revision", sa.Integer(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("issued_by", sa.String(length=80), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("changes", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["dealer", "from_sha256"], ["packs.dealer", "packs.sha256"],
                                name=op.f("fk_bulletins_dealer_from_sha256")),
        sa.ForeignKeyConstraint(["dealer", "to_sha256"], ["packs.dealer", "packs.sha256"],
                                name=op.f("fk_bulletins_dealer_to_sha256")),
        sa.PrimaryKeyConstraint("dealer", "from_sha256", "to_sha256", name=op.f("pk_bulletins")),
    )
    op.create_index(op.f("ix_bulletins_dealer_to_sha256"), "bulletins", ["dealer", "to_sha256"], unique=False)
