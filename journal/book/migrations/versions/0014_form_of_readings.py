"""In what form a voltage without load was read: behind the rectifier, between two leads, to the star point."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("measurement", sa.Column("form", sa.String(), nullable=True))
