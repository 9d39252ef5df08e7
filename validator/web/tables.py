"""The tables, and the database brought up to them."""

from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Engine,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

METADATA = MetaData()
NUMBER = BigInteger().with_variant(Integer, "sqlite")  # SQLite numbers its rows itself only in an Integer

CASE = Table(
    "tile_case", METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("public", String(26), nullable=False, unique=True),
    Column("title", Text, nullable=False),
    Column("text", Text, nullable=False),  # the description as it stands; its events make it again
    Column("begun", Text, nullable=False),
    Column("left_open", Text, nullable=False),
    Column("seq", Integer, nullable=False),
    Column("hash", String(64), nullable=False),
    Column("began", BigInteger, nullable=False),
    Column("changed", BigInteger, nullable=False, index=True),
    Column("told", Text, nullable=False),  # the verdict as last judged, for the list
    Column("verdict", String(8), nullable=False),
    Column("closed", BigInteger, nullable=False),
    Column("owner", String(40), nullable=False),
    Column("stage", String(40), nullable=False),  # the last step done, as last judged, for the list
    Index("tile_case_by_verdict", "closed", "verdict", "owner", "changed"),  # what the list counts, without reading the cases
)  # fmt: skip
EVENT = Table(
    "event", METADATA,
    Column("case", NUMBER, ForeignKey("tile_case.id"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("op", String(40), nullable=False),
    Column("line", Text, nullable=False),
    Column("hash", String(64), nullable=False),
    UniqueConstraint("case", "op"),
    Index("event_by_op", "op"),
)  # fmt: skip
PICTURE = Table(
    "picture", METADATA,
    Column("case", NUMBER, ForeignKey("tile_case.id"), primary_key=True),
    Column("digest", String(64), primary_key=True),  # of the file as it is kept, which is its name
    Column("shows", Text, nullable=False),
    Column("size", Integer, nullable=False),
    Column("seq", Integer, nullable=False),  # the event that brought it
    Column("removed", BigInteger, nullable=False),  # when its file was taken away
)  # fmt: skip
PRIVATE = Table(
    "private", METADATA,
    Column("case", NUMBER, ForeignKey("tile_case.id"), primary_key=True),
    Column("digest", String(64), primary_key=True),  # which stands in the line of its event
    Column("seq", Integer, nullable=False),
    Column("salt", String(32), nullable=False),
    Column("text", Text, nullable=False),
    Column("removed", BigInteger, nullable=False),  # when salt and text were taken away
)  # fmt: skip
PERSON = Table(
    "person", METADATA,
    Column("id", String(26), primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("role", String(20), nullable=False),
    Column("password", Text, nullable=False),  # as argon2 writes it; nothing until the invitation is taken
    Column("invitation", String(64), nullable=False),  # the digest of its token; nothing once it is taken
    Column("invited_until", BigInteger, nullable=False),
    Column("removed", BigInteger, nullable=False),
)  # fmt: skip
SESSION = Table(
    "session", METADATA,
    Column("token", String(64), primary_key=True),  # its digest: what the browser holds is written nowhere
    Column("person", String(26), ForeignKey("person.id"), nullable=False, index=True),
    Column("began", BigInteger, nullable=False),
    Column("used", BigInteger, nullable=False),
)  # fmt: skip
ATTEMPT = Table(
    "attempt", METADATA,
    Column("id", NUMBER, primary_key=True),
    Column("of", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Index("attempt_of_at", "of", "at"),
)  # fmt: skip
SHARE = Table(
    "share", METADATA,
    Column("token", String(64), primary_key=True),
    Column("case", NUMBER, ForeignKey("tile_case.id"), nullable=False, index=True),
    Column("until", BigInteger, nullable=False),
    Column("made", BigInteger, nullable=False),
    Column("by", String(40), nullable=False),
    Column("withdrawn", BigInteger, nullable=False),
)  # fmt: skip
PREFIX = "x"  # before every word, so that no word is a word of the database's own


class Search:
    """The words of each case, in the database's own full-text search. No text of a user reaches its query language."""

    def put(self, link: Connection, public: str, words: Sequence[str], is_sqlite: bool) -> None:
        """The words of a case, in place of those before."""
        said = {"public": public, "words": " ".join(PREFIX + word for word in words)}
        if is_sqlite:
            link.execute(text("delete from case_words where public = :public"), said)
            link.execute(text("insert into case_words (public, words) values (:public, :words)"), said)
        else:
            link.execute(text(
                "insert into case_words (public, words) values (:public, array_to_tsvector(string_to_array(:words, ' '))) "
                "on conflict (public) do update set words = excluded.words"
            ), said)  # fmt: skip

    def holding(self, words: Sequence[str], is_sqlite: bool):
        """What a case must be to hold every word, the last one as a beginning."""
        if is_sqlite:
            asked = " ".join([*(f'"{PREFIX}{word}"' for word in words[:-1]), f'"{PREFIX}{words[-1]}"*'])
            return text("tile_case.public in (select public from case_words where words match :asked)").bindparams(asked=f"words : ({asked})")
        asked = " & ".join([*(f"'{PREFIX}{word}'" for word in words[:-1]), f"'{PREFIX}{words[-1]}':*"])
        return text("tile_case.public in (select public from case_words where words @@ cast(:asked as tsquery))").bindparams(asked=asked)


SEARCH = Search()


def migrated(engine: Engine) -> None:
    """Brings a database up to the tables of this program, one step after another, in one transaction."""
    import logging

    from alembic import command
    from alembic.config import Config

    logging.getLogger("alembic").setLevel(logging.WARNING)
    steps = Config()
    steps.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    with engine.connect().execution_options(writes=True) as link, link.begin():
        steps.attributes["connection"] = link
        command.upgrade(steps, "head")
