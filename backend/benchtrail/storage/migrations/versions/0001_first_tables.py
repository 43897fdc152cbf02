"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "attempts",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_attempts")),
    )
    op.create_index(op.f("ix_attempts_at"), "attempts", ["at"], unique=False)
    op.create_index(op.f("ix_attempts_key_at"), "attempts", ["key", "at"], unique=False)
    op.create_table(
        "dealers",
        sa.Column("slug", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.Column("kid", sa.String(length=64), nullable=False),
        sa.Column("jwk", sa.JSON(), nullable=False),
        sa.Column("epoch", sa.String(length=32), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_position", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("slug", name=op.f("pk_dealers")),
    )
    op.create_table(
        "accounts",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_accounts_dealer")),
        sa.PrimaryKeyConstraint("dealer", "name", name=op.f("pk_accounts")),
        sa.UniqueConstraint("name", name=op.f("uq_accounts_name")),
    )
    op.create_table(
        "devices",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("credential_hash", sa.String(length=64), nullable=False),
        sa.Column("enrolled_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("waiting", sa.Integer(), nullable=True),
        sa.Column("high", sa.BigInteger(), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_devices_dealer")),
        sa.PrimaryKeyConstraint("dealer", "device", name=op.f("pk_devices")),
        sa.UniqueConstraint("credential_hash", name=op.f("uq_devices_credential_hash")),
    )
    op.create_table(
        "enrolment_codes",
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("used_by", sa.String(length=36), nullable=True),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_enrolment_codes_dealer")),
        sa.PrimaryKeyConstraint("code_hash", name=op.f("pk_enrolment_codes")),
    )
    op.create_table(
        "manifests",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("counter", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("signature", sa.String(length=100), nullable=False),
        sa.Column("kid", sa.String(length=64), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_manifests_dealer")),
        sa.PrimaryKeyConstraint("dealer", "counter", name=op.f("pk_manifests")),
    )
    op.create_table(
        "packs",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("subject", sa.String(length=120), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("issued", sa.String(length=10), nullable=False),
        sa.Column("change_note", sa.Text(), nullable=False),
        sa.Column("published_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("published_by", sa.String(length=80), nullable=False),
        sa.Column("entry", sa.JSON(), nullable=False),
        sa.Column("text_sha256", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_packs_dealer")),
        sa.PrimaryKeyConstraint("dealer", "sha256", name=op.f("pk_packs")),
        sa.UniqueConstraint(
            "dealer", "kind", "subject", "revision", name=op.f("uq_packs_dealer_kind_subject_revision")
        ),
    )
    op.create_index(op.f("ix_packs_sha256"), "packs", ["sha256"], unique=False)
    op.create_table(
        "pictures",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("mime", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_pictures_dealer")),
        sa.PrimaryKeyConstraint("dealer", "sha256", name=op.f("pk_pictures")),
    )
    op.create_index(op.f("ix_pictures_sha256"), "pictures", ["sha256"], unique=False)
    op.create_table(
        "desk_sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["dealer", "name"], ["accounts.dealer", "accounts.name"], name=op.f("fk_desk_sessions_dealer_name")
        ),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_desk_sessions")),
    )
    op.create_index(op.f("ix_desk_sessions_expires_at"), "desk_sessions", ["expires_at"], unique=False)
    op.create_table(
        "events",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("position", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("remark", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(
            ["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_events_dealer_device")
        ),
        sa.PrimaryKeyConstraint("dealer", "position", name=op.f("pk_events")),
        sa.UniqueConstraint("dealer", "device", "seq", name=op.f("uq_events_dealer_device_seq")),
        sa.UniqueConstraint("dealer", "id", name=op.f("uq_events_dealer_id")),
    )
    op.create_index(op.f("ix_events_dealer_job_position"), "events", ["dealer", "job", "position"], unique=False)
    op.create_table(
        "job_devices",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.Column("position", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_job_devices_dealer_device")
        ),
        sa.PrimaryKeyConstraint("dealer", "device", "job", name=op.f("pk_job_devices")),
    )
    op.create_table(
        "photos",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.Column("mime", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("clean_sha256", sa.String(length=64), nullable=True),
        sa.Column("clean_mime", sa.String(length=64), nullable=True),
        sa.Column("width", sa.Integer(), nullable=True),
        sa.Column("height", sa.Integer(), nullable=True),
        sa.Column("reason", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(
            ["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_photos_dealer_device")
        ),
        sa.PrimaryKeyConstraint("dealer", "sha256", name=op.f("pk_photos")),
    )
    op.create_index(op.f("ix_photos_state"), "photos", ["state"], unique=False)
    op.create_table(
        "quarantined_events",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("claimed_id", sa.String(length=36), nullable=True),
        sa.Column("claimed_seq", sa.BigInteger(), nullable=True),
        sa.Column("job", sa.String(length=36), nullable=True),
        sa.Column("kind", sa.String(length=64), nullable=True),
        sa.Column("reason", sa.String(length=64), nullable=False),
        sa.Column("values", sa.JSON(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_quarantined_events_dealer_device")
        ),
        sa.PrimaryKeyConstraint("dealer", "device", "sha256", name=op.f("pk_quarantined_events")),
    )
    op.create_index(op.f("ix_quarantined_events_dealer_job"), "quarantined_events", ["dealer", "job"], unique=False)
    op.create_table(
        "uploads",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("mime", sa.String(length=64), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("completed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["dealer", "device"], ["devices.dealer", "devices.device"], name=op.f("fk_uploads_dealer_device")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_uploads")),
    )
    op.create_index(op.f("ix_uploads_dealer_sha256"), "uploads", ["dealer", "sha256"], unique=False)
    op.create_table(
        "photo_jobs",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("job", sa.String(length=36), nullable=False),
        sa.ForeignKeyConstraint(
            ["dealer", "sha256"], ["photos.dealer", "photos.sha256"], name=op.f("fk_photo_jobs_dealer_sha256")
        ),
        sa.PrimaryKeyConstraint("dealer", "sha256", "job", name=op.f("pk_photo_jobs")),
    )
    op.create_index(op.f("ix_photo_jobs_dealer_job"), "photo_jobs", ["dealer", "job"], unique=False)
