"""the day and the season.

Fields kept shut, OKs that are waited for, sites handed over, temperatures, mails.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this form."""
    op.create_table(
        "closures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("hours", sa.Integer(), nullable=True),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("known_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.Column("over_told_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["ended_by"], ["inbox.id"], name=op.f("fk_closures_ended_by_inbox")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_closures_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closures")),
    )
    op.create_index(op.f("ix_closures_field"), "closures", ["field"], unique=False)
    op.create_index(op.f("ix_closures_text_id"), "closures", ["text_id"], unique=False)

    op.create_table(
        "hand_overs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site", sa.Integer(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("given_by", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("given_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_hand_overs_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hand_overs")),
    )
    op.create_index(op.f("ix_hand_overs_site"), "hand_overs", ["site"], unique=False)
    op.create_index(op.f("ix_hand_overs_text_id"), "hand_overs", ["text_id"], unique=False)

    op.create_table(
        "temperatures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("high", sa.Text(), nullable=False),
        sa.Column("low", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=True),
        sa.Column("text_id", sa.Integer(), nullable=True),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_temperatures_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_temperatures")),
    )
    op.create_index(op.f("ix_temperatures_day"), "temperatures", ["day"], unique=False)
    op.create_index(op.f("ix_temperatures_text_id"), "temperatures", ["text_id"], unique=False)

    op.create_table(
        "oks_wanted",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=True),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("outbox_id", sa.Integer(), nullable=True),
        sa.Column("wanted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("read_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("called_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("over_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["outbox_id"], ["outbox.id"], name=op.f("fk_oks_wanted_outbox_id_outbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_oks_wanted")),
        sa.UniqueConstraint("about", "person", name=op.f("uq_oks_wanted_about_person")),
    )
    op.create_index(op.f("ix_oks_wanted_about"), "oks_wanted", ["about"], unique=False)
    op.create_index(op.f("ix_oks_wanted_outbox_id"), "oks_wanted", ["outbox_id"], unique=False)
    op.create_index(op.f("ix_oks_wanted_person"), "oks_wanted", ["person"], unique=False)
    op.create_table(
        "mails",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("recipient", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("plain", sa.Text(), nullable=False),
        sa.Column("html", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("leave_by", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("claimed_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("fault", sa.Text(), nullable=True),
        sa.Column("left_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mails")),
        sa.UniqueConstraint("key", name=op.f("uq_mails_key")),
    )
    op.create_index(op.f("ix_mails_state_due_at"), "mails", ["state", "due_at"], unique=False)


def downgrade() -> None:
    """Drop what was new; who was kept out of which field is gone with it."""
    op.drop_table("mails")
    op.drop_table("oks_wanted")
    op.drop_table("temperatures")
    op.drop_table("hand_overs")
    op.drop_table("closures")
