"""Each row of the history is bound to all before it, and a journal has a name of its own that no renaming changes."""

import hashlib
import json
import uuid

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

COVERED = ("at", "build_id", "kind", "record_id", "ref", "action", "before", "after", "why")


def upgrade() -> None:
    with op.batch_alter_table("history") as table:
        table.add_column(sa.Column("chain", sa.String(), nullable=False, server_default=""))
    connection = op.get_bind()
    previous = ""
    rows = connection.execute(sa.text("SELECT * FROM history ORDER BY id")).mappings().all()
    for row in rows:
        told = json.dumps([previous, *(row[name] for name in COVERED)], ensure_ascii=True, separators=(",", ":"))
        previous = hashlib.sha256(told.encode()).hexdigest()
        connection.execute(
            sa.text("UPDATE history SET chain = :chain WHERE id = :id"), {"chain": previous, "id": row["id"]}
        )
    with op.batch_alter_table("history") as table:
        table.alter_column("chain", server_default=None)
    connection.execute(
        sa.text("INSERT INTO setting (key, value) VALUES ('journal', :name)"), {"name": str(uuid.uuid4())}
    )
