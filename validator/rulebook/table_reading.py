"""Takes limits.yaml and schedule files, returns limits and schedules: a heading says what the columns of a sheet are."""

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from validator.facts import possible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language import amounts
from validator.language.files import written_in
from validator.language.forms import choice_of, complain, fields, listed, pairs_of, text_of, texts_of
from validator.language.source import Complaint, Entries, Node, Text, Where, read_file, read_text
from validator.rulebook import forms
from validator.rulebook.conditions import exact_amount
from validator.rulebook.schedules import Cell, Limit, Row, Schedule, closed_range, next_rows_up
from validator.rulebook.sets import in_both, mask_for, ranges_for
from validator.rulebook.sources import Cited, Source, read_cited

ROW_COLUMNS = ("known by", "source", "section", "edition", "note")
ALL_OTHER, ANY = "all other", "any"
FARTHEST_PRINTED = 10  # a value in another unit is rounded by less than one part in so many


@dataclass(frozen=True, slots=True)
class Tables:
    """Reads the tables of one book."""

    vocabulary: Vocabulary
    sources: dict[str, Source]
    complaints: list[Complaint]

    # -- limits ---------------------------------------------------------------------------------------------------------

    def limits(self, path: Path) -> dict[str, Limit]:
        """The limits of a book by name; a book may have none."""
        if not path.exists():
            return {}
        found: dict[str, Limit] = {}
        for key, node in pairs_of(read_file(path, self.complaints), "limits.yaml", self.complaints):
            limit = self._limit(key, node)
            if limit is not None:
                found[key.text] = limit
        return found

    def _limit(self, key: Text, node: Node) -> Limit | None:
        lines = fields(node, f"the limit `{key.text}`", forms.LIMIT.keys, forms.LIMIT.needed, self.complaints)
        kind = choice_of(lines.get("kind"), "kind", amounts.KINDS, self.complaints)
        cited = read_cited(lines.get("source"), self.sources, self.complaints)
        replaces = choice_of(lines.get("replaces"), "replaces", ("yes", "no"), self.complaints) == "yes"
        if not kind:
            return None
        if "by" in lines:
            limit = self._limit_by(key, lines, kind, cited)
            return limit and limit._replace(replaces=replaces)
        self._check_cited(key, cited)
        read = self._printed(lines.get("value"), lines.get("printed also"), kind, key)
        if read is None:
            return None
        return Limit(key.text, kind, *read, text_of(lines["value"], "value", self.complaints), cited, key.where,
                     replaces=replaces)  # fmt: skip

    def _check_cited(self, node: Text, cited: tuple[Cited, ...]) -> None:
        if not cited:
            complain(self.complaints, node, f"`{node.text}` names no source", "`source: {from: ..., known by: read second-hand}`")

    def _printed(self, value: Node | None, also: Node | None, kind: str, key: Text) -> tuple[int, int] | None:
        if not isinstance(value, Text):
            complain(self.complaints, key, f"the limit `{key.text}` has no value", "`value: 5/8 in`")
            return None
        steps = [self._step(kind, value)]
        for text in texts_of(also, "printed also", self.complaints):
            steps.append(self._step(kind, Text(text, also.where)))
        self._check_near(kind, steps, (value.text, *texts_of(also, "printed also", [])), also or value)
        return closed_range([step for step in steps if step is not None]) if None not in steps[:1] else None

    def _check_near(self, kind: str, steps: list[int | None], texts: tuple[str, ...], node: Node) -> None:
        """What is printed in another unit is the same value; all between the two would be exactly on the limit. A count has no unit."""
        first, *others = steps if kind != "count" else steps[:1]
        for step, text in zip(others, texts[1:]):
            if first is not None and step is not None and abs(step - first) * FARTHEST_PRINTED > abs(first):
                complain(self.complaints, node, f"`{text}` is printed also for {texts[0]}, and is another {kind}: "
                         "everything between the two would be exactly on the limit",
                       f"the same {kind} in another unit, about {amounts.show(first, kind)}")  # fmt: skip

    def _step(self, kind: str, node: Text) -> int | None:
        try:
            amount = amounts.read(node.text, kind)
        except amounts.AmountProblem as problem:
            complain(self.complaints, node, problem.what, problem.accepted)
            return None
        return exact_amount(kind, node, (amount.least, amount.greatest), self.complaints)

    def _limit_by(self, key: Text, lines: dict[str, Node], kind: str, cited: tuple[Cited, ...]) -> Limit | None:
        fact = self.vocabulary.fact(text_of(lines["by"], "by", self.complaints))
        if fact is None or not fact.is_word:
            complain(self.complaints, lines["by"], "a limit changes by a fact that is a word", "job.code family")
            return None
        rows: list[Row] = []
        for word, node in pairs_of(lines.get("values"), "values", self.complaints):
            row = self._value(fact, word, node, kind, cited)
            if row is not None:
                rows.append(row)
        gives = Fact(name=key.text, thing="place", kind=kind)
        open_beyond = text_of(lines.get("otherwise"), "otherwise", self.complaints) == "open"
        schedule = Schedule(key.text, "", gives, (fact,), ("value",), tuple(rows), open_beyond=open_beyond, where=key.where)
        self._prepare(schedule, key)
        values = [row.answers[0] for row in rows] or [(0, 0)]
        texts = " or ".join(row.texts[0] for row in rows)
        every = tuple(dict.fromkeys(each for row in rows for each in row.cited))
        least, greatest = min(v[0] for v in values), max(v[1] for v in values)
        return Limit(key.text, kind, least, greatest, texts, every, key.where, schedule)

    def _value(self, fact: Fact, word: Text, node: Node, kind: str, cited: tuple[Cited, ...]) -> Row | None:
        """One value of a limit that changes: a text, a text with what is printed also, or a mapping with its own source."""
        if isinstance(node, Entries):
            lines = fields(node, f"the value for {word.text}", forms.VALUE.keys, forms.VALUE.needed, self.complaints)
            texts = (text_of(lines.get("value"), "value", self.complaints),
                     *texts_of(lines.get("printed also"), "printed also", self.complaints))  # fmt: skip
            cited = read_cited(lines.get("source"), self.sources, self.complaints) or cited
        else:
            texts = texts_of(node, "value", self.complaints)
        self._check_cited(word, cited)
        cell = self._cell(fact, word.text, word.where)
        steps = [s for s in (self._step(kind, Text(text, node.where)) for text in texts) if s is not None]
        if len(steps) == len(texts):
            self._check_near(kind, steps, texts, node)
        return Row((cell,), (closed_range(steps),), texts, cited, word.where) if steps else None

    def _prepare(self, schedule: Schedule, node: Node) -> None:
        for what, accepted in schedule.prepare():
            complain(self.complaints, node, what, accepted)

    # -- schedules --------------------------------------------------------------------------------------------------------

    def schedules(self, folder: Path) -> dict[str, Schedule]:
        """The schedules of a book by name."""
        found: dict[str, Schedule] = {}
        for path in written_in(folder):
            node = read_file(path, self.complaints)
            if node is None:
                continue
            schedule = self._schedule(node, path)
            if schedule is not None:
                found[schedule.name] = schedule
        return found

    def _schedule(self, node: Node, path: Path) -> Schedule | None:
        lines = fields(node, *forms.SCHEDULE, self.complaints)
        name = text_of(lines.get("schedule"), "schedule", self.complaints)
        gives = self._fact(lines.get("gives"))
        keys = tuple(self._fact(Text(t, lines["keys"].where)) for t in texts_of(lines.get("keys"), "keys", self.complaints))
        if gives is None or None in keys or not keys:
            return None
        for key in keys:
            if not (key.is_amount or key.is_word):
                complain(self.complaints, lines["keys"], f"`{key.name}` is {key.kind}, which no row can be found by",
                       "keys that are amounts or words")  # fmt: skip
                return None
        columns = texts_of(lines.get("answers"), "answers", self.complaints) or ("answer",)
        cited = read_cited(lines.get("sources"), self.sources, self.complaints)
        otherwise = choice_of(lines.get("otherwise"), "otherwise", ("refuse", "open"), self.complaints, "refuse")
        sound = len(self.complaints)
        sheet = path.parent / text_of(lines.get("rows"), "rows", self.complaints)
        step = lines.get("step")
        read = self._rows(sheet, keys, columns, gives, cited, self._stepped(step, keys), lines.get("rows", node))
        if not read:
            return None
        last_is_other = read[-1][1]
        schedule = Schedule(
            name, text_of(lines.get("what"), "what", self.complaints), gives, keys, columns,
            tuple(row for row, _ in read), len(read) - 1 if last_is_other else -1, otherwise == "open", node.where,
            choice_of(lines.get("replaces"), "replaces", ("yes", "no"), self.complaints) == "yes",
        )  # fmt: skip
        if len(self.complaints) == sound:  # a cell that cannot be read would overlap with every other
            self._prepare(schedule, node)
        return schedule

    def _fact(self, node: Node | None) -> Fact | None:
        name = text_of(node, "a fact", self.complaints)
        fact = self.vocabulary.fact(name)
        if fact is None and node is not None:
            complain(self.complaints, node, f"`{name}` is no fact of the vocabulary", self.vocabulary.nearest_fact(name))
        return fact

    def _stepped(self, node: Node | None, keys: tuple[Fact, ...]) -> int | None:
        """Which key is a published step that answers up to its own value: `step: {next row up: framing.span}`."""
        if node is None:
            return None
        name = node.get("next row up") if isinstance(node, Entries) else None
        names = [key.name for key in keys]
        if not isinstance(name, Text) or name.text not in names:
            complain(self.complaints, node, "a step names one key of the schedule", "step: {next row up: framing.span}")
            return None
        return names.index(name.text)

    def _rows(
        self, sheet: Path, keys: tuple[Fact, ...], columns: tuple[str, ...], gives: Fact, cited: tuple[Cited, ...],
        stepped: int | None, node: Node,
    ) -> list[tuple[Row, bool]]:  # fmt: skip
        table = self._table(sheet, node)
        if table is None:
            return []
        head = [cell.strip() for cell in table[0]] if table else []
        wanted = [*(key.name for key in keys), *columns]
        extra = [h for h in head if h not in wanted and h not in ROW_COLUMNS]
        if any(w not in head for w in wanted) or extra:
            complain(self.complaints, Text("", Where(str(sheet), 1, 1)), f"the columns are {listed(head)}",
                   f"{listed(wanted, 20)}; and any of {listed(ROW_COLUMNS)}")  # fmt: skip
            return []
        lines = [
            (number, dict(zip(head, (cell.strip() for cell in line))))
            for number, line in enumerate(table[1:], start=2)
            if any(cell.strip() for cell in line) and self._is_full(sheet, number, line, head)
        ]
        rows = [self._row(sheet, number, line, keys, columns, gives, cited) for number, line in lines]
        if stepped is not None:
            rows = self._with_steps(rows, stepped)
        return rows

    def _table(self, sheet: Path, node: Node) -> list[list[str]] | None:
        """The cells of a sheet of rows; None, and a complaint, where they cannot be read."""
        if not sheet.is_file():
            complain(self.complaints, node, f"the sheet of rows {sheet.name} cannot be read", "a CSV file beside the heading")
            return None
        text = read_text(sheet, self.complaints)
        reader = csv.reader(io.StringIO(text or "", newline=""), strict=True)
        try:
            return list(reader) if text is not None else None
        except csv.Error:
            self.complaints.append(Complaint(Where(str(sheet), reader.line_num, 1), "a quotation mark is opened and not closed, or stands inside a cell",
                                             'a cell that holds one in quotes, the mark twice: "23/32"""'))  # fmt: skip
            return None

    def _is_full(self, sheet: Path, number: int, line: list[str], head: list[str]) -> bool:
        if len(line) != len(head):
            self.complaints.append(
                Complaint(Where(str(sheet), number, 1), f"the row has {len(line)} cells and the sheet {len(head)} columns", "a cell for each column")
            )
        return len(line) == len(head)

    def _row(
        self, sheet: Path, number: int, line: dict[str, str], keys: tuple[Fact, ...], columns: tuple[str, ...],
        gives: Fact, cited: tuple[Cited, ...],
    ) -> tuple[Row, bool]:  # fmt: skip
        where = Where(str(sheet), number, 1)
        other = line.get(keys[0].name, "") == ALL_OTHER
        cells = tuple(None if other else self._cell(key, line.get(key.name, ""), where) for key in keys)
        answers = tuple(self._answer(gives, line.get(column, ""), where) for column in columns)
        own = self._row_source(line, cited, where)
        return Row(cells, answers, tuple(line.get(column, "") for column in columns), own, where), other

    def _row_source(self, line: dict[str, str], cited: tuple[Cited, ...], where: Where) -> tuple[Cited, ...]:
        said = {key: line[key] for key in ("section", "edition", "note") if line.get(key)}
        if line.get("known by"):
            said["known by"] = line["known by"]
        if not said and not line.get("source"):
            return cited
        base = cited[0] if cited else None
        name = line.get("source") or (base.source.name if base else "")
        known_by = said.pop("known by", base.known_by if base else "remembered")
        pairs = {"from": name, "known by": known_by, **said}
        node = Entries(tuple((Text(k, where), Text(v, where)) for k, v in pairs.items()), where)
        return read_cited(node, self.sources, self.complaints)

    def _with_steps(self, rows: list[tuple[Row, bool]], key: int) -> list[tuple[Row, bool]]:
        """Rows that share their other cells become steps of the stepped key."""
        groups: dict[tuple, list[int]] = {}
        for number, (row, _) in enumerate(rows):
            groups.setdefault(row.cells[:key] + row.cells[key + 1 :], []).append(number)
        stepped = list(rows)
        for numbers in groups.values():
            ends = [rows[n][0].cells[key][0][1] if rows[n][0].cells[key] else None for n in numbers]
            if None in ends or ends != sorted(ends):
                continue  # `all other`, or a blank: it takes no step
            for number, cell in zip(numbers, next_rows_up(ends)):
                row, other = rows[number]
                cells = row.cells[:key] + (cell,) + row.cells[key + 1 :]
                stepped[number] = (Row(cells, row.answers, row.texts, row.cited, row.where), other)
        return stepped

    # -- cells ------------------------------------------------------------------------------------------------------------

    def _cell(self, key: Fact, text: str, where: Where) -> Cell:
        if not text or text == ANY:
            return None
        if key.is_amount:
            return self._span(key.kind, text, where)
        # Words in order may be named by one side: `before 2006`, `from 2006`.
        side = re.match(r"(before|from) ", text) if key.order else None
        compare = {"before": "less than", "from": "at least"}[side[1]] if side else "none of" if text.startswith("not ") else "is"
        try:
            mask = possible.word_mask(key, tuple(re.split(r"\s+or\s+", re.sub(r"^(before|from|not) ", "", text))))
        except possible.NotPossible as problem:
            self.complaints.append(Complaint(where, problem.what, problem.accepted))
            return None
        return mask_for(key, compare, mask)

    def _span(self, kind: str, text: str, where: Where) -> Cell:
        """`under 15 in`, `15 in and over`, `over 15 in`, `up to 15 in`, `8 in to under 15 in`, or one value."""
        forms = (
            (r"under (.+)", ("less than",)), (r"(.+) and over", ("at least",)), (r"over (.+) to under (.+)",
            ("more than", "less than")), (r"over (.+) to (.+)", ("more than", "at most")), (r"over (.+)", ("more than",)),
            (r"up to (.+)", ("at most",)), (r"(.+) to under (.+)", ("at least", "less than")),
            (r"(.+) to (.+)", ("at least", "at most")), (r"(.+)", ("is",)),
        )  # fmt: skip
        for pattern, compares in forms:
            found = re.fullmatch(pattern, text)
            if found:
                steps = [self._end(kind, part, text, where) for part in found.groups()]
                if None in steps:
                    return None
                ranges = [ranges_for(compare, step, step) for compare, step in zip(compares, steps)]
                span = ranges[0] if len(ranges) == 1 else in_both(*ranges)
                if not span:
                    self.complaints.append(Complaint(where, f"nothing lies in `{text}`", "the lesser amount first"))
                return span
        return None

    def _end(self, kind: str, part: str, text: str, where: Where) -> int | None:
        """One end of a cell; an end that is itself a range is said in words that no sheet of rows reads."""
        try:
            amount = amounts.read(part, kind)
        except amounts.AmountProblem as problem:
            if not part.startswith(("<", ">", "≤", "≥")):
                self.complaints.append(Complaint(where, problem.what, problem.accepted))
                return None
        else:
            if amount.greatest - amount.least <= 1:
                return exact_amount(kind, Text(part, where), (amount.least, amount.greatest), self.complaints)
        value = re.search(r"[0-9].*", part)
        said = value[0] if value else "15 in"
        self.complaints.append(Complaint(where, f"`{text}` is not how a sheet of rows says a range",
                                         f"over {said}, {said} and over, under {said}, up to {said}, or `8 in to under 15 in`"))  # fmt: skip
        return None

    def _answer(self, gives: Fact, text: str, where: Where) -> object:
        if gives.is_amount:
            step = self._step(gives.kind, Text(text, where))
            return (step, step) if step is not None else (0, 0)
        if text == ANY and not gives.is_together:
            return gives.every_word
        words = tuple(w for w in re.split(r"\s*,\s*|\s+or\s+", text) if w)
        if not words:
            self.complaints.append(Complaint(where, f"a row gives no {gives.name}", listed(gives.words)))
            return 1
        try:
            return possible.word_mask(gives, words)
        except possible.NotPossible as problem:
            self.complaints.append(Complaint(where, problem.what, problem.accepted))
            return 1
