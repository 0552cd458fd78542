"""In what units a build is told: one setting per build, empty where nobody has said."""

from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Both databases take a column with its check in this form; Alembic's own would need a table made anew on SQLite.
    op.execute(
        "ALTER TABLE build ADD COLUMN units VARCHAR CONSTRAINT ck_build_units CHECK (units IN ('metric', 'feet'))"
    )
