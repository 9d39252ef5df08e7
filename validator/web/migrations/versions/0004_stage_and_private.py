"""How far each job is, and what people wrote that can be removed: the line of an event keeps only its digest."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Makes the table; what was written before stays in its lines."""
    op.add_column("tile_case", sa.Column("stage", sa.String(40), nullable=False, server_default=""))
    op.add_column("picture", sa.Column("removed", sa.BigInteger, nullable=False, server_default="0"))
    op.drop_index("tile_case_by_verdict", "tile_case")
    op.create_index("tile_case_by_verdict", "tile_case", ["closed", "verdict", "owner", "changed"])
    op.create_index("event_by_op", "event", ["op"])
    op.create_table(
        "private",
        sa.Column("case", NUMBER, sa.ForeignKey("tile_case.id"), primary_key=True),
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("salt", sa.String(32), nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("removed", sa.BigInteger, nullable=False),
    )
