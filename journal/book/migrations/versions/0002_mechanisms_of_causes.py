"""A cause may name the mechanism that it means."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("cause", sa.Column("mechanism", sa.String(), nullable=True))
