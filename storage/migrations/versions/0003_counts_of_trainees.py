"""counts of trainees.

What somebody in training counted stands beside until a check agrees, and under which plan every check count was made.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this form; of check counts made before, nobody knows the plan."""
    op.add_column("checks", sa.Column("trainee", sa.Boolean(), server_default=sa.false(), nullable=False))
    op.add_column("checks", sa.Column("plan", sa.Text(), nullable=True))


def downgrade() -> None:
    """Bring the tables back; what trainees counted stays beside, and reads as check counts."""
    op.drop_column("checks", "plan")
    op.drop_column("checks", "trainee")
