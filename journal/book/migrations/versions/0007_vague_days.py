"""What was typed of a day stands beside it, and of an attempt it may be said that nobody said how it went."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

DAYS = {
    "attempt": ("began", "ended"),
    "measurement": ("taken",),
    "failure": ("happened",),
    "cause": ("said_on",),
    "decision": ("decided_on", "review_on", "reviewed_on", "until"),
    "paper": ("given", "until"),
}


def upgrade() -> None:
    for table, names in DAYS.items():
        for name in names:
            op.add_column(table, sa.Column(f"{name}_typed", sa.String(), nullable=True))
    with op.batch_alter_table("attempt") as attempt:
        attempt.drop_constraint(op.f("ck_attempt_outcome"), type_="check")
        attempt.create_check_constraint(
            op.f("ck_attempt_outcome"), "outcome IN ('worked', 'partly', 'failed', 'still running', 'not said')"
        )
