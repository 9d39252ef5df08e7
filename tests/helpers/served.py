"""A `validator serve` of our own in a process of its own, which can be killed and started again; and what is sent to it."""

import http.client
import re
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

from at_desk import Forms
from paths import ROOT


PATIENCE = 300  # seconds: far beyond what the busiest machine takes, so that only what never comes is a fault


class Served:
    """One server on one file, and one person who holds its key; used with `with`, it does not outlive its test."""

    def __init__(self, folder: Path, *words: str, largest_file: int = 0) -> None:
        self.database, self.words, self.largest_file, self.cookie = folder / "cases.sqlite", words, largest_file, ""
        self.start()

    def start(self, largest_file: int | None = None) -> None:
        most = self.largest_file if largest_file is None else largest_file

        def bounded() -> None:
            if most:
                resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

        started = [sys.executable, "-u", "-m", "validator", "serve", "--database", str(self.database), "--port", "0", "--no-open", *self.words]
        self.process = subprocess.Popen(started, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, preexec_fn=bounded)
        said = ""
        while not (found := re.search(r"http://127\.0\.0\.1:(\d+)/\?key=(\S+)", said)):
            said = self.process.stdout.readline()
            assert said or self.process.poll() is None, "the server did not start"
        self.port = int(found[1])
        if not self.cookie:
            answer = self.asked("GET", f"/?key={found[2]}")
            self.cookie = answer.getheader("set-cookie").partition(";")[0]

    def __enter__(self) -> "Served":
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    def kill(self) -> None:
        """Ends it at once, whatever it is doing."""
        if self.process.returncode is not None:
            return
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process.stdout.close()

    def asked(self, method: str, path: str, boxes: dict[str, str] | None = None, **headers: str) -> http.client.HTTPResponse:
        """The answer to one request, its text in `said`; redirects are not followed."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        try:
            link.request(method, path, urlencode(boxes) if boxes else None, {
                "host": f"127.0.0.1:{self.port}", "cookie": self.cookie, "sec-fetch-site": "same-origin",
                "content-type": "application/x-www-form-urlencoded", **headers,
            })  # fmt: skip
            answer = link.getresponse()
            answer.said = answer.read().decode()
            return answer
        finally:
            link.close()

    def token(self) -> str:
        """What every form of this session carries."""
        return next(form["boxes"]["token"] for form in Forms(self.asked("GET", "/").said).forms if "token" in form["boxes"])

    def begin(self) -> str:
        """A new case; returns its name in addresses."""
        answer = self.asked("POST", "/cases", {"token": self.token(), "op": f"begin {time.monotonic_ns()}", "kind": "shower"})
        return answer.getheader("location").split("/")[2][:26]


def waited_for(what: Callable[[], bool], seconds: float = PATIENCE) -> None:
    """Waits until something holds."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.02)


@contextmanager
def served_on(database: str) -> Iterator[str]:
    """The address, with its key, of a server on a database."""
    started = [sys.executable, "-u", "-m", "validator", "serve", "--database", database, "--port", "0", "--no-open"]
    with subprocess.Popen(started, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        said = ""
        while not (found := re.search(r"http://\S+key=\S+", said)):
            said = process.stdout.readline()
            assert said, "the server did not start"
        yield found[0]
        process.terminate()
