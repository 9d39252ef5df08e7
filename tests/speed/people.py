"""Fifty people at once in the browser, beside the same framework serving an empty page: `python -m tests.speed.people`.

It starts servers of its own on this machine, in a folder that goes with it, and speaks to no other address; it sends at most
`MOST` requests in at most `SECONDS` seconds a run, and then ends. When each request is due is drawn beforehand, and what it
took counts from then, so that a server that stands still hides nothing. An answer counts until it is kept, judged and drawn, as the
pages' own script asks for it; what that script asks for afterwards, what each answer would do and the questions ahead, is asked for
too, and stands on a line of its own.

    python -m tests.speed.people [--cases 10000] [--people 50] [--pause 5] [--seconds 30]
"""

import argparse
import http.client
import os
import random
import re
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

sys.path[:0] = [str(Path(__file__).parents[1] / "helpers")]

from paths import ROOT  # noqa: E402
from served import Served  # noqa: E402

from validator.judging.loading import load_book  # noqa: E402
from validator.rulebook.shelf import book_folder  # noqa: E402
from validator.web.bench import Bench  # noqa: E402
from validator.web.deeds import taken_in  # noqa: E402
from validator.web.running import verified_lines  # noqa: E402
from validator.web.store import Store  # noqa: E402

MOST, SECONDS = 2_000, 60
BOUNDS = {"answers": 0.150, "searches": 0.200}  # seconds, at the 95th in a hundred
MEMORY = 500  # MB
SAMPLES = {"second-floor-shower": "back wall", "half-known": "", "registered-shower": ""}  # with a place whose tile is told otherwise
CARRIED = {"x-carried-by": "live"}
SITES = ("Oak", "Birch", "Mill", "Hill", "Lake", "North", "Station", "Church")
EMPTY = (
    "import sys, uvicorn; from fastapi import FastAPI; from starlette.responses import HTMLResponse\n"
    "app = FastAPI(openapi_url=None)\n"
    "@app.get('/')\n"
    "def empty(): return HTMLResponse('')\n"
    "uvicorn.run(app, host='127.0.0.1', port=int(sys.argv[1]), log_level='error')\n"
)


class Took(NamedTuple):
    """What one kind of request took, in seconds from when each was due, and how many failed."""

    what: str
    times: list[float]
    failed: int

    def at(self, hundredth: float) -> float:
        """What that part of them took at most."""
        return sorted(self.times)[min(len(self.times) - 1, int(len(self.times) * hundredth))]

    def line(self) -> str:
        ends = "  ".join(f"{name} {self.at(part) * 1000:6.0f} ms" for name, part in (("p50", 0.5), ("p95", 0.95), ("p99", 0.99), ("worst", 1)))
        bound = BOUNDS.get(self.what)
        return f"{self.what:<12} n {len(self.times):>4}  {ends}  failed {self.failed}" + (f"  bound {bound * 1000:.0f} ms" if bound else "")


def seeded(database: Path, number: int) -> list[tuple[str, str]]:
    """Makes cases of the samples; returns each with the place whose tile is told otherwise."""
    bench, store, made = Bench(load_book(book_folder("us"))), Store(str(database)), []
    kinds = []
    for sample, place in SAMPLES.items():
        (deed,) = taken_in(bench, (ROOT / "samples" / f"{sample}.yaml").read_text())
        tiled = [each.name for each in bench.read(deed.text)[1].subjects if each.layers.get("tile")]
        kinds.append((deed, place or tiled[0]))
    chance = random.Random(1)
    with store.writing() as link:
        store.writing = lambda: nullcontext(link)
        for turn in range(number):
            deed, place = kinds[turn % len(kinds)]
            title = f"{chance.choice(SITES)} St {turn % 97}, WR-{turn:05}"
            text = re.sub(r"^assembly:.*$", f"assembly: {title}", deed.text, count=1, flags=re.MULTILINE)
            made.append((store.begin(deed._replace(text=text, title=title), who="own machine", book=bench.fingerprint).public, place))
    store.close()
    return made


def under_load(what: str, one: Callable[[int, random.Random], str | bool], people: int, pause: float, seconds: float, then: Callable[[str], None] | None = None) -> Took:
    """Lets people ask, each with pauses drawn beforehand; returns what each request took from when it was due. `then` is not counted."""
    took: list[float] = []
    failed: list[int] = []
    begin = time.monotonic() + 0.5

    def person(number: int) -> None:
        chance, due = random.Random(number), 0.0
        for _ in range(MOST // people):
            due += chance.expovariate(1 / pause)
            if due > min(seconds, SECONDS):
                return
            time.sleep(max(0.0, begin + due - time.monotonic()))
            try:
                well = one(number, chance)
            except (OSError, http.client.HTTPException):
                well = False
            took.append(time.monotonic() - begin - due) if well else failed.append(number)
            if well and then is not None:
                then(well)

    threads = [threading.Thread(target=person, args=(number,)) for number in range(people)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return Took(what, took, len(failed))


@contextmanager
def empty_page() -> Iterator[Callable[[int, random.Random], bool]]:
    """The same framework with nothing to do."""
    import socket

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]

    def one(_number: int, _chance: random.Random) -> bool:
        link = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        link.request("GET", "/")
        try:
            return link.getresponse().status == 200
        finally:
            link.close()

    with subprocess.Popen([sys.executable, "-c", EMPTY, str(port)]) as process:
        for _ in range(200):
            try:
                one(0, random.Random())
                break
            except OSError:
                time.sleep(0.05)
        yield one
        process.terminate()


def processor(pid: int) -> float:
    """The seconds of processor that a process has taken."""
    parts = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def memory(pid: int) -> float:
    """The most memory that a process has held, in MB."""
    return int(re.search(r"VmHWM:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())[1]) / 1024


def main() -> int:
    said = argparse.ArgumentParser()
    for name, usual in (("cases", 10_000), ("people", 50), ("pause", 5.0), ("seconds", 30.0)):
        said.add_argument(f"--{name}", type=type(usual), default=usual)
    asked = said.parse_args()
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores" + (" (other work runs: not to be published)" if os.getloadavg()[0] > 0.5 else ""))
    with TemporaryDirectory(prefix="people-") as folder:
        return told(Path(folder), asked)


def told(folder: Path, asked: argparse.Namespace) -> int:
    begin = time.monotonic()
    cases = seeded(folder / "cases.sqlite", asked.cases)
    print(f"{len(cases)} cases made in {time.monotonic() - begin:.0f} s, {(folder / 'cases.sqlite').stat().st_size / 1e6:.0f} MB")
    served = Served(folder)
    token, kept, after = served.token(), [], Took("after answers", [], 0)

    def answer(number: int, chance: random.Random) -> str:
        public, place = cases[number * 197 % len(cases)]  # each person has a case of their own
        op = f"{number} {chance.getrandbits(60):x}"
        body = {"token": token, "op": op, "fact": "tile.size", "place": place, "settled": "yes", "typed": f"{chance.randint(2, 24)} x {chance.randint(2, 24)} in", "layer": "-1"}
        sent = served.asked("POST", f"/cases/{public}/answer", body)
        if sent.status != 303:
            return ""
        kept.append((public, op))
        page = served.asked("GET", sent.getheader("location"), **CARRIED)
        drawing = re.search(r'src="(/cases/[^"]+drawing\.svg[^"]*)"', page.said)
        if page.status != 200 or drawing is None or served.asked("GET", drawing[1].replace("&amp;", "&")).status != 200:
            return ""
        weighed = re.search(r'data-after="([^"]+)"', page.said)
        return f"{weighed[1].replace('&amp;', '&') if weighed else ''} /cases/{public}/ahead"

    def asked_after(addresses: str) -> None:
        """What the script asks for once the page is shown."""
        begin = time.monotonic()
        with suppress(OSError, http.client.HTTPException):
            if all(served.asked("GET", each).status == 200 for each in addresses.split()):
                after.times.append(time.monotonic() - begin)

    def search(_number: int, chance: random.Random) -> bool:
        return served.asked("GET", f"/?q={chance.choice(SITES)}+{chance.choice(('wr-0', 'porcelain', 'foam', str(chance.randrange(97))))}").status == 200

    def listed(_number: int, chance: random.Random) -> bool:
        return served.asked("GET", chance.choice(("/", "/?told=fail", "/?told=open", "/?age=week"))).status == 200

    under_load("warm", answer, asked.people, asked.pause, 5)
    runs = []
    with empty_page() as empty:
        runs.append(under_load("empty page", empty, asked.people, asked.pause, asked.seconds))
        for what, one in (("answers", answer), ("searches", search), ("lists", listed)):
            before = processor(served.process.pid)
            runs.append(under_load(what, one, asked.people, asked.pause, asked.seconds, asked_after if one is answer else None))
            each = (processor(served.process.pid) - before) / max(1, len(runs[-1].times))
            print(f"{runs[-1].line()}  {each * 1000:.0f} ms of processor each")
        runs.append(under_load("empty page", empty, asked.people, asked.pause, asked.seconds))
    print(runs[0].line(), runs[-1].line(), after.line(), sep="\n")
    most = memory(served.process.pid)
    print(f"memory at most {most:.0f} MB  bound {MEMORY} MB")
    served.kill()
    store = Store(str(folder / "cases.sqlite"))
    ops = {public: {event.says["op"] for event in store.events(public)} for public, _ in kept}
    store.close()
    lost = [op for public, op in kept if op not in ops[public]]
    lines, sound = verified_lines(str(folder / "cases.sqlite"), folder)
    print(f"{len(kept)} answers acknowledged, {len(lost)} lost; {lines[-1]}")
    late = [each.what for each in runs if each.what in BOUNDS and each.at(0.95) > BOUNDS[each.what]]
    return 1 if late or lost or not sound or most > MEMORY or any(each.failed for each in runs) else 0


if __name__ == "__main__":
    sys.exit(main())
