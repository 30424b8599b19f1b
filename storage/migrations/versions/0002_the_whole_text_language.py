"""the whole text language.

Sums over several samples, shares stop by stop, texts that repeat others or were perhaps cut; and tables for
check counts, nodes above white flower, efforts and remarks.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this form.

    Columns are added in place. On SQLite a batch with a foreign key would copy the table and drop the old one,
    which is refused while rows of other tables refer to it and foreign keys are enforced.
    """
    # Alembic adds a foreign key by a second statement, which SQLite does not have; this one both databases take.
    op.execute(
        "ALTER TABLE inbox ADD COLUMN repeats INTEGER CONSTRAINT fk_inbox_repeats_inbox REFERENCES inbox (id)"
    )
    op.add_column("inbox", sa.Column("perhaps_cut", sa.Boolean(), server_default=sa.false(), nullable=False))
    op.create_index(op.f("ix_inbox_sender_received_at"), "inbox", ["sender", "received_at"], unique=False)
    op.add_column("samples", sa.Column("covers", sa.Integer(), server_default="0", nullable=False))
    op.add_column("crossings", sa.Column("late", sa.Boolean(), server_default=sa.false(), nullable=False))
    op.add_column("shares", sa.Column("sample", sa.Integer(), nullable=True))

    op.create_table(
        "checks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("form", sa.Text(), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.Column("extras", sa.JSON(), nullable=False),
        sa.Column("lost", sa.Boolean(), nullable=False),
        sa.Column("effort", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("counted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["ended_by"], ["inbox.id"], name=op.f("fk_checks_ended_by_inbox")),
        sa.ForeignKeyConstraint(["replaces"], ["checks.id"], name=op.f("fk_checks_replaces_checks")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_checks_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_checks")),
    )
    op.create_index(
        "uq_checks_site_day_number_person_standing",
        "checks",
        ["site", "day", "number", "person"],
        unique=True,
        sqlite_where=sa.text("ended_at IS NULL"),
        postgresql_where=sa.text("ended_at IS NULL"),
    )

    op.create_table(
        "efforts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("amount", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_efforts_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_efforts")),
    )
    op.create_index(op.f("ix_efforts_site_day"), "efforts", ["site", "day"], unique=False)

    op.create_table(
        "nawf",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("plants", sa.JSON(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("counted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["ended_by"], ["inbox.id"], name=op.f("fk_nawf_ended_by_inbox")),
        sa.ForeignKeyConstraint(["replaces"], ["nawf.id"], name=op.f("fk_nawf_replaces_nawf")),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_nawf_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_nawf")),
    )
    op.create_index(op.f("ix_nawf_number_day"), "nawf", ["number", "day"], unique=False)

    op.create_table(
        "remarks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("field", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=True),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Integer(), nullable=False),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["text_id"], ["inbox.id"], name=op.f("fk_remarks_text_id_inbox")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_remarks")),
    )
    op.create_index(op.f("ix_remarks_number_day"), "remarks", ["number", "day"], unique=False)


def downgrade() -> None:
    """Bring the tables back; sums over several samples must be ended first, or they would read as samples 0."""
    op.drop_table("remarks")
    op.drop_table("nawf")
    op.drop_table("efforts")
    op.drop_table("checks")
    op.drop_column("shares", "sample")
    op.drop_column("crossings", "late")
    op.drop_column("samples", "covers")
    op.drop_index(op.f("ix_inbox_sender_received_at"), table_name="inbox")
    op.drop_column("inbox", "perhaps_cut")
    op.drop_column("inbox", "repeats")
