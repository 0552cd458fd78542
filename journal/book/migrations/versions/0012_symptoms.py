"""What a failure looks like in the catalogue's words, where its builder said so."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("failure", sa.Column("symptoms", sa.String(), nullable=True))
