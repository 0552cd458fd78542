"""Words that are searched, the content of files for a journal on a server, and who made a change."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("history", sa.Column("who", sa.String(), nullable=True))
    op.create_table(
        "searchtext",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=True),
        sa.Column("ref", sa.String(), nullable=False),
        sa.Column("at", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_searchtext")),
        sa.UniqueConstraint("kind", "record_id", name=op.f("uq_searchtext_kind_record_id")),
    )
    op.create_table(
        "filecontent",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", "piece", name=op.f("pk_filecontent")),
    )
    if op.get_bind().dialect.name == "postgresql":
        _guards()


def _guards() -> None:
    """What a server holds members to whatever program they use.

    They sign their own changes only, and choose a build for themselves only.
    """
    op.execute("""
        CREATE FUNCTION history_signed() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF NEW.who IS DISTINCT FROM session_user::text AND NOT pg_has_role(session_user,
                (SELECT relowner FROM pg_class WHERE oid = TG_RELID), 'USAGE') THEN
                RAISE EXCEPTION 'a change is signed by who makes it' USING ERRCODE = 'insufficient_privilege';
            END IF;
            RETURN NEW;
        END $$
    """)
    op.execute("CREATE TRIGGER history_signed BEFORE INSERT ON history FOR EACH ROW EXECUTE FUNCTION history_signed()")
    op.execute("ALTER TABLE setting ENABLE ROW LEVEL SECURITY")
    op.execute("CREATE POLICY setting_read ON setting FOR SELECT USING (true)")
    own = "key = 'build of ' || session_user"
    op.execute(f"CREATE POLICY setting_own ON setting FOR ALL USING ({own}) WITH CHECK ({own})")
