"""Cases and their events in a database: SQLite on one's own machine, PostgreSQL in an office.

A case is written by one writer at a time, and an event is on the disk before it is answered. Nothing is judged while a
case is locked.
"""

import json
import secrets
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, Engine, create_engine, event as sql_events, func, select

from validator.web.chain import Broken, Event, Line, change_between, first_of, hash_of, line_of, replayed
from validator.web.sealed import REMOVED, digest_of, digests_in, sealed
from validator.web.tables import CASE, EVENT, PERSON, PICTURE, PRIVATE, SEARCH, SHARE, migrated
from validator.web.words_of import asked_words, words_of

ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"  # no letter is taken for another
MOST_LISTED = 50


class NoCase(LookupError):
    """There is no such case, or none that may be seen."""


class State(NamedTuple):
    """A case as it stands: what it was begun from, its description, what was left open, and its newest event."""

    public: str
    title: str
    text: str
    begun: Line
    left: dict[str, str]  # the key of each question left open, and why
    seq: int
    hash: str
    began: int
    changed: int
    told: Line  # the verdict as it was last judged
    owner: str = ""  # who began it
    stage: str = ""  # the last step done, as last judged


class Picture(NamedTuple):
    """A picture of a case, by the digest that is its file's name."""

    digest: str
    shows: str
    size: int
    seq: int
    removed: int = 0  # when its file was taken away


class Wanted(NamedTuple):
    """Which cases are listed: that hold every word, the last one as a beginning; of one verdict, one stage, one owner; changed between two times.

    `named`: in whose name a word begins with each of them.
    """

    words: str = ""
    told: str = ""
    stage: str = ""
    owner: str = ""
    since: int = 0
    before: int = 0
    named: bool = False


class Deed(NamedTuple):
    """What one event says, and the case after it."""

    kind: str
    says: Line
    text: str
    title: str = ""
    picture: tuple[str, str, int] | None = None  # digest, what it shows, bytes
    left: dict[str, str] | None = None  # questions put aside, and why; nothing where one is taken back


class Store:
    """The database of one office, or of one's own machine."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.engine = _engine(address)
        self.is_sqlite = self.engine.dialect.name == "sqlite"
        self._writer = threading.Lock()
        migrated(self.engine)

    def close(self) -> None:
        """Lets go of the database."""
        self.engine.dispose()

    # -- reading --------------------------------------------------------------------------------------------------------------

    def state(self, public: str) -> State:
        """A case as it stands. Raises NoCase."""
        with self.engine.connect() as link:
            return _state(link, public)

    def names(self) -> dict[str, str]:
        """What everybody who ever signed in is called."""
        with self.engine.connect() as link:
            return {row.id: row.name for row in link.execute(select(PERSON.c.id, PERSON.c.name))}

    def owner_of(self, public: str) -> str | None:
        """Whose a case is; None where there is none."""
        with self.engine.connect() as link:
            return link.execute(select(CASE.c.owner).where(CASE.c.public == public, CASE.c.closed == 0)).scalar()

    def events(self, public: str) -> list[Event]:
        """Every event of a case, the first first. Raises NoCase."""
        with self.engine.connect() as link:
            number = link.execute(select(CASE.c.id).where(CASE.c.public == public)).scalar()
            if number is None:
                raise NoCase(public)
            rows = link.execute(select(EVENT.c.seq, EVENT.c.line, EVENT.c.hash).where(EVENT.c.case == number).order_by(EVENT.c.seq))
            private = _private(link, number)
            return [Event(*row, private) for row in rows]

    def pictures(self, public: str) -> list[Picture]:
        """The pictures of a case, in the order they came."""
        with self.engine.connect() as link:
            asked = select(PICTURE).join(CASE, PICTURE.c.case == CASE.c.id).where(CASE.c.public == public).order_by(PICTURE.c.seq)
            return [Picture(row.digest, row.shows, row.size, row.seq, row.removed) for row in link.execute(asked)]

    def is_pictured(self, digest: str) -> bool:
        """Whether any case still shows a picture."""
        with self.engine.connect() as link:
            return link.execute(select(PICTURE.c.digest).where(PICTURE.c.digest == digest, PICTURE.c.removed == 0)).first() is not None

    def text_at(self, public: str, seq: int) -> str:
        """The description as it stood after an event."""
        return next((text for each, text in replayed(public, self.events(public)) if each.seq == seq), "")

    def cases(self, wanted: Wanted = Wanted()) -> list[State]:
        """The cases that are wanted, the one changed last first, at most `MOST_LISTED`."""
        newest = CASE.c.changed.desc(), CASE.c.id.desc()
        asked = select(CASE.c.id).order_by(*newest).limit(MOST_LISTED)  # numbers alone are put in order: a whole case is wide
        if words := asked_words(wanted.words):
            asked = asked.where(SEARCH.holding(words, self.is_sqlite), CASE.c.closed + 0 == 0)  # from the words found, not from all that are open
        else:
            asked = asked.where(CASE.c.closed == 0)
        for word in wanted.words.casefold().split() if wanted.named else ():
            asked = asked.where((" " + func.lower(CASE.c.title)).contains(f" {word}", autoescape=True))
        for column, value in ((CASE.c.owner, wanted.owner), (CASE.c.verdict, wanted.told), (CASE.c.stage, wanted.stage)):
            asked = asked.where(column == value) if value else asked
        asked = asked.where(CASE.c.changed >= wanted.since) if wanted.since else asked
        asked = asked.where(CASE.c.changed < wanted.before) if wanted.before else asked
        with self.engine.connect() as link:
            return [_state_of(row) for row in link.execute(select(CASE).where(CASE.c.id.in_(asked)).order_by(*newest))]

    def verified(self) -> Iterator[tuple[str, str, int, str]]:
        """Of each case its name, its title, how many events stand, and what does not prove; nothing where all does."""
        with self.engine.connect() as link:
            every = [(row.public, row.title, row.text, row.seq, row.hash) for row in link.execute(select(CASE).order_by(CASE.c.id))]
        for public, title, text, seq, head in every:
            try:
                proved = list(replayed(public, self.events(public)))
                why = "" if proved and proved[-1][0].seq == seq and proved[-1][0].hash == head else "the newest events are missing"
                why = why or ("" if proved[-1][1] == text else "the description is not what its events make it")
                why = why or self._unsealed(public, [each for each, _ in proved])
                yield public, title, len(proved), why
            except Broken as broken:
                yield public, title, broken.seq - 1, str(broken)

    def _unsealed(self, public: str, events: list[Event]) -> str:
        """Which of the texts beside the lines is missing, altered, or gone without an event that says so; nothing where none is."""
        with self.engine.connect() as link:
            rows = {row.digest: row for row in link.execute(select(PRIVATE).join(CASE, PRIVATE.c.case == CASE.c.id).where(CASE.c.public == public))}
        says = [json.loads(each.line) for each in events if each.line]
        told_gone = {digest for each in says if each["deed"] == "forgotten" for digest in each["of"]["sealed"]}
        for each in says:
            for digest in digests_in(each):
                row = rows.get(digest)
                if row is None or not row.removed and digest_of(row.salt, row.text) != digest:
                    return f"event {each['seq']}: a text that belongs to it is {'missing' if row is None else 'altered'}"
                if row.removed and digest not in told_gone:
                    return f"event {each['seq']}: a text that belongs to it was removed, and no event says so"
        return ""

    # -- writing --------------------------------------------------------------------------------------------------------------

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction of the one writer."""
        with self._writer, self.engine.connect().execution_options(writes=True) as link, link.begin():
            yield link

    def begin(self, deed: Deed, *, who: str, book: str, op: str = "") -> State:
        """A new case, with its first event."""
        public = "".join(secrets.choice(ALPHABET) for _ in range(26))
        now = now_of_the_clock()
        with self.writing() as link:
            begun = select(CASE).join(EVENT, EVENT.c.case == CASE.c.id).where(EVENT.c.op == op, EVENT.c.seq == 1)
            if op and (before := link.execute(begun).first()) is not None:
                return _state_of(before)
            link.execute(CASE.insert().values(
                public=public, title=deed.title, text="", begun=line_of(deed.says), left_open="{}", seq=0, hash=first_of(public),
                began=now, changed=now, told="{}", verdict="", closed=0, owner=who, stage="",
            ))  # fmt: skip
            return self._added(link, public, deed, who=who, book=book, op=op)

    def done(self, public: str, op: str, deed_of: Callable[[State], Deed | None], *, who: str, book: str) -> State:
        """A case with one event more, as a deed makes it of the case as it stands; once for each `op`. Raises NoCase.

        The deed is asked again where somebody else wrote meanwhile.
        """
        again = select(EVENT.c.seq).join(CASE, EVENT.c.case == CASE.c.id).where(CASE.c.public == public, EVENT.c.op == op)
        with self.engine.connect() as link:
            seen = _state(link, public)
            if op and link.execute(again).first() is not None:
                return seen
        deed = deed_of(seen)  # before anything is locked: it reads the description
        with self.writing() as link:
            state = _state(link, public, lock=not self.is_sqlite)
            if op and link.execute(again).first() is not None:
                return state
            if state.hash != seen.hash:
                deed = deed_of(state)
            return state if deed is None else self._added(link, public, deed, who=who, book=book, op=op)

    def _added(self, link: Connection, public: str, deed: Deed, *, who: str, book: str, op: str) -> State:
        before = _state(link, public)
        now = now_of_the_clock()
        says = {
            "at": now, "book": book, "case": public, "deed": deed.kind, "of": deed.says, "op": op or secrets.token_hex(16),
            "prev": before.hash, "seq": before.seq + 1, "who": who,
        }  # fmt: skip
        if deed.text != before.text:
            says["change"] = change_between(before.text, deed.text)
        left = before.left
        if deed.left:
            says["left"] = deed.left
            left = left_after(left, deed.left)
        says, private = sealed(says)
        line = line_of(says)
        number = select(CASE.c.id).where(CASE.c.public == public).scalar_subquery()
        link.execute(EVENT.insert().values(case=number, seq=says["seq"], op=says["op"], line=line, hash=hash_of(line)))
        title = deed.title or before.title
        link.execute(CASE.update().where(CASE.c.public == public).values(
            title=title, text=deed.text, seq=says["seq"], hash=hash_of(line), changed=now,
            left_open=line_of(left),
        ))  # fmt: skip
        if deed.picture is not None:
            digest, shows, size = deed.picture
            link.execute(PICTURE.delete().where(PICTURE.c.case == number, PICTURE.c.digest == digest))  # one that was taken away and came again
            link.execute(PICTURE.insert().values(case=number, digest=digest, shows=shows, size=size, seq=says["seq"], removed=0))
        for digest, (salt, text) in private.items():
            link.execute(PRIVATE.insert().values(case=number, digest=digest, seq=says["seq"], salt=salt, text=text, removed=0))
        SEARCH.put(link, public, words_of(f"{title} {deed.text} {self._notes(link, public)}"), self.is_sqlite)
        return _state(link, public)

    def _notes(self, link: Connection, public: str) -> str:
        """What people noted of a case, to be found by."""
        asked = select(PRIVATE.c.text).join(CASE, PRIVATE.c.case == CASE.c.id).where(CASE.c.public == public, PRIVATE.c.removed == 0)
        return " ".join(link.execute(asked).scalars())

    def forget(self, public: str, op: str, digests: Sequence[str], pictures: Sequence[str], *, what: str, who: str, book: str) -> State:
        """Takes texts and pictures of a case away for good; one event says that it was done, and every line stays as it is. Raises NoCase."""
        with self.writing() as link:
            state = _state(link, public, lock=not self.is_sqlite)
            number, now = link.execute(select(CASE.c.id).where(CASE.c.public == public)).scalar_one(), now_of_the_clock()
            link.execute(PRIVATE.update().where(PRIVATE.c.case == number, PRIVATE.c.digest.in_(digests)).values(salt="", text="", removed=now))
            link.execute(PICTURE.update().where(PICTURE.c.case == number, PICTURE.c.digest.in_(pictures)).values(shows=REMOVED, removed=now))
            private = _private(link, number)
            rows = link.execute(select(EVENT.c.seq, EVENT.c.line, EVENT.c.hash).where(EVENT.c.case == number).order_by(EVENT.c.seq))
            *_, (_, text) = replayed(public, [Event(*row, private) for row in rows])
            title = REMOVED if text != state.text else state.title
            begun = {**state.begun, **({"words": REMOVED} if text != state.text and "words" in state.begun else {})}
            link.execute(CASE.update().where(CASE.c.id == number).values(text=text, title=title, begun=line_of(begun)))
            deed = Deed("forgotten", {"what": what, "sealed": list(digests), "pictures": list(pictures)}, text)
            state = self._added(link, public, deed, who=who, book=book, op=op)
        self.leave_no_trace()
        return state

    def forget_whole(self, public: str, op: str, *, who: str, book: str) -> None:
        """Takes a case away for good, all of it: what is left is that there was one, how many events it had, their hashes, and who took it
        away when. Raises NoCase.
        """
        with self.writing() as link:
            _state(link, public, lock=not self.is_sqlite)
            number, now = link.execute(select(CASE.c.id).where(CASE.c.public == public)).scalar_one(), now_of_the_clock()
            hashes = list(link.execute(select(EVENT.c.hash).where(EVENT.c.case == number).order_by(EVENT.c.seq)).scalars())
            sealed_here = list(link.execute(select(PRIVATE.c.digest).where(PRIVATE.c.case == number)).scalars())
            pictures = list(link.execute(select(PICTURE.c.digest).where(PICTURE.c.case == number)).scalars())
            link.execute(EVENT.update().where(EVENT.c.case == number).values(line=""))
            link.execute(PRIVATE.update().where(PRIVATE.c.case == number).values(salt="", text="", removed=now))
            link.execute(PICTURE.update().where(PICTURE.c.case == number).values(shows=REMOVED, removed=now))
            link.execute(SHARE.delete().where(SHARE.c.case == number))
            link.execute(CASE.update().where(CASE.c.id == number).values(text="", title=REMOVED, begun="{}", told="{}", verdict="", stage="", left_open="{}"))
            says = {"what": "the whole case", "sealed": sealed_here, "pictures": pictures, "hashes": hashes}
            self._added(link, public, Deed("forgotten", says, ""), who=who, book=book, op=op)
            link.execute(CASE.update().where(CASE.c.id == number).values(closed=now))
        self.leave_no_trace()

    def leave_no_trace(self) -> None:
        """What was deleted is overwritten in the database's own files too."""
        if not self.is_sqlite:
            with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as link:
                link.exec_driver_sql("vacuum private, event, tile_case, case_words, picture, person, share")
            return
        with self._writer, closing(self.engine.raw_connection()) as raw:  # outside of any transaction
            for line in ("insert into case_words (case_words) values ('optimize')", "pragma wal_checkpoint(truncate)"):
                raw.cursor().execute(line)

    def judged(self, public: str, hash: str, told: Line, stage: str) -> None:
        """What a case came to, and how far it is, kept for the list; nothing where it has changed meanwhile."""
        verdict = "open" if told["word"] == "pass" and told["could"] else told["word"]
        with self.writing() as link:
            link.execute(CASE.update().where(CASE.c.public == public, CASE.c.hash == hash).values(told=line_of(told), verdict=verdict, stage=stage))

    def counted(self, owner: str = "") -> dict[str, int]:
        """How many cases there are of each verdict, of one owner where one is named."""
        asked = select(CASE.c.verdict, func.count()).where(CASE.c.closed == 0).group_by(CASE.c.verdict)
        with self.engine.connect() as link:
            return dict(link.execute(asked.where(CASE.c.owner == owner) if owner else asked).all())


def left_after(left: dict[str, str], change: dict[str, str]) -> dict[str, str]:
    """The questions put aside after an event."""
    return {key: why for key, why in {**left, **change}.items() if why}


def now_of_the_clock() -> int:
    """The time, in microseconds since 1970."""
    return time.time_ns() // 1000


def _state(link: Connection, public: str, *, lock: bool = False) -> State:
    asked = select(CASE).where(CASE.c.public == public, CASE.c.closed == 0)
    row = link.execute(asked.with_for_update() if lock else asked).first()
    if row is None:
        raise NoCase(public)
    return _state_of(row)


def _state_of(row) -> State:
    return State(row.public, row.title, row.text, json.loads(row.begun), json.loads(row.left_open), row.seq, row.hash, row.began,
                 row.changed, json.loads(row.told), row.owner, row.stage)  # fmt: skip


def _private(link: Connection, number: int) -> dict[str, str]:
    """By digest, what people wrote of a case and nobody removed."""
    return dict(link.execute(select(PRIVATE.c.digest, PRIVATE.c.text).where(PRIVATE.c.case == number, PRIVATE.c.removed == 0)).all())


def _engine(address: str) -> Engine:
    if address.startswith(("postgresql://", "postgres://")):
        return create_engine("postgresql+psycopg://" + address.partition("://")[2], pool_size=8, pool_pre_ping=True)
    path = Path(address)
    path.parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": 30})

    @sql_events.listens_for(engine, "connect")
    def set_up(connection, _record) -> None:
        connection.isolation_level = None  # transactions are begun below, where it is known whether they write
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
            connection.execute(f"pragma {pragma}")

    @sql_events.listens_for(engine, "begin")
    def begin(link: Connection) -> None:
        link.exec_driver_sql("begin immediate" if link.get_execution_options().get("writes") else "begin")

    return engine
