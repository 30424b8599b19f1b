"""${message}.

Revises ${down_revision | comma,n}, made ${create_date}.
"""

import sqlalchemy as sa
from alembic import op
${imports if imports else ""}
revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = ${repr(branch_labels)}
depends_on = ${repr(depends_on)}


def upgrade() -> None:
    """Bring the tables to this form."""
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    """Bring the tables back."""
    ${downgrades if downgrades else "pass"}
