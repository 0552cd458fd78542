"""What data loggers wrote: one row for each file that was read, its rows are attached to it."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "loggerfile",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=True),
        sa.Column("attempt_id", sa.Integer(), nullable=True),
        sa.Column("filename", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("mapping", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=True),
        sa.Column("first_at", sa.String(), nullable=False),
        sa.Column("last_at", sa.String(), nullable=False),
        sa.Column("step", sa.Float(), nullable=True),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("gaps", sa.Integer(), nullable=False),
        sa.Column("resets", sa.Integer(), nullable=False),
        sa.Column("stuck", sa.Integer(), nullable=False),
        sa.Column("spikes", sa.Integer(), nullable=False),
        sa.Column("bad", sa.Integer(), nullable=False),
        sa.Column("found", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=True),
        sa.CheckConstraint("number > 0", name=op.f("ck_loggerfile_number")),
        sa.CheckConstraint("rows > 0", name=op.f("ck_loggerfile_rows")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_loggerfile_build_id_build")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_loggerfile_revision_id_revision")),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempt.id"], name=op.f("fk_loggerfile_attempt_id_attempt")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loggerfile")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_loggerfile_build_id_number")),
    )
    for column in ("build_id", "revision_id", "attempt_id"):
        op.create_index(op.f(f"ix_loggerfile_{column}"), "loggerfile", [column], unique=False)
    if op.get_bind().dialect.name == "postgresql":
        _to_members()


def _to_members() -> None:
    """Who may read, log or change already may do so here, too."""
    op.execute("""
        DO $$ DECLARE member record; BEGIN
            FOR member IN SELECT r.rolname, bool_or(a.privilege_type = 'INSERT') AS logs,
                    bool_or(a.privilege_type = 'UPDATE') AS changes
                FROM pg_class c, aclexplode(c.relacl) a JOIN pg_roles r ON r.oid = a.grantee
                WHERE c.oid = to_regclass('attempt') AND a.grantee <> c.relowner GROUP BY r.rolname
            LOOP
                EXECUTE format('GRANT SELECT ON loggerfile TO %I', member.rolname);
                IF member.logs THEN
                    EXECUTE format('GRANT INSERT ON loggerfile TO %I', member.rolname);
                    EXECUTE format('GRANT USAGE ON SEQUENCE loggerfile_id_seq TO %I', member.rolname);
                END IF;
                IF member.changes THEN
                    EXECUTE format('GRANT UPDATE, DELETE ON loggerfile TO %I', member.rolname);
                END IF;
            END LOOP;
        END $$
    """)
