"""A batch that takes another one back says which."""

import sqlalchemy as sa
from alembic import op

revision = "0002_undoing_batches"
down_revision = "0001_first_yard"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("batch") as batch:
        batch.add_column(sa.Column("undoes_uid", sa.Uuid(), nullable=True))
        batch.create_index(batch.f("ix_batch_undoes_uid"), ["undoes_uid"])


def downgrade() -> None:
    with op.batch_alter_table("batch") as batch:
        batch.drop_index(batch.f("ix_batch_undoes_uid"))
        batch.drop_column("undoes_uid")
