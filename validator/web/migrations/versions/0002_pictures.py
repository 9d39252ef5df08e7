"""The pictures of each case."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Makes the table."""
    op.create_table(
        "picture",
        sa.Column("case", NUMBER, sa.ForeignKey("tile_case.id"), primary_key=True),
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("shows", sa.Text, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
    )
