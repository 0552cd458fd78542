"""What a builder asks the readers of a write-up, and what is promised to the neighbours; both may be published."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("questions", "promise"):
        op.add_column("build", sa.Column(name, sa.String(), nullable=True))
