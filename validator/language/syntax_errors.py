"""Takes a text that the parser stopped at, returns in plain words what is wrong, and what to type instead.

Each saying is a pair: what is wrong, what would be accepted. `understood` turns a stop of the YAML parser into a Slip, by
looking at the line itself; the parser's own words are never passed on.
"""

import re
from typing import NamedTuple

import yaml

Saying = tuple[str, str]

EMPTY: Saying = ("there is nothing written here", "one fact a line, such as `spacing: 16 in`")
MISSING: Saying = ("there is no such file", "the name of a file that is there")
FOLDER: Saying = ("this is a folder", "the name of a file")
NOT_A_FILE: Saying = ("this is not an ordinary file", "the name of a text file")
UNREADABLE: Saying = ("this file cannot be opened for reading", "a file that you may read")
NOT_TEXT: Saying = ("this is not a text file", "plain text saved as UTF-8")
UTF_16: Saying = ("this file is saved as UTF-16", "the same text saved as UTF-8")
NOT_UTF_8: Saying = ("this character is not saved as UTF-8", "the same text saved as UTF-8")
SECOND_DOCUMENT: Saying = ("a second document begins here", "one document a file, with no line of `---` or `...` inside it")
INSTRUCTION: Saying = ("a line that begins with % is an instruction to the reader of the file", "the file without that line")
NAME_NOT_TEXT: Saying = ("a name must be text, not a list or facts in braces", "name: value")
NO_NAME: Saying = ("there is no name before the colon", "name: value")
MERGE: Saying = ("`<<` copies facts from elsewhere in the file", "the facts written out")
LONE_QUESTION: Saying = ("a ? alone cannot stand here", 'nothing after the name when it is not known, or "?" in quotes')
NO_SPACE: Saying = ("there is no space after this colon", "a space after the colon")
TOO_LONG: Saying = ("this name is too long", "a name of at most 1,000 letters")
DIVIDED: Saying = ("`---` and `...` divide a file into documents", "one document a file, without such lines")
GENERAL: Saying = ("this cannot be read", "one fact a line as name: value, indented with spaces, unusual text in quotes")

_LONE_QUESTION = re.compile(r"(?:^|[\[{,]|[:-]\s)\s*(\?)\s*(?=[,\]}]|$)")
_NAMED_VALUE = re.compile(r"""^[\s-]*("[^"]*"|'[^']*'|[^\s#'"\[\]{},][^#]*?)\s*:(?:\s+(\S.*)|\s*)$""")
_CUT_OFF = re.compile(r"(?<=[ \t])#(?=\d)")
_COLON = re.compile(r":(?:\s|$)")
_POINTING = re.compile(r"(?:^|[\[{,]|[:-]\s)\s*([*&!]\S*)$")
_COMPARED = re.compile(r"(>=?|=>)\s*(\d.*)")


class SyntaxFault(NamedTuple):
    """Line and column from 0; `mended` is the line with the slip set aside, so that the rest can be read."""

    line: int
    column: int
    what: str
    accepted: str
    mended: str | None = None


def in_quotes(text: str) -> str:
    if '"' not in text and "\\" not in text:
        return f'"{text}"'
    return "'" + text.replace("'", "''") + "'"


def shortened(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def size_in_words(size: int) -> str:
    if size < 10_000:
        return f"{size:,} bytes"
    return f"{size / 1000:.0f} kB" if size < 1_000_000 else f"{size / 1_000_000:.1f}".removesuffix(".0") + " MB"


def too_large(size: int, limit: int) -> Saying:
    return f"this file is {size_in_words(size)}", f"a file of at most {size_in_words(limit)}"


def too_long(letters: int, most: int) -> Saying:
    return f"this is one text of {letters:,} letters", f"a name or a value of at most {most:,}"


def too_deep(deepest: int) -> Saying:
    return f"this is nested more than {deepest} deep", f"at most {deepest} levels, one under another"


def alias(name: str) -> Saying:
    return f"`*{shortened(name)}` points to another part of the file", "the text written out, or in quotes if it begins with *"


def anchor(name: str) -> Saying:
    return f"`&{shortened(name)}` names a part of the file for use elsewhere", "the text alone, or in quotes if it begins with &"


def tag(source: str) -> Saying:
    word = shortened(source.split()[0]) if source.startswith("!") else "!"
    return f"`{word}` tells the reader of the file what kind of value follows", "the text alone, or in quotes if it begins with !"


def repeated(name: str, line: int) -> Saying:
    return f"`{shortened(name)}` is written twice here, first in line {line}", "each name once"


def odd_character(character: str) -> Saying:
    return f"there is a character here that cannot be seen (U+{ord(character):04X})", "the line without it"


def escaped_character(character: str) -> Saying:
    return f"a backslash here writes a character that cannot be seen (U+{ord(character):04X})", "the text without it, or in single quotes"


def numbered_comment(source: str) -> Saying:
    text = shortened(source.strip())
    return (f"everything from `{text}` on would be lost as a comment",
            f"the text in quotes, such as {in_quotes(text)}; a comment has a space after its #")


def no_colon_in_braces(name: str, before: tuple[str, str] | None) -> Saying:
    if ":" in name:
        return f"`{shortened(name)}` has no space after its colon", f"{shortened(name).replace(':', ': ', 1)}"
    if before:
        whole = f"{before[0]}: {in_quotes(f'{before[1]}, {name}')}"
        return (f"`{shortened(name)}` has no value: a comma inside braces starts a new fact",
                f"quotes around it all, {shortened(whole)}")
    return f"`{shortened(name)}` has no value inside braces", f"{{{shortened(name)}: value}}, or [{shortened(name)}] for a list"


def block(header: str, text: str) -> Saying | None:
    """A block of text that was hardly meant as one: `>9` alone is read as the head of a block."""
    header = header.strip()
    if re.match(r"[>|][+-]?\d", header):
        return begins_with(header)
    if not text.strip():
        return f"a {header[:1]} stands here with no text under it", "the text in the lines below, indented; or nothing"
    return None


def begins_with(value: str) -> Saying:
    """A value that begins with a sign that YAML keeps for itself."""
    sign, rest = value[0], value[1:].strip()
    if compared := _COMPARED.match(value):
        words = "more than" if compared[1] == ">" else "at least"
        return f"a value cannot begin with {compared[1]}", f"{words} {shortened(compared[2])}"
    quoted = f"{in_quotes(shortened(value))} in quotes"
    if sign == "@" and rest:
        return "a value cannot begin with @", f"{shortened(rest)} without the @, or {quoted}"
    if sign == "%" and rest[:1].isdigit():
        return "a value cannot begin with %", f"{shortened(rest)} %"
    return f"a value cannot begin with {sign}", quoted


def understood(trouble: Exception, lines: list[str]) -> SyntaxFault:
    """The slip behind a stop of the parser. Lines are the text's own; the slip's line is always one of them."""
    mark = getattr(trouble, "problem_mark", None)
    if not isinstance(trouble, yaml.MarkedYAMLError) or mark is None:
        return SyntaxFault(0, 0, *GENERAL)
    line, column = _inside(mark, lines)
    opened = _inside(trouble.context_mark, lines) if trouble.context_mark else (line, column)
    context, problem = trouble.context or "", trouble.problem or ""
    source = lines[line]
    indent = _indent(source)

    if "\t" in source[:indent]:
        return _tabs(lines, line)
    if any(word in context for word in ("block scalar", "alias", "anchor", "scanning a tag")):
        return _sign(lines, *opened)
    if source.startswith(("---", "...")):
        return SyntaxFault(line, column, *DIVIDED)
    if "directive" in context or source.startswith("%"):
        return SyntaxFault(line, 0, *INSTRUCTION, mended="")
    if "escape" in problem or "escape" in context:
        column -= source[column:column + 1] != "\\" == source[column - 1:column]
        return SyntaxFault(line, column, "a backslash inside double quotes has a meaning of its own",
                    r"single quotes around the value, or \\ for one backslash")
    if "quoted scalar" in context:
        return _open_quote(lines, *opened)
    if question := _LONE_QUESTION.search(source):
        at = question.start(1)
        return SyntaxFault(line, at, *LONE_QUESTION, mended=source[:at] + '"?"' + source[at + 1:])
    if "cannot start any token" in problem:
        return _sign(lines, line, column)
    before, here = source[:column].rstrip(), source[column:column + 1]
    if before[-1:] in ("'", '"') and here not in ("", ":", ",") and before.strip() not in ("'", '"'):
        return _after_quote(lines, line, column)
    if before[-1:] in ("]", "}") and here not in ("", ":", ",", "]", "}"):
        return SyntaxFault(line, column, f"there is text after the closing {before[-1]}",
                    "nothing after it, or the whole value in quotes", before)
    if "flow" in context:
        if (cut := _CUT_OFF.search(source)) and _stands_open(source[: cut.start()]):
            # What closes the bracket stands behind a sign that makes a comment of it.
            at = cut.start()
            return SyntaxFault(line, at, *numbered_comment(source[at:]), mended=source[:at] + source[at + 1:])
        return _in_brackets(lines, opened, line, column)
    if "mapping values are not allowed" in problem:
        return _colon(lines, line, column)
    if pointing := _POINTING.search(before):
        return _sign(lines, line, pointing.start(1))
    if "simple key" in context:
        return _line_start(lines, *opened)
    if "sequence entries" in problem:
        return _list_on_line(lines, line, column)
    if "document start" in problem and any(each.startswith(("...", "---")) for each in lines[:line]):
        return SyntaxFault(line, column, *SECOND_DOCUMENT)
    if "unexpected ':'" in problem:
        return SyntaxFault(line, column, *NO_SPACE, mended=f"{source[:column]}: {source[column + 1:]}")
    if here == ":":
        return SyntaxFault(line, column, *NO_NAME)
    if here in (",", "]", "}", "!"):
        return _sign(lines, line, column)
    if column == indent and here:
        return _out_of_line(source, line, column, context)
    return SyntaxFault(line, column, *GENERAL)


def _stands_open(before: str) -> bool:
    return sum(map(before.count, "{[")) > sum(map(before.count, "}]"))


def _inside(mark, lines: list[str]) -> tuple[int, int]:
    """A mark past the end of the text is brought back to the last line that has something in it."""
    line, column = mark.line, mark.column
    if line < len(lines) and (lines[line].strip() or not any(each.strip() for each in lines[:line])):
        return line, min(column, len(lines[line]))
    line = min(line, len(lines)) - 1
    while line > 0 and not lines[line].strip():
        line -= 1
    return line, len(lines[line])


def _indent(source: str) -> int:
    return len(source) - len(source.lstrip())


def _value_at(source: str, column: int) -> str:
    """The value from a column to its end: to the end of the line, or inside brackets to the next comma or bracket."""
    before = source[:column]
    rest = re.split(r"\s#\s", source[column:])[0].rstrip()
    if sum(map(before.count, "[{")) > sum(map(before.count, "]}")):
        return re.match(r"[^,\]}]*", rest)[0].rstrip() or rest
    return rest


def _set_aside(source: str, column: int) -> str:
    return source[:column] + '"-"' + source[column + len(_value_at(source, column)):]


def _sign(lines: list[str], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    value = _value_at(source, column)
    if not value.strip("|>+-"):
        return SyntaxFault(line, column, *GENERAL)
    return SyntaxFault(line, column, *begins_with(value), mended=_set_aside(source, column))


def _tabs(lines: list[str], line: int) -> SyntaxFault:
    tabbed = [number for number, each in enumerate(lines) if "\t" in each[:_indent(each)] and each.strip()]
    more = len([number for number in tabbed if number > line])
    others = f", as do {more} lines below" if more > 1 else ", as does 1 line below" if more else ""
    return SyntaxFault(line, lines[line].index("\t"), f"this line is indented with a tab{others}", "spaces before the line")


def _open_quote(lines: list[str], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    if source[column - 1:column] in ("'", '"') and column:
        return _after_quote(lines, line, column)
    return SyntaxFault(line, column, f"the quote {source[column:column + 1]} that opens here is never closed",
                "a quote at the end of the value too", mended=source[:column] + '"-"')


def _after_quote(lines: list[str], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    mark = source[:column].rstrip()[-1]
    named = _NAMED_VALUE.match(source[:1000])
    start = named.start(2) if named and named[2] else source.find(mark)
    start = source.find(mark, max(start, 0)) if source[start:start + 1] != mark else start
    value = _value_at(source, start)
    inner = value[1:-1] if len(value) > 1 and value[0] == value[-1] == mark else value.replace(mark, "")
    return SyntaxFault(line, column, "there is text after the closing quote",
                f"quotes around the whole value, {in_quotes(shortened(inner))}", mended=_set_aside(source, start))


def _in_brackets(lines: list[str], opened: tuple[int, int], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    here = source[column:column + 1]
    bracket = lines[opened[0]][opened[1]:opened[1] + 1]
    closing = {"[": "]", "{": "}"}.get(bracket, "")
    if cut := re.search(r"\s(#\S.*)", lines[opened[0]][opened[1]:]):
        return SyntaxFault(opened[0], opened[1] + cut.start(1), *numbered_comment(cut[1]), lines[opened[0]][:opened[1]] + '"-"')
    if closing and (line > opened[0] or not here):
        before = lines[opened[0]][:opened[1]]
        mended = before + '"-"' if before.strip() and line <= opened[0] + 1 else None
        return SyntaxFault(*opened, f"the {bracket} that opens here is never closed", f"a {closing} at the end", mended)
    if here == ":" and source[:column].rstrip()[-1:] not in ("", "{", "[", ","):
        return _colon(lines, line, column)
    if here == ":":
        return SyntaxFault(line, column, *NO_NAME)
    if here == ",":
        return SyntaxFault(line, column, "there is nothing before this comma", "one comma between two values")
    if here == "-":
        return _sign(lines, line, column)
    if here in ("]", "}"):
        return SyntaxFault(line, column, f"this {here} closes nothing that is open", f"a {closing}" if closing else "the brackets in pairs")
    return SyntaxFault(line, column, *GENERAL)


def _colon(lines: list[str], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    start = max(source.rfind(sign, 0, column) for sign in ("{", "[", ",", ": "))
    if column - start > 1000:
        return SyntaxFault(line, start + 1, *TOO_LONG)
    earlier = list(re.finditer(r":\s", source[:column]))
    if earlier:
        start = earlier[-1].end()
        start += len(source[start:]) - len(source[start:].lstrip())
        value = _value_at(source, start)
        return SyntaxFault(line, column, "there is a second colon in this value", f"the value in quotes, {in_quotes(shortened(value))}",
                    mended=_set_aside(source, start))
    indent = _indent(source)
    above = [number for number in range(line - 1, -1, -1) if lines[number].strip() and not lines[number].lstrip().startswith("#")]
    if not above:
        return SyntaxFault(line, column, *GENERAL)
    parent = next((number for number in above if _indent(lines[number]) < indent), None)
    named = _NAMED_VALUE.match(lines[parent][:1000]) if parent is not None else None
    if named and named[2]:
        return SyntaxFault(line, indent, f"this line stands under `{shortened(named[1])}`, which has a value in line {parent + 1}",
                    f"nothing after the colon of `{shortened(named[1])}`, or this line moved left to line up with it")
    for number in (parent, above[0]):
        if number is not None and not _COLON.search(lines[number]):
            return _no_colon(lines, number)
    return SyntaxFault(line, column, *GENERAL)


def _line_start(lines: list[str], line: int, column: int) -> SyntaxFault:
    """What begins this line was taken for a name, and no colon came."""
    rest = lines[line][column:]
    if rest[:1] in ("!", "&", "*"):
        return _sign(lines, line, column)
    if rest[:1] not in ("[", "{"):
        return _no_colon(lines, line)
    closing = "]" if rest[0] == "[" else "}"
    if rest.count(rest[0]) > rest.count(closing):
        return SyntaxFault(line, column, f"the {rest[0]} that opens here is never closed", f"a {closing} at the end")
    return SyntaxFault(line, column, f"a {rest[0]} begins this line, where a name is due", "`- ` before it when it is one of a list")


def _no_colon(lines: list[str], line: int) -> SyntaxFault:
    source = lines[line]
    at = re.match(r"\s*(?:- +)*", source).end()
    text = source[at:].rstrip()
    if tight := re.fullmatch(r"([^\s:]+(?: [^\s:]+)*):(\S.*)", text):
        return SyntaxFault(line, at, f"`{shortened(text)}` has no space after its colon", shortened(f"{tight[1]}: {tight[2]}"),
                    mended=f"{source[:at]}{tight[1]}: \"-\"")
    if not text or _COLON.search(text):
        return SyntaxFault(line, at, *GENERAL)
    return SyntaxFault(line, at, f"`{shortened(text)}` has no colon", f"{shortened(text)}: value", mended=source.rstrip() + ":")


def _list_on_line(lines: list[str], line: int, column: int) -> SyntaxFault:
    source = lines[line]
    value = source[column + 1:].strip()
    if value:
        return SyntaxFault(line, column, "a list cannot begin on the line of its name", f"`- {shortened(value)}` in the line below, indented",
                    mended=_set_aside(source, column))
    return SyntaxFault(line, column, "a - alone cannot stand here", 'nothing after the name when it is not known, or "-" in quotes',
                mended=_set_aside(source, column))


def _out_of_line(source: str, line: int, column: int, context: str) -> SyntaxFault:
    if source[column:].startswith("- ") or source[column:] == "-":
        return SyntaxFault(line, column, "a list item stands where no list is open", "the list under a name of its own, all its items lined up")
    if "block collection" in context:
        return SyntaxFault(line, column, "this line stands where a list goes on", "`- ` before it, or the line moved to where it belongs")
    return SyntaxFault(line, column, "this line does not line up with the lines above it",
                "the same number of spaces as the line it belongs beside")
