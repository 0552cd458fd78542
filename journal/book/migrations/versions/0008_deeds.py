"""What one command did, so that it can be taken back as one; and until when a missing reading is promised."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "deed",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=True),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deed")),
    )
    op.add_column("measurement", sa.Column("due", sa.String(), nullable=True))
    op.add_column("measurement", sa.Column("due_typed", sa.String(), nullable=True))
    op.create_index(op.f("ix_deed_build_id"), "deed", ["build_id"], unique=False)
    if op.get_bind().dialect.name == "postgresql":
        _to_members()


def _to_members() -> None:
    """Who may log or change already marks what a command did, too."""
    op.execute("""
        DO $$ DECLARE member record; BEGIN
            FOR member IN SELECT DISTINCT r.rolname, bool_or(a.privilege_type = 'INSERT') AS logs
                FROM pg_class c, aclexplode(c.relacl) a JOIN pg_roles r ON r.oid = a.grantee
                WHERE c.oid = to_regclass('attempt') AND a.grantee <> c.relowner GROUP BY r.rolname
            LOOP
                EXECUTE format('GRANT SELECT ON deed TO %I', member.rolname);
                IF member.logs THEN
                    EXECUTE format('GRANT INSERT ON deed TO %I', member.rolname);
                    EXECUTE format('GRANT USAGE ON SEQUENCE deed_id_seq TO %I', member.rolname);
                END IF;
            END LOOP;
        END $$
    """)
