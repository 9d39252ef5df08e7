"""Starts, asks and ends the witness's process, whatever that does.

The process may be killed, may hang, may take all the memory it is allowed, may refuse. Each comes back as NoWitness
with a plain reason, after which the process is gone; asked again, a new one is started.
"""

import json
import os
import selectors
import subprocess
import sys
import time
from pathlib import Path

CHILD = "validator.engines.witness.child"
ANSWER_WITHIN = 15.0  # seconds, for one batch of facts, which takes a tenth of one: a busy machine is no fault
START_WITHIN = 60.0  # seconds, for the interpreter, the library and the rules
MEMORY = 512 * 2**20
BATCH = 100  # facts asked at once
MOST_SAID = 200  # letters of why it refuses
MOST_ANSWERED = 64 * 2**20  # bytes of one answer
MOST_FACTS = 50_000  # a process is replaced after so many, however well it does


class NoWitness(Exception):
    """Why there is no witness, in plain words."""


class WitnessProcess:
    """One process with one ruleset. Raises NoWitness from `ask` when it does not answer."""

    def __init__(
        self, told: dict[str, list], python: tuple[str, ...] = (sys.executable,), answer_within: float = ANSWER_WITHIN,
        start_within: float = START_WITHIN, memory: int = MEMORY,
    ) -> None:  # fmt: skip
        self.told = told
        self.command = (*python, "-m", CHILD, str(memory))
        self.answer_within = answer_within
        self.start_within = start_within
        self.process: subprocess.Popen | None = None
        self.ready = False
        self.asked = 0

    def launch(self) -> None:
        """Start the process without waiting for it, so that several can start side by side."""
        if self.process is not None:
            return
        if os.name != "posix":
            raise NoWitness("it is kept within its memory only on Linux and macOS")
        project = str(Path(__file__).parents[3])
        path = os.pathsep.join(filter(None, (project, os.environ.get("PYTHONPATH", ""))))
        try:
            self.process = subprocess.Popen(
                self.command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": path},
            )  # fmt: skip
        except OSError as problem:
            raise NoWitness(f"its process did not start: {problem.strerror}") from None
        for pipe in (self.process.stdin, self.process.stdout):
            os.set_blocking(pipe.fileno(), False)
        self.ready, self.asked = False, 0

    def ask(self, facts: list[dict[str, float]]) -> list[list[str]]:
        """The names of what fired, for each fact. A process that dies or hangs is replaced once and asked again."""
        fired: list[list[str]] = []
        for start in range(0, len(facts), BATCH):
            batch = facts[start : start + BATCH]
            if self.asked + len(batch) > MOST_FACTS:
                self.close()
            try:
                fired += self._asked(batch)
            except _Lost:
                try:
                    fired += self._asked(batch)
                except _Lost as lost:
                    raise NoWitness(str(lost)) from None
        return fired

    def _asked(self, batch: list[dict[str, float]]) -> list[list[str]]:
        self.launch()
        if not self.ready:
            self._exchange({"rules": self.told}, self.start_within)
            self.ready = True
        self.asked += len(batch)
        fired = self._exchange({"facts": batch}, self.answer_within).get("fired")
        if not _is_an_answer(fired, len(batch), self.told):
            self.close()
            raise _Lost("its process did not answer every fact in turn")
        return fired

    def _exchange(self, message: dict, within: float) -> dict:
        """One line out and one line back, within a time limit."""
        try:
            answer = json.loads(self._line(json.dumps(message).encode() + b"\n", time.monotonic() + within, within))
        except (_Lost, KeyboardInterrupt):
            self.close()
            raise
        except (ValueError, RecursionError):
            answer = None
        if not isinstance(answer, dict):
            self.close()
            raise _Lost("its process answered with something else")
        if "refused" in answer:
            self.close()
            raise NoWitness(str(answer["refused"])[:MOST_SAID])
        return answer

    def _line(self, out: bytes, until: float, within: float) -> bytes:
        stdin, stdout = self.process.stdin.fileno(), self.process.stdout.fileno()
        back = b""
        with selectors.DefaultSelector() as waiting:
            waiting.register(stdin, selectors.EVENT_WRITE)
            waiting.register(stdout, selectors.EVENT_READ)
            while not back.endswith(b"\n"):
                left = until - time.monotonic()
                ready = waiting.select(left) if left > 0 else []
                if not ready:
                    raise _Lost(f"it did not answer within {within:g} s")
                for key, _ in ready:
                    if key.fd == stdin:
                        out = out[self._write(stdin, out) :]
                        if not out:
                            waiting.unregister(stdin)
                    else:
                        more = os.read(stdout, 1 << 20)
                        if not more:
                            raise _Lost(self._how_it_ended())
                        back += more
                        if len(back) > MOST_ANSWERED:
                            raise _Lost("its process answered without end")
        return back

    def _write(self, stdin: int, out: bytes) -> int:
        try:
            return os.write(stdin, out[: 1 << 16])
        except BlockingIOError:
            return 0
        except BrokenPipeError:
            # It may have said why before it ended; what it said is read before this counts as lost.
            return len(out)

    def _how_it_ended(self) -> str:
        try:
            status = self.process.wait(self.answer_within)
        except subprocess.TimeoutExpired:
            return "its process closed its answers"
        return f"its process was ended by signal {-status}" if status < 0 else f"its process ended with status {status}"

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self.process is None:
            return
        self.process.kill()
        self.process.wait()
        self.process.stdin.close()
        self.process.stdout.close()
        self.process = None


def _is_an_answer(fired: object, facts: int, told: dict[str, list]) -> bool:
    """Whether what came back is, for each fact, names of rules that were told."""
    return (
        isinstance(fired, list) and len(fired) == facts
        and all(isinstance(names, list) and all(isinstance(name, str) and name in told for name in names) for names in fired)
    )  # fmt: skip


class _Lost(Exception):
    """The process died or hung; a new one may do better."""
