"""The people of an office: invited, signed in with a password of their own, their sessions ended in time, their tries limited."""

import hashlib
import secrets
from typing import NamedTuple

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from sqlalchemy import func, select

from validator.web.store import ALPHABET, Store, now_of_the_clock
from validator.web.tables import ATTEMPT, PERSON, SESSION

ROLES = ("installer", "clerk", "reviewer", "author", "keeper")
SECOND = 1_000_000
HOUR, DAY = 3_600 * SECOND, 86_400 * SECOND
INVITED = 14 * DAY
IDLE, LONGEST = 12 * HOUR, 90 * DAY
TRIES, TRIES_FROM_ONE_NET, WITHIN = 5, 30, 15 * 60 * SECOND
SHORTEST = 12
KNOWN_BAD = ("password", "passwort", "qwerty", "123456", "letmein", "welcome", "tile", "abcdef", "iloveyou")


class Person(NamedTuple):
    """Somebody of the office."""

    id: str
    name: str
    role: str
    waits: bool  # the invitation is not taken yet
    sessions: int = 0


class NotTaken(ValueError):
    """Why a password, an invitation or a try is not taken."""


def digest_of(token: str) -> str:
    """What of a token is kept."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


class People:
    """The people kept in a database."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._hasher = PasswordHasher()
        self._nobody = self._hasher.hash(secrets.token_hex(16))  # so that an unknown name takes as long as a known one

    def everybody(self) -> list[Person]:
        """Everybody who is not taken out, by name, with how many sessions are open."""
        since = now_of_the_clock() - IDLE
        number = select(func.count()).where(SESSION.c.person == PERSON.c.id, SESSION.c.used > since).scalar_subquery()
        with self.store.engine.connect() as link:
            rows = link.execute(select(PERSON, number.label("open")).where(PERSON.c.removed == 0).order_by(PERSON.c.name))
            return [Person(row.id, row.name, row.role, not row.password, row.open) for row in rows]

    def invite(self, name: str, role: str) -> str:
        """An invitation for somebody new; returns its token, which is kept nowhere. Raises NotTaken."""
        if not name or role not in ROLES:
            raise NotTaken(f"an invitation needs a name, and a role: {', '.join(ROLES)}")
        token = secrets.token_urlsafe(32)
        with self.store.writing() as link:
            if link.execute(select(PERSON.c.id).where(PERSON.c.name == name)).first() is not None:
                raise NotTaken(f"there is a `{name}` already")
            link.execute(PERSON.insert().values(
                id="".join(secrets.choice(ALPHABET) for _ in range(26)), name=name, role=role, password="", invitation=digest_of(token),
                invited_until=now_of_the_clock() + INVITED, removed=0,
            ))  # fmt: skip
        return token

    def invite_first_keeper(self) -> str:
        """An invitation for whoever keeps the office, in place of one that nobody took."""
        with self.store.writing() as link:
            link.execute(PERSON.delete().where(PERSON.c.role == "keeper", PERSON.c.password == "", PERSON.c.removed == 0))
        return self.invite("keeper", "keeper")

    def invited(self, token: str) -> Person | None:
        """Whom an invitation is for, while it holds."""
        with self.store.engine.connect() as link:
            row = link.execute(select(PERSON).where(PERSON.c.invitation == digest_of(token), PERSON.c.removed == 0)).first()
        return Person(row.id, row.name, row.role, True) if row is not None and row.invited_until > now_of_the_clock() else None

    def take(self, token: str, password: str) -> Person:
        """An invitation taken, with a password. Raises NotTaken."""
        person = self.invited(token)
        if person is None:
            raise NotTaken("this invitation has ended, or was taken already; ask a keeper for another")
        plain = password.casefold()
        if len(password) < SHORTEST:
            raise NotTaken(f"a password has at least {SHORTEST} letters; a few words that nobody would guess are best")
        if len(set(plain)) < 5 or plain in (person.name.casefold(), "") or any(len(plain) - len(bad) < 6 and bad in plain for bad in KNOWN_BAD):
            raise NotTaken("that password is among the first that are tried; take a few words that nobody would guess")
        with self.store.writing() as link:
            link.execute(PERSON.update().where(PERSON.c.id == person.id).values(password=self._hasher.hash(password), invitation=""))
        return person

    def signed_in(self, name: str, password: str, net: str) -> str:
        """A new session; returns its token. Raises NotTaken, in the same words whatever was wrong."""
        with self.store.writing() as link:
            now = now_of_the_clock()
            link.execute(ATTEMPT.delete().where(ATTEMPT.c.at < now - WITHIN))
            for of, most in ((f"name {name.casefold()[:100]}", TRIES), (f"net {net}", TRIES_FROM_ONE_NET)):
                if link.execute(select(func.count()).where(ATTEMPT.c.of == of)).scalar() >= most:
                    raise NotTaken(f"too many tries; wait {WITHIN // SECOND // 60} minutes")
            row = link.execute(select(PERSON).where(PERSON.c.name == name, PERSON.c.removed == 0)).first()
        try:
            self._hasher.verify(row.password if row is not None and row.password else self._nobody, password)
            known = row is not None and bool(row.password)
        except (Argon2Error, InvalidHashError):
            known = False
        with self.store.writing() as link:
            if not known:
                link.execute(ATTEMPT.insert(), [{"of": f"name {name.casefold()[:100]}", "at": now}, {"of": f"net {net}", "at": now}])
        if not known:
            raise NotTaken("this name and this password do not go together")
        return self.session_for(row.id)

    def session_for(self, person: str) -> str:
        """A new session of somebody; returns its token."""
        token, now = secrets.token_urlsafe(32), now_of_the_clock()
        with self.store.writing() as link:
            link.execute(SESSION.delete().where((SESSION.c.used < now - IDLE) | (SESSION.c.began < now - LONGEST)))
            link.execute(SESSION.insert().values(token=digest_of(token), person=person, began=now, used=now))
        return token

    def of_session(self, token: str) -> Person | None:
        """Whose session this is, while it holds."""
        now = now_of_the_clock()
        with self.store.engine.connect() as link:
            asked = select(PERSON, SESSION.c.began, SESSION.c.used).join(SESSION, SESSION.c.person == PERSON.c.id)
            row = link.execute(asked.where(SESSION.c.token == digest_of(token), PERSON.c.removed == 0)).first()
        if row is None or row.used < now - IDLE or row.began < now - LONGEST:
            return None
        if row.used < now - 60 * SECOND:
            with self.store.writing() as link:
                link.execute(SESSION.update().where(SESSION.c.token == digest_of(token)).values(used=now))
        return Person(row.id, row.name, row.role, False)

    def sign_out(self, token: str) -> None:
        """Ends one session."""
        with self.store.writing() as link:
            link.execute(SESSION.delete().where(SESSION.c.token == digest_of(token)))

    def change(self, person: str, *, role: str = "", remove: bool = False, forget: bool = False) -> None:
        """Another role, or taken out, or taken out and the name with it; each ends every session of theirs. Raises NotTaken."""
        with self.store.writing() as link:
            keepers = link.execute(select(PERSON.c.id).where(PERSON.c.role == "keeper", PERSON.c.removed == 0, PERSON.c.password != "")).scalars().all()
            if keepers == [person] and role != "keeper":
                raise NotTaken("the last keeper stays one; make somebody else a keeper first")
            if role and role not in ROLES:
                raise NotTaken(f"there is no such role. Accepted: {', '.join(ROLES)}")
            values = {"removed": now_of_the_clock(), "invitation": "", "password": ""} if remove or forget else {"role": role} if role else {}
            if forget:
                values["name"] = f"somebody whose name was removed ({person[:6]})"
            if values:
                link.execute(PERSON.update().where(PERSON.c.id == person).values(**values))
            link.execute(SESSION.delete().where(SESSION.c.person == person))
        if forget:
            self.store.leave_no_trace()

    def has_keeper(self) -> bool:
        """Whether anybody could invite the others."""
        return any(each.role == "keeper" and not each.waits for each in self.everybody())
