"""Cases, their events, and the words they are found by."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "tile_case",
        sa.Column("id", NUMBER, primary_key=True),
        sa.Column("public", sa.String(26), nullable=False, unique=True),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("title", "text", "begun", "left_open")),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("began", sa.BigInteger, nullable=False),
        sa.Column("changed", sa.BigInteger, nullable=False, index=True),
        sa.Column("told", sa.Text, nullable=False),
        sa.Column("verdict", sa.String(8), nullable=False),
        sa.Column("closed", sa.BigInteger, nullable=False),
        sa.Index("tile_case_by_verdict", "verdict", "changed"),
    )
    op.create_table(
        "event",
        sa.Column("case", NUMBER, sa.ForeignKey("tile_case.id"), primary_key=True),
        sa.Column("seq", sa.Integer, primary_key=True),
        sa.Column("op", sa.String(40), nullable=False),
        sa.Column("line", sa.Text, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.UniqueConstraint("case", "op"),
    )
    if op.get_context().dialect.name == "sqlite":
        op.execute("create virtual table case_words using fts5(public unindexed, words, prefix='2 3')")
    else:
        op.execute("create table case_words (public varchar(26) primary key, words tsvector not null)")
        op.execute("create index case_words_by_word on case_words using gin (words)")
