"""Links to a job on one machine, the sites that may show pages in a frame, passkeys."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "job_links",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("machine", sa.String(length=64), nullable=False),
        sa.Column("procedure", sa.String(length=120), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_job_links_dealer")),
        sa.PrimaryKeyConstraint("dealer", "id", name=op.f("pk_job_links")),
    )
    op.create_table(
        "frame_sites",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("sites", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_frame_sites_dealer")),
        sa.PrimaryKeyConstraint("dealer", name=op.f("pk_frame_sites")),
    )
    op.create_table(
        "passkeys",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=1400), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("site", sa.String(length=255), nullable=False),
        sa.Column("public_key", sa.Text(), nullable=False),
        sa.Column("sign_count", sa.BigInteger(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["dealer", "name"], ["accounts.dealer", "accounts.name"], name=op.f("fk_passkeys_dealer_name")),
        sa.PrimaryKeyConstraint("dealer", "id", name=op.f("pk_passkeys")),
    )
