"""A PostgreSQL of our own, which listens at this machine alone; `.ci/run` installs Debian's package where it is missing."""

import os
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import which


class Server:
    """One server, its files in a folder."""

    def __init__(self, folder: Path) -> None:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin")) or [Path(which("initdb") or "").parent]
        self.programs, self.folder = found[-1], folder / "data"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"postgresql://cases@127.0.0.1:{self.port}/postgres"
        folder.chmod(0o777)  # PostgreSQL refuses to run as root, and its own user must reach it
        self._run("initdb", "-D", str(self.folder), "-U", "cases", "-A", "trust", "--no-sync")

    def _run(self, program: str, *words: str) -> None:
        as_whom = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        subprocess.run([*as_whom, str(self.programs / program), *words], check=True, stdout=subprocess.DEVNULL, cwd="/")

    def start(self) -> None:
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=off"
        self._run("pg_ctl", "-D", str(self.folder), "-w", "-l", str(self.folder.parent / "log"), "-o", options, "start")

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self.folder), "-m", "immediate", "-w", "stop")


@contextmanager
def postgres() -> Iterator[Server]:
    """A server that goes with its folder."""
    with tempfile.TemporaryDirectory(prefix="postgres-") as folder:
        one = Server(Path(folder))
        one.start()
        try:
            yield one
        finally:
            one.stop()
