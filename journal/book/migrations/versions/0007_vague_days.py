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
OUTCOMES = "outcome IN ('worked', 'partly', 'failed', 'still running', 'not said')"
KINDS = "kind IN ('bench test', 'raising', 'run', 'storm', 'repair', 'lowering', 'other')"
LOADS = "load_state IN ('nothing connected', 'battery', 'battery and loads', 'dump load', 'short circuit', 'not known')"


def upgrade() -> None:
    for table, names in DAYS.items():
        for name in names:
            op.add_column(table, sa.Column(f"{name}_typed", sa.String(), nullable=True))
    if op.get_bind().dialect.name == "sqlite":
        _attempts_anew()
    else:
        op.drop_constraint(op.f("ck_attempt_outcome"), "attempt", type_="check")
        op.create_check_constraint(op.f("ck_attempt_outcome"), "attempt", OUTCOMES)


def _attempts_anew() -> None:
    """SQLite changes no constraint; and what makes a table anew by itself puts them in any order."""
    text = ("kind", "began", "ended", "did", "saw", "outcome", "load_state", "wind")
    numbers = ("wind_low", "wind_high", "wind_height")
    needed = ("kind", "began", "did", "outcome")
    op.create_table(
        "attempt_anew",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.String(), nullable=name not in needed) for name in text),
        *(sa.Column(name, sa.Float(), nullable=True) for name in numbers),
        sa.Column("wind_how", sa.String(), nullable=True),
        sa.Column("hours", sa.Float(), nullable=True),
        *(sa.Column(name, sa.String(), nullable=True) for name in ("private_note", "began_typed", "ended_typed")),
        sa.CheckConstraint(KINDS, name=op.f("ck_attempt_kind")),
        sa.CheckConstraint(LOADS, name=op.f("ck_attempt_load_state")),
        sa.CheckConstraint(OUTCOMES, name=op.f("ck_attempt_outcome")),
        sa.CheckConstraint("hours >= 0", name=op.f("ck_attempt_hours")),
        sa.CheckConstraint("number > 0", name=op.f("ck_attempt_number")),
        sa.CheckConstraint("wind_low <= wind_high", name=op.f("ck_attempt_wind")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_attempt_build_id_build")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_attempt_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_attempt_build_id_number")),
    )
    names = ", ".join(f'"{column["name"]}"' for column in sa.inspect(op.get_bind()).get_columns("attempt_anew"))
    op.execute(f"INSERT INTO attempt_anew ({names}) SELECT {names} FROM attempt")
    op.drop_table("attempt")
    op.rename_table("attempt_anew", "attempt")
    for name in ("build_id", "revision_id"):
        op.create_index(op.f(f"ix_attempt_{name}"), "attempt", [name], unique=False)
