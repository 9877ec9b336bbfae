"""The first released schema."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "instructor_file",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_instructor_file"),
        sa.UniqueConstraint("kind", "name", name="uq_instructor_file_kind_name"),
    )
    op.create_table(
        "person",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("added_unix_s", sa.Float(53), nullable=False),
        sa.Column("initials", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_person"),
    )
    op.create_table(
        "recording",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("format", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("kept_unix_s", sa.Float(53), nullable=False),
        sa.Column("start_unix_s", sa.Float(53), nullable=True),
        sa.Column("end_unix_s", sa.Float(53), nullable=True),
        sa.PrimaryKeyConstraint("key", name="pk_recording"),
    )
    op.create_table(
        "set_aside",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("problems", sa.Text(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("set_aside_unix_s", sa.Float(53), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_set_aside"),
    )
    op.create_table(
        "setting",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_setting"),
    )
    op.create_table(
        "file_text",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("kept_unix_s", sa.Float(53), nullable=False),
        sa.ForeignKeyConstraint(
            ["file"], ["instructor_file.key"], name="fk_file_text_file", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_file_text"),
        sa.UniqueConstraint("file", "number", name="uq_file_text_file_number"),
    )
    op.create_index("ix_file_text_file", "file_text", ["file"], unique=False)
    op.create_table(
        "lesson",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("trainee", sa.Text(), nullable=False),
        sa.Column("begun_unix_s", sa.Float(53), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("instructor", sa.Text(), nullable=True),
        sa.Column("airplane", sa.Text(), nullable=True),
        sa.Column("airfield", sa.Text(), nullable=True),
        sa.Column("duration_s", sa.Float(53), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["airfield"], ["instructor_file.key"], name="fk_lesson_airfield", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["airplane"], ["instructor_file.key"], name="fk_lesson_airplane", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["instructor"], ["person.key"], name="fk_lesson_instructor", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["trainee"], ["person.key"], name="fk_lesson_trainee", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_lesson"),
    )
    op.create_index("ix_lesson_airfield", "lesson", ["airfield"], unique=False)
    op.create_index("ix_lesson_airplane", "lesson", ["airplane"], unique=False)
    op.create_index("ix_lesson_begun_unix_s", "lesson", ["begun_unix_s"], unique=False)
    op.create_index("ix_lesson_instructor", "lesson", ["instructor"], unique=False)
    op.create_index("ix_lesson_trainee", "lesson", ["trainee"], unique=False)
    op.create_table(
        "original",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["key"], ["recording.key"], name="fk_original_key", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_original"),
    )
    op.create_table(
        "teaching_flight",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("airplane", sa.Text(), nullable=False),
        sa.Column("recording", sa.Text(), nullable=False),
        sa.Column("weight_kg", sa.Float(53), nullable=False),
        sa.Column("configurations", sa.Text(), nullable=False),
        sa.Column("kept_unix_s", sa.Float(53), nullable=False),
        sa.Column("air_temperature_k", sa.Float(53), nullable=True),
        sa.Column("qnh_pa", sa.Float(53), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["airplane"],
            ["instructor_file.key"],
            name="fk_teaching_flight_airplane",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["recording"], ["recording.key"], name="fk_teaching_flight_recording", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_teaching_flight"),
        sa.UniqueConstraint("airplane", "recording", name="uq_teaching_flight_airplane_recording"),
    )
    op.create_index("ix_teaching_flight_airplane", "teaching_flight", ["airplane"], unique=False)
    op.create_index("ix_teaching_flight_recording", "teaching_flight", ["recording"], unique=False)
    op.create_table(
        "adoption",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("airplane", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("text_before", sa.Text(), nullable=False),
        sa.Column("best_eas_mps", sa.Float(53), nullable=False),
        sa.Column("best_eas_sd_mps", sa.Float(53), nullable=False),
        sa.Column("best_ratio", sa.Float(53), nullable=False),
        sa.Column("best_ratio_sd", sa.Float(53), nullable=False),
        sa.Column("flights", sa.Integer(), nullable=False),
        sa.Column("stretches", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("code_version", sa.Text(), nullable=False),
        sa.Column("adopted_unix_s", sa.Float(53), nullable=False),
        sa.ForeignKeyConstraint(
            ["airplane"], ["instructor_file.key"], name="fk_adoption_airplane", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["text"], ["file_text.key"], name="fk_adoption_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["text_before"], ["file_text.key"], name="fk_adoption_text_before", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_adoption"),
    )
    op.create_index("ix_adoption_airplane", "adoption", ["airplane"], unique=False)
    op.create_index("ix_adoption_text", "adoption", ["text"], unique=False)
    op.create_index("ix_adoption_text_before", "adoption", ["text_before"], unique=False)
    op.create_table(
        "debrief",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("recording", sa.Text(), nullable=False),
        sa.Column("exercise_text", sa.Text(), nullable=False),
        sa.Column("airplane_text", sa.Text(), nullable=False),
        sa.Column("airfield_text", sa.Text(), nullable=False),
        sa.Column("options", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("code_version", sa.Text(), nullable=False),
        sa.Column("made_unix_s", sa.Float(53), nullable=False),
        sa.Column("trainee", sa.Text(), nullable=True),
        sa.Column("instructor", sa.Text(), nullable=True),
        sa.Column("lesson", sa.Text(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["airfield_text"], ["file_text.key"], name="fk_debrief_airfield_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["airplane_text"], ["file_text.key"], name="fk_debrief_airplane_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["exercise_text"], ["file_text.key"], name="fk_debrief_exercise_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["instructor"], ["person.key"], name="fk_debrief_instructor", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["lesson"], ["lesson.key"], name="fk_debrief_lesson", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["recording"], ["recording.key"], name="fk_debrief_recording", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["trainee"], ["person.key"], name="fk_debrief_trainee", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_debrief"),
    )
    op.create_index("ix_debrief_airfield_text", "debrief", ["airfield_text"], unique=False)
    op.create_index("ix_debrief_airplane_text", "debrief", ["airplane_text"], unique=False)
    op.create_index("ix_debrief_exercise_text", "debrief", ["exercise_text"], unique=False)
    op.create_index("ix_debrief_instructor", "debrief", ["instructor"], unique=False)
    op.create_index("ix_debrief_lesson", "debrief", ["lesson"], unique=False)
    op.create_index("ix_debrief_recording", "debrief", ["recording"], unique=False)
    op.create_index("ix_debrief_trainee", "debrief", ["trainee"], unique=False)
    op.create_table(
        "plan",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("exercise_text", sa.Text(), nullable=False),
        sa.Column("airplane_text", sa.Text(), nullable=False),
        sa.Column("airfield_text", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("code_version", sa.Text(), nullable=False),
        sa.Column("planned_unix_s", sa.Float(53), nullable=False),
        sa.Column("trainee", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["airfield_text"], ["file_text.key"], name="fk_plan_airfield_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["airplane_text"], ["file_text.key"], name="fk_plan_airplane_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["exercise_text"], ["file_text.key"], name="fk_plan_exercise_text", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["trainee"], ["person.key"], name="fk_plan_trainee", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_plan"),
    )
    op.create_index("ix_plan_airfield_text", "plan", ["airfield_text"], unique=False)
    op.create_index("ix_plan_airplane_text", "plan", ["airplane_text"], unique=False)
    op.create_index("ix_plan_exercise_text", "plan", ["exercise_text"], unique=False)
    op.create_index("ix_plan_trainee", "plan", ["trainee"], unique=False)
    op.create_table(
        "attempt",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("debrief", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("start_unix_s", sa.Float(53), nullable=False),
        sa.Column("end_unix_s", sa.Float(53), nullable=False),
        sa.Column("runway", sa.Text(), nullable=False),
        sa.Column("side", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=True),
        sa.Column("in_hand_m", sa.Float(53), nullable=True),
        sa.Column("in_hand_sd_m", sa.Float(53), nullable=True),
        sa.Column("least_room_above_m", sa.Float(53), nullable=True),
        sa.Column("touchdown_x_m", sa.Float(53), nullable=True),
        sa.Column("touchdown_x_sd_m", sa.Float(53), nullable=True),
        sa.Column("touchdown_y_m", sa.Float(53), nullable=True),
        sa.Column("go_around_height_m", sa.Float(53), nullable=True),
        sa.Column("is_timely", sa.Boolean(), nullable=True),
        sa.Column("headwind_mps", sa.Float(53), nullable=True),
        sa.Column("crosswind_mps", sa.Float(53), nullable=True),
        sa.Column("maximum_bank_rad", sa.Float(53), nullable=True),
        sa.Column("minimum_cas_mps", sa.Float(53), nullable=True),
        sa.ForeignKeyConstraint(
            ["debrief"], ["debrief.key"], name="fk_attempt_debrief", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_attempt"),
        sa.UniqueConstraint("debrief", "number", name="uq_attempt_debrief_number"),
    )
    op.create_index("ix_attempt_debrief", "attempt", ["debrief"], unique=False)
    op.create_index("ix_attempt_start_unix_s", "attempt", ["start_unix_s"], unique=False)
    op.create_table(
        "card",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.Column("sheet", sa.Text(), nullable=False),
        sa.Column("paper", sa.Text(), nullable=False),
        sa.Column("cautions", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("printed_unix_s", sa.Float(53), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plan.key"], name="fk_card_plan", initially="DEFERRED", deferrable=True),
        sa.PrimaryKeyConstraint("key", name="pk_card"),
    )
    op.create_index("ix_card_plan", "card", ["plan"], unique=False)
    op.create_table(
        "note",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("debrief", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("written_unix_s", sa.Float(53), nullable=False),
        sa.Column("is_private", sa.Boolean(), nullable=False),
        sa.Column("time_s", sa.Float(53), nullable=True),
        sa.Column("author", sa.Text(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["author"], ["person.key"], name="fk_note_author", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["debrief"], ["debrief.key"], name="fk_note_debrief", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_note"),
    )
    op.create_index("ix_note_author", "note", ["author"], unique=False)
    op.create_index("ix_note_debrief", "note", ["debrief"], unique=False)
    op.create_table(
        "gate",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("attempt", sa.Text(), nullable=False),
        sa.Column("gate", sa.Text(), nullable=False),
        sa.Column("height_m", sa.Float(53), nullable=False),
        sa.Column("height_sd_m", sa.Float(53), nullable=False),
        sa.Column("planned_m", sa.Float(53), nullable=True),
        sa.Column("lowest_m", sa.Float(53), nullable=True),
        sa.Column("highest_m", sa.Float(53), nullable=True),
        sa.ForeignKeyConstraint(
            ["attempt"], ["attempt.key"], name="fk_gate_attempt", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_gate"),
        sa.UniqueConstraint("attempt", "gate", name="uq_gate_attempt_gate"),
    )
    op.create_index("ix_gate_attempt", "gate", ["attempt"], unique=False)
    op.create_table(
        "standard_item",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("attempt", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("limit_low", sa.Float(53), nullable=True),
        sa.Column("limit_high", sa.Float(53), nullable=True),
        sa.Column("value", sa.Float(53), nullable=True),
        sa.Column("is_met", sa.Boolean(), nullable=True),
        sa.ForeignKeyConstraint(
            ["attempt"], ["attempt.key"], name="fk_standard_item_attempt", initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("key", name="pk_standard_item"),
        sa.UniqueConstraint("attempt", "number", name="uq_standard_item_attempt_number"),
    )
    op.create_index("ix_standard_item_attempt", "standard_item", ["attempt"], unique=False)
