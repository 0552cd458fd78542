"""A sheet may keep what the builder wrote around its values."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sheettext",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_sheettext_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sheettext")),
        sa.UniqueConstraint("revision_id", name=op.f("uq_sheettext_revision_id")),
    )
