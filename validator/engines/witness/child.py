"""The witness's own process: reads rules and facts, writes the names of the rules that fired.

Only this module touches durable-rules, and it runs as `python -m validator.engines.witness.child BYTES`, where BYTES is
the most memory it may take. One line of JSON comes in and one goes out, until the input ends:

* first `{"rules": {name: [comparison, ...]}}`; the answer is `{"ready": how many}`, or `{"refused": why}` and the end;
* then `{"facts": [{field: number}, ...]}`; the answer is `{"fired": [[name, ...], ...]}`, or `{"refused": why}` and the end.

What is done here, and how, is only what held when version 2.0.28 was measured: one ruleset a process, a host without
timer threads, a flat fact in a fresh session that is deleted afterwards, actions that only note a name, a rule that
always fires, and the state of the session read for an exception that the library swallowed.
"""

import json
import os
import platform
import sys
from collections.abc import Callable, Iterator
from importlib import metadata

MEASURED = "2.0.28"
RULESET, SENTINEL = "book", "always"
ALWAYS_FIELD = "z"  # the field that every fact has, for the rule that always fires


class _Refused(Exception):
    """What this process cannot witness, in words for the person who asked."""


def _limit_memory(most: int) -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _quiet_host() -> object:
    """A host of the library without its timer threads. Raises _Refused when the library is not the measured one."""
    try:
        found = metadata.version("durable_rules")
    except metadata.PackageNotFoundError:
        raise _Refused("durable-rules is not installed") from None
    if found != MEASURED:
        raise _Refused(f"durable-rules {found} is installed, and only {MEASURED} was measured")
    try:
        from durable.engine import Host
    except ImportError:
        raise _Refused(f"durable-rules does not import on Python {platform.python_version()}") from None

    class QuietHost(Host):
        def _run(self) -> None:
            """No timers: together with deleted sessions they were seen to kill the process."""

    return QuietHost()


def _noting(fired: set[str], name: str) -> Callable[[object], None]:
    # Exactly one parameter: with a second one the library takes an action for asynchronous.
    def note(closure: object) -> None:
        fired.add(name)

    return note


class _Rules:
    """One ruleset, loaded once."""

    def __init__(self, host: object, rules: dict[str, list]) -> None:
        self.fired: set[str] = set()
        self.sessions = 0
        self.host = host
        always = {**rules, SENTINEL: [{ALWAYS_FIELD: 1.0}]}
        self.host.register_rulesets({
            RULESET: {
                name: {"all": [{"m": {"$and": comparisons}}], "run": _noting(self.fired, name)}
                for name, comparisons in always.items()
            }
        })  # fmt: skip

    def fired_by(self, fact: dict[str, float]) -> list[str]:
        """The rules that one fact fires. Raises _Refused when the library did not do its work to the end."""
        self.sessions += 1
        session = f"s{self.sessions}"
        self.fired.clear()
        self.host.assert_fact(RULESET, {**fact, ALWAYS_FIELD: 1.0, "sid": session, "id": session})
        state = self.host.get_state(RULESET, session)
        self.host.delete_state(RULESET, session)
        if "exception" in state:
            raise _Refused(f"an action did not end well: {state['exception'][:200]}")
        if SENTINEL not in self.fired:
            raise _Refused("the rule that always fires did not fire")
        return sorted(self.fired - {SENTINEL})


def _answers(lines: Iterator[str], most: int) -> Iterator[dict]:
    """The answers to the lines that come in, in turn."""
    host = _quiet_host()
    _limit_memory(most)
    told = json.loads(next(lines))["rules"]
    rules = _Rules(host, told)
    yield {"ready": len(told)}
    for line in lines:
        yield {"fired": [rules.fired_by(fact) for fact in json.loads(line)["facts"]]}


def main() -> None:
    # Whatever the library prints must not be taken for an answer.
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    try:
        for answer in _answers(iter(sys.stdin), int(sys.argv[1])):
            print(json.dumps(answer), file=answers, flush=True)
    except _Refused as refused:
        print(json.dumps({"refused": str(refused)}), file=answers, flush=True)
    except MemoryError:
        print('{"refused": "it ran out of memory"}', file=answers, flush=True)


if __name__ == "__main__":
    main()
