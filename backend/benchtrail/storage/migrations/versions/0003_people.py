"""Roles, sessions that can be named, codes that set a password, and an audit log that the database itself keeps as it is."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

REFUSES = {
    "sqlite": [
        f"CREATE TRIGGER audit_log_no_{word.lower()} BEFORE {word} ON audit_log "
        "BEGIN SELECT RAISE(ABORT, 'the audit log is only ever added to'); END"
        for word in ("UPDATE", "DELETE")
    ],
    "postgresql": [
        "CREATE FUNCTION audit_log_stays() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the audit log is only ever added to'; END $$",
        "CREATE TRIGGER audit_log_no_change BEFORE UPDATE OR DELETE ON audit_log "
        "FOR EACH ROW EXECUTE FUNCTION audit_log_stays()",
        "CREATE TRIGGER audit_log_no_emptying BEFORE TRUNCATE ON audit_log "
        "FOR EACH STATEMENT EXECUTE FUNCTION audit_log_stays()",
    ],
}


def upgrade() -> None:
    op.add_column("accounts", sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True))
    # Whoever is signed in signs in again: a session without a name of its own could not be listed.
    op.execute("DELETE FROM desk_sessions")
    with op.batch_alter_table("desk_sessions") as table:
        table.add_column(sa.Column("id", sa.String(length=36), nullable=False))
        table.add_column(sa.Column("browser", sa.String(length=200), nullable=False))
        table.create_unique_constraint(op.f("uq_desk_sessions_id"), ["id"])
    op.create_table(
        "password_codes",
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["dealer", "name"], ["accounts.dealer", "accounts.name"], name=op.f("fk_password_codes_dealer_name")
        ),
        sa.PrimaryKeyConstraint("code_hash", name=op.f("pk_password_codes")),
    )
    op.create_table(
        "audit_log",
        sa.Column("dealer", sa.String(length=64), nullable=False),
        sa.Column("number", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by", sa.String(length=120), nullable=False),
        sa.Column("act", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=200), nullable=False),
        sa.Column("values", sa.JSON(), nullable=False),
        sa.Column("prev", sa.String(length=64), nullable=True),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["dealer"], ["dealers.slug"], name=op.f("fk_audit_log_dealer")),
        sa.PrimaryKeyConstraint("dealer", "number", name=op.f("pk_audit_log")),
    )
    for statement in REFUSES[op.get_bind().dialect.name]:
        op.execute(statement)
