"""Packs rules into sets that the witness is told at once, within what its library was seen to bear.

At most sixty rules and 240 fields go to one set, and one set to one process. Fields have short names of their own, no
two of which have the same hash, since the library knows a field by its hash alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from validator.engines.witness.rules import MOST_FIELDS, MOST_WAYS, Key, Way, WitnessRule

TOLD_AS = {">=": "$gte", "<=": "$lte", ">": "$gt", "<": "$lt"}
TAKEN = ("sid", "id", "z", "m", "$s", "$m")  # names that the library and the rule that always fires use


@dataclass(slots=True)
class RuleSet:
    """Some rules told together, with a short name for each field and for each way."""

    rules: list[WitnessRule] = field(default_factory=list)
    names: dict[Key, str] = field(default_factory=dict)
    verdicts: dict[str, tuple[str, str]] = field(default_factory=dict)  # way's name -> rule, verdict

    def told(self) -> dict[str, list]:
        """The rules as the witness's process takes them."""
        told: dict[str, list] = {}
        for rule in self.rules:
            for verdict, ways in rule.ways.items():
                for way in ways:
                    name = f"w{len(told)}"
                    told[name] = list(self._comparisons(rule, way))
                    self.verdicts[name] = (rule.name, verdict)
        return told

    def named(self, rule: WitnessRule, key: Key) -> str:
        """A field's short name. Schedules' answers belong to one rule; facts are shared."""
        own = (rule.name, *key) if isinstance(key[0], str) else key
        if own not in self.names:
            self.names[own] = _short_name(len(self.names), set(map(hash32, self.names.values())))
        return self.names[own]

    def _comparisons(self, rule: WitnessRule, way: Way) -> Iterator[dict]:
        ordered = sorted(way, key=repr)
        fields = [key for _, left, right in ordered if isinstance(right, tuple) for key in (left, right)]
        # A field that is not there may make a comparison of two fields come out true, so both are asked for first.
        for key in dict.fromkeys(fields):
            yield {"$ex": {self.named(rule, key): 1}}
        for compare, left, right in ordered:
            value = {"$m": self.named(rule, right)} if isinstance(right, tuple) else right
            name = self.named(rule, left)
            yield {name: value} if compare == "==" else {TOLD_AS[compare]: {name: value}}
        if not ordered:
            yield {"z": 1.0}


def packed(rules: list[WitnessRule]) -> list[RuleSet]:
    """The rules in as few sets as the library's bounds allow, in the book's order."""
    sets: list[RuleSet] = []
    size, fields = 0, set()
    for rule in rules:
        own = {(rule.name, *key) if isinstance(key[0], str) else key for key in rule.fields}
        if not sets or size + rule.size > MOST_WAYS or len(fields | own) > MOST_FIELDS:
            sets.append(RuleSet())
            size, fields = 0, set()
        sets[-1].rules.append(rule)
        size, fields = size + rule.size, fields | own
    return sets


def hash32(name: str) -> int:
    """The library's hash of a name (FNV-1a, 32 bits): two names of one hash are one field to it."""
    value = 0x811C9DC5
    for byte in name.encode():
        value = (value ^ byte) * 0x01000193 & 0xFFFFFFFF
    return value


def _short_name(number: int, taken: set[int]) -> str:
    name = f"f{number}"
    while hash32(name) in taken or hash32(name) in set(map(hash32, TAKEN)):
        name += "x"
    return name
