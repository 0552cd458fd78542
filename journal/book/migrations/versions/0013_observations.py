"""What was found of a failure by looking, one row for each look that was answered."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "observation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("failure_id", sa.Integer(), nullable=False),
        sa.Column("look", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("seen", sa.String(), nullable=False),
        sa.Column("seen_typed", sa.String(), nullable=True),
        sa.Column("note", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint("answer IN ('yes', 'no', 'cannot tell')", name=op.f("ck_observation_answer")),
        sa.CheckConstraint("number > 0", name=op.f("ck_observation_number")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_observation_build_id_build")),
        sa.ForeignKeyConstraint(["failure_id"], ["failure.id"], name=op.f("fk_observation_failure_id_failure")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observation")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_observation_build_id_number")),
    )
    for column in ("build_id", "failure_id"):
        op.create_index(op.f(f"ix_observation_{column}"), "observation", [column], unique=False)
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
                EXECUTE format('GRANT SELECT ON observation TO %I', member.rolname);
                IF member.logs THEN
                    EXECUTE format('GRANT INSERT ON observation TO %I', member.rolname);
                    EXECUTE format('GRANT USAGE ON SEQUENCE observation_id_seq TO %I', member.rolname);
                END IF;
                IF member.changes THEN
                    EXECUTE format('GRANT UPDATE, DELETE ON observation TO %I', member.rolname);
                END IF;
            END LOOP;
        END $$
    """)
