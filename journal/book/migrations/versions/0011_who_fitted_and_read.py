"""Who fitted a part to a revision and when, and who read a measurement."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("fitted_by", "fitted_on", "fitted_on_typed"):
        op.add_column("partuse", sa.Column(name, sa.String(), nullable=True))
    op.add_column("measurement", sa.Column("read_by", sa.String(), nullable=True))
