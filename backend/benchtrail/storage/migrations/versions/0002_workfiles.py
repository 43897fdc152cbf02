"""Texts that are being written at the desk."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "workfiles",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("path", sa.String(length=400), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("model", sa.String(length=200), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_by", sa.String(length=80), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("saved_by", sa.String(length=80), nullable=False),
        sa.Column("put_away", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_workfiles_dealer")),
        sa.PrimaryKeyConstraint("dealer", "id", name=op.f("pk_workfiles")),
    )
    op.create_index(op.f("ix_workfiles_dealer_path"), "workfiles", ["dealer", "path"], unique=False)
    op.create_table(
        "workfile_versions",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("workfile", sa.String(length=36), nullable=False),
        sa.Column("version", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("saved_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["dealer", "workfile"], ["workfiles.dealer", "workfiles.id"],
                                name=op.f("fk_workfile_versions_dealer_workfile")),
        sa.PrimaryKeyConstraint("dealer", "workfile", "version", name=op.f("pk_workfile_versions")),
    )
    op.create_table(
        "work_pictures",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("folder", sa.String(length=300), nullable=False),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("mime", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("added_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_work_pictures_dealer")),
        sa.PrimaryKeyConstraint("dealer", "folder", "name", name=op.f("pk_work_pictures")),
    )
