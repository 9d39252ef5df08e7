"""Starts the server: the database locked for this process, the books made ready, the address printed and opened."""

import fcntl
import socket
import tempfile
from collections.abc import Callable
from pathlib import Path

import uvicorn

from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder
from validator.web.bench import Bench
from validator.web.demo import fill
from validator.web.guard import OwnMachine
from validator.web.site import site
from validator.web.store import Store

HERE_ONLY = "127.0.0.1"
KEPT_OPEN = 15  # seconds that a silent connection is kept
CONNECTIONS = 200


class Unserved(Exception):
    """Why the server does not start, and what would let it."""


def run_demo(books: tuple[str, ...], *, port: int, opens: bool, say: Callable[[str], object]) -> None:
    """Serves an invented firm's jobs until it is ended; nothing of it is kept. Raises Unserved and BadBook."""
    with tempfile.TemporaryDirectory(prefix="validator-demo-") as folder:
        say("An invented firm's jobs are being made; nothing of them is kept.")
        run(str(Path(folder) / "cases.sqlite"), books, port=port, opens=opens, say=say, first=fill)


def run(
    address: str, books: tuple[str, ...], *, port: int, opens: bool, say: Callable[[str], object], first: Callable[[Store, Bench], object] | None = None
) -> None:  # fmt: skip
    """Serves until it is ended; `first` is done before anybody is let in. Raises Unserved and BadBook."""
    folder = Path(address).absolute().parent
    folder.mkdir(parents=True, exist_ok=True)
    lock = _locked(Path(f"{address}.lock"), address)
    bench = Bench(load_book(*(book_folder(each) for each in books)))
    store = Store(address)
    if first is not None:
        first(store, bench)
    listening = _listening(port)
    port = listening.getsockname()[1]
    door = OwnMachine(folder)
    hosts = frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost"))
    opened = f"http://127.0.0.1:{port}/?key={door.key}"
    say(f"Cases are kept in {address}. Open, once: {opened}\nAfter that: http://127.0.0.1:{port}/  Ctrl-C ends it; everything answered is kept.")
    if opens:
        import webbrowser

        webbrowser.open(opened)
    server = uvicorn.Server(uvicorn.Config(
        site(store, bench, folder, hosts=hosts, door=door), log_level="warning", access_log=False, server_header=False, timeout_keep_alive=KEPT_OPEN,
        limit_concurrency=CONNECTIONS, timeout_graceful_shutdown=10,
    ))  # fmt: skip
    try:
        server.run(sockets=[listening])
    finally:
        lock.close()


def verified_lines(address: str) -> tuple[list[str], bool]:
    """What the history of every case proves, line by line, and whether all of them do. Raises Unserved."""
    if not Path(address).is_file():
        raise Unserved(f"there is no database {address}. Accepted: --database with the file of your cases")
    store = Store(address)
    try:
        found = list(store.verified())
    finally:
        store.close()
    lines = [f"{title} ({public}): {why or f'{number} events, each as it was written'}" for public, title, number, why in found]
    broken = sum(1 for *_, why in found if why)
    lines.append(f"{len(found)} cases, {broken} that do not prove." if broken else f"{len(found)} cases; every history stands as it was written.")
    return lines, not broken


def _locked(path: Path, address: str):
    """The one process that writes a SQLite file. Raises Unserved where another one does."""
    file = path.open("a+", encoding="utf-8")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        file.close()
        raise Unserved(f"{address} is open in another `validator serve`. End that one, or name another file with --database") from None
    return file


def _listening(port: int) -> socket.socket:
    """A socket on this machine alone. Raises Unserved."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HERE_ONLY, port))
    except OSError as problem:
        listening.close()
        raise Unserved(f"port {port} cannot be taken: {problem.strerror}. Accepted: another --port, or 0 for any that is free") from None
    return listening
