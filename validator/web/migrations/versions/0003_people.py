"""People, their sessions and tries, links that show a case, and whose each case is."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Makes the tables; every case so far is of one's own machine."""
    op.add_column("tile_case", sa.Column("owner", sa.String(40), nullable=False, server_default="own machine"))
    op.create_table(
        "person",
        sa.Column("id", sa.String(26), primary_key=True),
        sa.Column("name", sa.Text, nullable=False, unique=True),
        sa.Column("role", sa.String(20), nullable=False),
        sa.Column("password", sa.Text, nullable=False),
        sa.Column("invitation", sa.String(64), nullable=False),
        sa.Column("invited_until", sa.BigInteger, nullable=False),
        sa.Column("removed", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "session",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("person", sa.String(26), sa.ForeignKey("person.id"), nullable=False, index=True),
        sa.Column("began", sa.BigInteger, nullable=False),
        sa.Column("used", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "attempt",
        sa.Column("id", NUMBER, primary_key=True),
        sa.Column("of", sa.Text, nullable=False),
        sa.Column("at", sa.BigInteger, nullable=False),
        sa.Index("attempt_of_at", "of", "at"),
    )
    op.create_table(
        "share",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("case", NUMBER, sa.ForeignKey("tile_case.id"), nullable=False, index=True),
        sa.Column("until", sa.BigInteger, nullable=False),
        sa.Column("made", sa.BigInteger, nullable=False),
        sa.Column("by", sa.String(40), nullable=False),
        sa.Column("withdrawn", sa.BigInteger, nullable=False),
    )
