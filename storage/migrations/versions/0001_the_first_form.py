"""the first form.

Everything that the service remembers, as its first version needs it.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this form."""
    op.create_table(
        "inbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("gateway_id", sa.Text(), nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("recipient", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("fault", sa.Text(), nullable=True),
        sa.Column("read_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("person", sa.Text(), nullable=True),
        sa.Column("understood", sa.Text(), nullable=True),
        sa.Column("needs_person", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbox")),
        sa.UniqueConstraint("gateway", "gateway_id", name=op.f("uq_inbox_gateway_gateway_id")),
    )
    with op.batch_alter_table("inbox", schema=None) as batch_op:
        batch_op.create_index("ix_inbox_state_sender", ["state", "sender", "id"], unique=False)

    op.create_table(
        "ledger",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_ledger")),
    )
    op.create_table(
        "phones",
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=True),
        sa.Column("opted_out_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("paused_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("phone", name=op.f("pk_phones")),
    )
    op.create_table(
        "rounds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("levels", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rounds")),
    )
    with op.batch_alter_table("rounds", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_rounds_field"), ["field"], unique=False)

    op.create_table(
        "season_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("season_text", sa.Text(), nullable=False),
        sa.Column("book_text", sa.Text(), nullable=False),
        sa.Column("loaded_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season_versions")),
    )
    op.create_table(
        "crossings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("target", sa.Text(), nullable=False),
        sa.Column("round_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("standing", sa.Text(), nullable=False),
        sa.Column("figures", sa.JSON(), nullable=False),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.Column("crossed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["round_id"], ["rounds.id"], name=op.f("fk_crossings_round_id_rounds")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_crossings_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crossings")),
    )
    with op.batch_alter_table("crossings", schema=None) as batch_op:
        batch_op.create_index("ix_crossings_field_target", ["field", "target", "id"], unique=False)

    op.create_table(
        "outbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("recipient", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=True),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("cause", sa.Integer(), nullable=True),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("claimed_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("fault", sa.Text(), nullable=True),
        sa.Column("left_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("delivery", sa.Text(), nullable=True),
        sa.Column("delivery_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["cause"], ["inbox.id"], name=op.f("fk_outbox_cause_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outbox")),
        sa.UniqueConstraint("key", name=op.f("uq_outbox_key")),
    )
    with op.batch_alter_table("outbox", schema=None) as batch_op:
        batch_op.create_index("ix_outbox_state_due_at", ["state", "due_at"], unique=False)

    op.create_table(
        "questions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("phone", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("waits", sa.JSON(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_questions_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_questions")),
    )
    with op.batch_alter_table("questions", schema=None) as batch_op:
        batch_op.create_index(
            "uq_questions_phone_open",
            ["phone"],
            unique=True,
            sqlite_where=sa.text("state = 'open'"),
            postgresql_where=sa.text("state = 'open'"),
        )

    op.create_table(
        "shares",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("of", sa.Integer(), nullable=False),
        sa.Column("asked", sa.Boolean(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("counted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["ended_by"], ["inbox.id"], name=op.f("fk_shares_ended_by_inbox")),
        sa.ForeignKeyConstraint(["replaces"], ["shares.id"], name=op.f("fk_shares_replaces_shares")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_shares_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shares")),
    )
    with op.batch_alter_table("shares", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shares_field"), ["field"], unique=False)
        batch_op.create_index(batch_op.f("ix_shares_text_id"), ["text_id"], unique=False)

    op.create_table(
        "stage_texts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("phase", sa.Text(), nullable=False),
        sa.Column("week", sa.Integer(), nullable=False),
        sa.Column("proposal", sa.Boolean(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_stage_texts_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stage_texts")),
    )
    with op.batch_alter_table("stage_texts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stage_texts_field"), ["field"], unique=False)

    op.create_table(
        "visits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("round_id", sa.Integer(), nullable=True),
        sa.Column("site", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("levels", sa.JSON(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=True),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["round_id"], ["rounds.id"], name=op.f("fk_visits_round_id_rounds")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visits")),
        sa.UniqueConstraint("site", "day", name=op.f("uq_visits_site_day")),
    )
    with op.batch_alter_table("visits", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_visits_field"), ["field"], unique=False)
        batch_op.create_index(batch_op.f("ix_visits_round_id"), ["round_id"], unique=False)

    op.create_table(
        "alerts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("crossing_id", sa.Integer(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("outbox_id", sa.Integer(), nullable=False),
        sa.Column("read_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["crossing_id"], ["crossings.id"], name=op.f("fk_alerts_crossing_id_crossings")
        ),
        sa.ForeignKeyConstraint(["outbox_id"], ["outbox.id"], name=op.f("fk_alerts_outbox_id_outbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_alerts")),
        sa.UniqueConstraint("crossing_id", "person", name=op.f("uq_alerts_crossing_id_person")),
    )
    with op.batch_alter_table("alerts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_alerts_person"), ["person"], unique=False)

    op.create_table(
        "samples",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("visit_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("form", sa.Text(), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.Column("extras", sa.JSON(), nullable=False),
        sa.Column("lost", sa.Boolean(), nullable=False),
        sa.Column("effort", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("assigned", sa.Boolean(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("counted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["ended_by"], ["inbox.id"], name=op.f("fk_samples_ended_by_inbox")),
        sa.ForeignKeyConstraint(["replaces"], ["samples.id"], name=op.f("fk_samples_replaces_samples")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_samples_text_id_inbox")),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"], name=op.f("fk_samples_visit_id_visits")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_samples")),
    )
    with op.batch_alter_table("samples", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_samples_text_id"), ["text_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_samples_visit_id"), ["visit_id"], unique=False)
        batch_op.create_index(
            "uq_samples_visit_id_number_standing",
            ["visit_id", "number"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )


def downgrade() -> None:
    """Bring the tables back."""
    with op.batch_alter_table("samples", schema=None) as batch_op:
        batch_op.drop_index(
            "uq_samples_visit_id_number_standing",
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )
        batch_op.drop_index(batch_op.f("ix_samples_visit_id"))
        batch_op.drop_index(batch_op.f("ix_samples_text_id"))

    op.drop_table("samples")
    with op.batch_alter_table("alerts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_alerts_person"))

    op.drop_table("alerts")
    with op.batch_alter_table("visits", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_visits_round_id"))
        batch_op.drop_index(batch_op.f("ix_visits_field"))

    op.drop_table("visits")
    with op.batch_alter_table("stage_texts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stage_texts_field"))

    op.drop_table("stage_texts")
    with op.batch_alter_table("shares", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_shares_text_id"))
        batch_op.drop_index(batch_op.f("ix_shares_field"))

    op.drop_table("shares")
    with op.batch_alter_table("questions", schema=None) as batch_op:
        batch_op.drop_index(
            "uq_questions_phone_open",
            sqlite_where=sa.text("state = 'open'"),
            postgresql_where=sa.text("state = 'open'"),
        )

    op.drop_table("questions")
    with op.batch_alter_table("outbox", schema=None) as batch_op:
        batch_op.drop_index("ix_outbox_state_due_at")

    op.drop_table("outbox")
    with op.batch_alter_table("crossings", schema=None) as batch_op:
        batch_op.drop_index("ix_crossings_field_target")

    op.drop_table("crossings")
    op.drop_table("season_versions")
    with op.batch_alter_table("rounds", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_rounds_field"))

    op.drop_table("rounds")
    op.drop_table("phones")
    op.drop_table("ledger")
    with op.batch_alter_table("inbox", schema=None) as batch_op:
        batch_op.drop_index("ix_inbox_state_sender")

    op.drop_table("inbox")
