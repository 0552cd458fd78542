"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "build",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("purpose", sa.String(), nullable=True),
        sa.Column("region", sa.String(), nullable=True),
        sa.Column("place", sa.String(), nullable=True),
        sa.Column("builder", sa.String(), nullable=True),
        sa.Column("contact", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_build")),
        sa.UniqueConstraint("name", name=op.f("uq_build_name")),
    )
    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=True),
        sa.Column("ref", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("before", sa.String(), nullable=True),
        sa.Column("after", sa.String(), nullable=True),
        sa.Column("why", sa.String(), nullable=True),
        sa.CheckConstraint("action IN ('add', 'change', 'correction', 'remove')", name=op.f("ck_history_action")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history")),
    )
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_history_build_id"), ["build_id"], unique=False)

    op.create_table(
        "setting",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_setting")),
    )
    op.create_table(
        "attachment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("filename", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("caption", sa.String(), nullable=True),
        sa.Column("private", sa.Boolean(), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_attachment_number")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_attachment_build_id_build")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attachment")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_attachment_build_id_number")),
    )
    with op.batch_alter_table("attachment", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_attachment_build_id"), ["build_id"], unique=False)

    op.create_table(
        "instrument",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("accuracy", sa.String(), nullable=True),
        sa.Column("note", sa.String(), nullable=True),
        sa.CheckConstraint("number > 0", name=op.f("ck_instrument_number")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_instrument_build_id_build")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instrument")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_instrument_build_id_number")),
    )
    with op.batch_alter_table("instrument", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_instrument_build_id"), ["build_id"], unique=False)

    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=True),
        sa.Column("quantity", sa.Float(), nullable=False),
        sa.Column("condition", sa.String(), nullable=True),
        sa.Column("source", sa.String(), nullable=True),
        sa.Column("cost", sa.Float(), nullable=True),
        sa.Column("currency", sa.String(), nullable=True),
        sa.Column("mass", sa.Float(), nullable=True),
        sa.Column("rating", sa.String(), nullable=True),
        sa.Column("history", sa.String(), nullable=True),
        sa.Column("serial", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint("condition IN ('new', 'salvaged', 'made')", name=op.f("ck_part_condition")),
        sa.CheckConstraint("cost >= 0", name=op.f("ck_part_cost")),
        sa.CheckConstraint("mass >= 0", name=op.f("ck_part_mass")),
        sa.CheckConstraint("number > 0", name=op.f("ck_part_number")),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_part_quantity")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_part_build_id_build")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_part_build_id_number")),
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_build_id"), ["build_id"], unique=False)

    op.create_table(
        "revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=True),
        sa.Column("because", sa.String(), nullable=True),
        sa.Column("summary", sa.String(), nullable=True),
        sa.Column("parent_id", sa.Integer(), nullable=True),
        sa.Column("frozen_at", sa.String(), nullable=True),
        sa.CheckConstraint("number > 0", name=op.f("ck_revision_number")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_revision_build_id_build")),
        sa.ForeignKeyConstraint(["parent_id"], ["revision.id"], name=op.f("fk_revision_parent_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_revision")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_revision_build_id_number")),
    )
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_revision_build_id"), ["build_id"], unique=False)

    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("began", sa.String(), nullable=False),
        sa.Column("ended", sa.String(), nullable=True),
        sa.Column("did", sa.String(), nullable=False),
        sa.Column("saw", sa.String(), nullable=True),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("load_state", sa.String(), nullable=True),
        sa.Column("wind", sa.String(), nullable=True),
        sa.Column("wind_low", sa.Float(), nullable=True),
        sa.Column("wind_high", sa.Float(), nullable=True),
        sa.Column("wind_height", sa.Float(), nullable=True),
        sa.Column("wind_how", sa.String(), nullable=True),
        sa.Column("hours", sa.Float(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('bench test', 'raising', 'run', 'storm', 'repair', 'lowering', 'other')",
            name=op.f("ck_attempt_kind"),
        ),
        sa.CheckConstraint(
            "load_state IN ('nothing connected', 'battery', 'battery and loads', 'dump load', 'short circuit', 'not known')",
            name=op.f("ck_attempt_load_state"),
        ),
        sa.CheckConstraint(
            "outcome IN ('worked', 'partly', 'failed', 'still running')", name=op.f("ck_attempt_outcome")
        ),
        sa.CheckConstraint("hours >= 0", name=op.f("ck_attempt_hours")),
        sa.CheckConstraint("number > 0", name=op.f("ck_attempt_number")),
        sa.CheckConstraint("wind_low <= wind_high", name=op.f("ck_attempt_wind")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_attempt_build_id_build")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_attempt_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_attempt_build_id_number")),
    )
    with op.batch_alter_table("attempt", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_attempt_build_id"), ["build_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_attempt_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "claim",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column("power", sa.Float(), nullable=True),
        sa.Column("wind_speed", sa.Float(), nullable=True),
        sa.CheckConstraint("number > 0", name=op.f("ck_claim_number")),
        sa.CheckConstraint("power > 0", name=op.f("ck_claim_power")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_claim_build_id_build")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_claim_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_claim")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_claim_build_id_number")),
    )
    with op.batch_alter_table("claim", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_claim_build_id"), ["build_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_claim_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "partuse",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("fate", sa.String(), nullable=False),
        sa.Column("fate_note", sa.String(), nullable=True),
        sa.CheckConstraint(
            "fate IN ('in use', 'carried on', 'broken', 'worn out', 'spare', 'scrapped', 'sold')",
            name=op.f("ck_partuse_fate"),
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_partuse_part_id_part")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_partuse_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_partuse")),
        sa.UniqueConstraint("part_id", "revision_id", name=op.f("uq_partuse_part_id_revision_id")),
    )
    with op.batch_alter_table("partuse", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_partuse_part_id"), ["part_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_partuse_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "sheetvalue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("path", sa.String(), nullable=False),
        sa.Column("typed", sa.String(), nullable=False),
        sa.Column("number", sa.Float(), nullable=True),
        sa.Column("word", sa.String(), nullable=True),
        sa.Column("low", sa.Float(), nullable=True),
        sa.Column("high", sa.Float(), nullable=True),
        sa.Column("doubt", sa.String(), nullable=True),
        sa.Column("provenance", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=True),
        sa.CheckConstraint(
            "provenance IN ('measured', 'data plate', 'seller''s claim', 'calculated', 'estimate', 'assumed')",
            name=op.f("ck_sheetvalue_provenance"),
        ),
        sa.CheckConstraint("(number IS NULL) <> (word IS NULL)", name=op.f("ck_sheetvalue_one_value")),
        sa.CheckConstraint("number IS NULL OR (low <= number AND number <= high)", name=op.f("ck_sheetvalue_limits")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_sheetvalue_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sheetvalue")),
        sa.UniqueConstraint("revision_id", "path", name=op.f("uq_sheetvalue_revision_id_path")),
    )
    with op.batch_alter_table("sheetvalue", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sheetvalue_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "measurement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("attempt_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.String(), nullable=False),
        sa.Column("typed", sa.String(), nullable=True),
        sa.Column("value", sa.Float(), nullable=True),
        sa.Column("low", sa.Float(), nullable=True),
        sa.Column("high", sa.Float(), nullable=True),
        sa.Column("doubt", sa.String(), nullable=True),
        sa.Column("missing_because", sa.String(), nullable=True),
        sa.Column("load_state", sa.String(), nullable=True),
        sa.Column("where", sa.String(), nullable=True),
        sa.Column("instrument", sa.String(), nullable=True),
        sa.Column("instrument_id", sa.Integer(), nullable=True),
        sa.Column("conditions", sa.String(), nullable=True),
        sa.Column("wind", sa.String(), nullable=True),
        sa.Column("wind_low", sa.Float(), nullable=True),
        sa.Column("wind_high", sa.Float(), nullable=True),
        sa.Column("wind_height", sa.Float(), nullable=True),
        sa.Column("taken", sa.String(), nullable=False),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint(
            "load_state IN ('nothing connected', 'battery', 'battery and loads', 'dump load', 'short circuit', 'not known')",
            name=op.f("ck_measurement_load_state"),
        ),
        sa.CheckConstraint("(value IS NULL) <> (missing_because IS NULL)", name=op.f("ck_measurement_value_or_reason")),
        sa.CheckConstraint("number > 0", name=op.f("ck_measurement_number")),
        sa.CheckConstraint("value IS NULL OR (low <= value AND value <= high)", name=op.f("ck_measurement_limits")),
        sa.CheckConstraint("wind_low <= wind_high", name=op.f("ck_measurement_wind")),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempt.id"], name=op.f("fk_measurement_attempt_id_attempt")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_measurement_build_id_build")),
        sa.ForeignKeyConstraint(
            ["instrument_id"], ["instrument.id"], name=op.f("fk_measurement_instrument_id_instrument")
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_measurement_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_measurement")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_measurement_build_id_number")),
    )
    with op.batch_alter_table("measurement", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_measurement_attempt_id"), ["attempt_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_measurement_build_id"), ["build_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_measurement_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("context", sa.String(), nullable=True),
        sa.Column("decided_on", sa.String(), nullable=True),
        sa.Column("because", sa.String(), nullable=True),
        sa.Column("expected", sa.String(), nullable=True),
        sa.Column("odds", sa.Float(), nullable=True),
        sa.Column("review_on", sa.String(), nullable=True),
        sa.Column("expects_quantity", sa.String(), nullable=True),
        sa.Column("expects_relation", sa.String(), nullable=True),
        sa.Column("expects_value", sa.Float(), nullable=True),
        sa.Column("expects_wind", sa.String(), nullable=True),
        sa.Column("tool_odds", sa.Float(), nullable=True),
        sa.Column("resolved_by_id", sa.Integer(), nullable=True),
        sa.Column("result", sa.String(), nullable=True),
        sa.Column("result_note", sa.String(), nullable=True),
        sa.Column("reviewed_on", sa.String(), nullable=True),
        sa.Column("supersedes_id", sa.Integer(), nullable=True),
        sa.Column("rule", sa.String(), nullable=True),
        sa.Column("subject", sa.String(), nullable=True),
        sa.Column("until", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint("expects_relation IN ('above', 'below')", name=op.f("ck_decision_expects_relation")),
        sa.CheckConstraint("kind IN ('design', 'acceptance')", name=op.f("ck_decision_kind")),
        sa.CheckConstraint(
            "result IN ('came true', 'partly', 'did not', 'cannot tell')", name=op.f("ck_decision_result")
        ),
        sa.CheckConstraint("number > 0", name=op.f("ck_decision_number")),
        sa.CheckConstraint("odds BETWEEN 0 AND 1", name=op.f("ck_decision_odds")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_decision_build_id_build")),
        sa.ForeignKeyConstraint(
            ["resolved_by_id"], ["measurement.id"], name=op.f("fk_decision_resolved_by_id_measurement")
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_decision_revision_id_revision")),
        sa.ForeignKeyConstraint(["supersedes_id"], ["decision.id"], name=op.f("fk_decision_supersedes_id_decision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_decision_build_id_number")),
    )
    with op.batch_alter_table("decision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decision_build_id"), ["build_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_decision_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "criterion",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("decision_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("figure", sa.String(), nullable=True),
        sa.Column("more_is_better", sa.Boolean(), nullable=False),
        sa.Column("weight", sa.Float(), nullable=False),
        sa.CheckConstraint("weight > 0", name=op.f("ck_criterion_weight")),
        sa.ForeignKeyConstraint(["decision_id"], ["decision.id"], name=op.f("fk_criterion_decision_id_decision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_criterion")),
        sa.UniqueConstraint("decision_id", "name", name=op.f("uq_criterion_decision_id_name")),
    )
    with op.batch_alter_table("criterion", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_criterion_decision_id"), ["decision_id"], unique=False)

    op.create_table(
        "failure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("withdrawn_because", sa.String(), nullable=True),
        sa.Column("recorded_at", sa.String(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("attempt_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("happened", sa.String(), nullable=False),
        sa.Column("saw", sa.String(), nullable=False),
        sa.Column("item", sa.String(), nullable=True),
        sa.Column("effect", sa.String(), nullable=True),
        sa.Column("harm", sa.String(), nullable=False),
        sa.Column("severity", sa.Integer(), nullable=True),
        sa.Column("likelihood", sa.String(), nullable=True),
        sa.Column("contained", sa.String(), nullable=True),
        sa.Column("caused_by_id", sa.Integer(), nullable=True),
        sa.Column("criterion", sa.String(), nullable=True),
        sa.Column("correction_id", sa.Integer(), nullable=True),
        sa.Column("built_into_id", sa.Integer(), nullable=True),
        sa.Column("verified_by_attempt_id", sa.Integer(), nullable=True),
        sa.Column("verified_by_measurement_id", sa.Integer(), nullable=True),
        sa.Column("verified_note", sa.String(), nullable=True),
        sa.Column("private_note", sa.String(), nullable=True),
        sa.CheckConstraint("harm IN ('none', 'near miss', 'injury', 'not said')", name=op.f("ck_failure_harm")),
        sa.CheckConstraint("likelihood IN ('A', 'B', 'C', 'D', 'E', 'F')", name=op.f("ck_failure_likelihood")),
        sa.CheckConstraint("number > 0", name=op.f("ck_failure_number")),
        sa.CheckConstraint("severity BETWEEN 1 AND 4", name=op.f("ck_failure_severity")),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempt.id"], name=op.f("fk_failure_attempt_id_attempt")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_failure_build_id_build")),
        sa.ForeignKeyConstraint(["built_into_id"], ["revision.id"], name=op.f("fk_failure_built_into_id_revision")),
        sa.ForeignKeyConstraint(["caused_by_id"], ["failure.id"], name=op.f("fk_failure_caused_by_id_failure")),
        sa.ForeignKeyConstraint(["correction_id"], ["decision.id"], name=op.f("fk_failure_correction_id_decision")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_failure_part_id_part")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_failure_revision_id_revision")),
        sa.ForeignKeyConstraint(
            ["verified_by_attempt_id"], ["attempt.id"], name=op.f("fk_failure_verified_by_attempt_id_attempt")
        ),
        sa.ForeignKeyConstraint(
            ["verified_by_measurement_id"],
            ["measurement.id"],
            name=op.f("fk_failure_verified_by_measurement_id_measurement"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failure")),
        sa.UniqueConstraint("build_id", "number", name=op.f("uq_failure_build_id_number")),
    )
    with op.batch_alter_table("failure", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_failure_build_id"), ["build_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_failure_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "option",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("decision_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("summary", sa.String(), nullable=True),
        sa.Column("changes", sa.String(), nullable=False),
        sa.Column("cost", sa.Float(), nullable=True),
        sa.Column("currency", sa.String(), nullable=True),
        sa.Column("mass", sa.Float(), nullable=True),
        sa.Column("consequences", sa.String(), nullable=True),
        sa.Column("chosen", sa.Boolean(), nullable=False),
        sa.Column("refused_because", sa.String(), nullable=True),
        sa.ForeignKeyConstraint(["decision_id"], ["decision.id"], name=op.f("fk_option_decision_id_decision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_option")),
        sa.UniqueConstraint("decision_id", "position", name=op.f("uq_option_decision_id_position")),
    )
    with op.batch_alter_table("option", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_option_decision_id"), ["decision_id"], unique=False)

    op.create_table(
        "cause",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("failure_id", sa.Integer(), nullable=False),
        sa.Column("said_on", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("sure", sa.Float(), nullable=True),
        sa.Column("because", sa.String(), nullable=True),
        sa.Column("rule", sa.String(), nullable=True),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("rejected_because", sa.String(), nullable=True),
        sa.CheckConstraint("standing IN ('believed', 'contributing', 'rejected')", name=op.f("ck_cause_standing")),
        sa.CheckConstraint("sure BETWEEN 0 AND 1", name=op.f("ck_cause_sure")),
        sa.ForeignKeyConstraint(["failure_id"], ["failure.id"], name=op.f("fk_cause_failure_id_failure")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cause")),
    )
    with op.batch_alter_table("cause", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_cause_failure_id"), ["failure_id"], unique=False)

    op.create_table(
        "score",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("criterion_id", sa.Integer(), nullable=False),
        sa.Column("option_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.Float(), nullable=False),
        sa.CheckConstraint("value BETWEEN 0 AND 10", name=op.f("ck_score_value")),
        sa.ForeignKeyConstraint(["criterion_id"], ["criterion.id"], name=op.f("fk_score_criterion_id_criterion")),
        sa.ForeignKeyConstraint(["option_id"], ["option.id"], name=op.f("fk_score_option_id_option")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_score")),
        sa.UniqueConstraint("criterion_id", "option_id", name=op.f("uq_score_criterion_id_option_id")),
    )
    with op.batch_alter_table("score", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_score_criterion_id"), ["criterion_id"], unique=False)

    op.create_table(
        "evidence",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("failure_id", sa.Integer(), nullable=False),
        sa.Column("cause_id", sa.Integer(), nullable=True),
        sa.Column("measurement_id", sa.Integer(), nullable=True),
        sa.Column("leans", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.CheckConstraint("leans IN ('for', 'against', 'neither')", name=op.f("ck_evidence_leans")),
        sa.ForeignKeyConstraint(["cause_id"], ["cause.id"], name=op.f("fk_evidence_cause_id_cause")),
        sa.ForeignKeyConstraint(["failure_id"], ["failure.id"], name=op.f("fk_evidence_failure_id_failure")),
        sa.ForeignKeyConstraint(
            ["measurement_id"], ["measurement.id"], name=op.f("fk_evidence_measurement_id_measurement")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_evidence")),
    )
    with op.batch_alter_table("evidence", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_evidence_failure_id"), ["failure_id"], unique=False)
