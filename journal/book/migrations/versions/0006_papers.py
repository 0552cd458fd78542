"""Permissions, insurances and other papers with their dates."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "paper",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=True),
        sa.Column("serial", sa.String(), nullable=True),
        sa.Column("given", sa.String(), nullable=True),
        sa.Column("until", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('permission', 'insurance', 'setback', 'notice', 'other')", name=op.f("ck_paper_kind")
        ),
        sa.CheckConstraint("number > 0", name=op.f("ck_paper_number")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_paper_build_id_build")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_paper_build_id_number")),
    )
    op.create_index(op.f("ix_paper_build_id"), "paper", ["build_id"], unique=False)
