"""Reading: what people write is kept as text with its place, and every slip is answered in plain words."""

import json
import os
import tracemalloc

import pytest
import yaml
from hostile import SIGNS, bomb, large_bad_texts
from hypothesis import given, settings
from hypothesis import strategies as st

from validator.language.source import (
    MOST_COMPLAINTS,
    BadAssembly,
    BadBook,
    BadText,
    Complaint,
    Entries,
    Items,
    Text,
    Where,
    read_file,
    read_source,
)


def said(source, file="f.yaml"):
    complaints = []
    node = read_source(source, file, complaints)
    assert (node is None) == bool(complaints)
    return [str(complaint) for complaint in complaints]


def read(source, file="f.yaml"):
    complaints = []
    node = read_source(source, file, complaints)
    assert complaints == []
    return node


def plain(node):
    match node:
        case Text(text=text):
            return text
        case Items(items=items):
            return [plain(item) for item in items]
        case Entries(pairs=pairs):
            return {name.text: plain(value) for name, value in pairs}


ASSEMBLY = """\
assembly: Guest bath shower, second floor   # a comment
fall: 1:48
meets: [A118.10, 118.10, no, ~, null, 2024-01-01, 007, 1e5]
size: {width: 12 in, note: "a, b: #10"}
depth:
because: |
  One line, #1 of two.
  Another: line.
put right: Use the next
  longer screw.
'steel #10': 5/8"
"""


def test_every_value_stays_text_in_the_order_written():
    node = read(ASSEMBLY)
    assert plain(node) == {
        "assembly": "Guest bath shower, second floor",
        "fall": "1:48",
        "meets": ["A118.10", "118.10", "no", "~", "null", "2024-01-01", "007", "1e5"],
        "size": {"width": "12 in", "note": "a, b: #10"},
        "depth": "",
        "because": "One line, #1 of two.\nAnother: line.",
        "put right": "Use the next longer screw.",
        "steel #10": '5/8"',
    }
    assert node.keys() == ("assembly", "fall", "meets", "size", "depth", "because", "put right", "steel #10")
    assert node.get("fall").text == "1:48"
    assert node.get("nothing of the kind") is None


def test_line_and_column_are_counted_from_one():
    node = read(ASSEMBLY)
    assert node.where == Where("f.yaml", 1, 1)
    assert str(node.get("fall").where) == "f.yaml:2:7"
    assert node.get("meets").where == Where("f.yaml", 3, 8)
    assert node.get("meets").items[1].where == Where("f.yaml", 3, 18)
    assert node.get("size").get("note").where == Where("f.yaml", 4, 28)
    assert node.get("depth").where == Where("f.yaml", 5, 7)
    assert node.pairs[7][0].where == Where("f.yaml", 11, 1)


def test_line_and_column_hold_after_letters_beyond_ascii_and_any_line_ending():
    for ending in ("\n", "\r\n", "\r"):
        node = read("\ufeffa: ½ – 𝟙😀" + ending + "é: [𝟙, 20 °C]" + ending)
        assert node.get("é").items[1].where == Where("f.yaml", 2, 8)
        assert plain(node) == {"a": "½ – 𝟙😀", "é": ["𝟙", "20 °C"]}


def test_text_in_quotes_or_a_block_is_marked_as_quoted():
    node = read("a: '?'\nb: \"\"\nc: |\n  x\nd:\ne: x\n")
    assert [value.quoted for _, value in node.pairs] == [True, True, True, False, False]


def test_an_empty_value_is_text_with_nothing_in_it():
    assert plain(read("a:\nb: {c: , d: }\ne:\n  - \n  - f\n")) == {"a": "", "b": {"c": "", "d": ""}, "e": ["", "f"]}


def test_a_question_mark_inside_a_value_is_text():
    assert plain(read('a: "?"\nb: is it?\nc: ?x\n')) == {"a": "?", "b": "is it?", "c": "?x"}


QUESTION = 'a ? alone cannot stand here. Accepted: nothing after the name when it is not known, or "?" in quotes'
DOCUMENT = "a second document begins here. Accepted: one document a file, with no line of `---` or `...` inside it"

SLIPS = [
    # braces and commas
    ("board: {material: plywood, CDX}\n",
     "1:28: `CDX` has no value: a comma inside braces starts a new fact. "
     'Accepted: quotes around it all, material: "plywood, CDX"'),
    ("a: {CDX}\n", "1:5: `CDX` has no value inside braces. Accepted: {CDX: value}, or [CDX] for a list"),
    ("a: {b:c}\n", "1:5: `b:c` has no space after its colon. Accepted: b: c"),
    ("a: {b:}\n", "1:6: there is no space after this colon. Accepted: a space after the colon"),
    ("[a, , b]\n", "1:5: there is nothing before this comma. Accepted: one comma between two values"),
    ("{a: b, , c: d}\n", "1:8: there is nothing before this comma. Accepted: one comma between two values"),
    ("a: ,b\n", '1:4: a value cannot begin with ,. Accepted: ",b" in quotes'),
    # comments
    ("length: #10 screw\n",
     "1:9: everything from `#10 screw` on would be lost as a comment. "
     'Accepted: the text in quotes, such as "#10 screw"; a comment has a space after its #'),
    ("screw: {length: #10 in}\n",
     "1:17: everything from `#10 in}` on would be lost as a comment. "
     'Accepted: the text in quotes, such as "#10 in}"; a comment has a space after its #'),
    ("length: steel #10 screw\n",
     "1:15: everything from `#10 screw` on would be lost as a comment. "
     'Accepted: the text in quotes, such as "#10 screw"; a comment has a space after its #'),
    ("a: {length: #10 screw}\nb: c\n",
     "1:13: everything from `#10 screw}` on would be lost as a comment. "
     'Accepted: the text in quotes, such as "#10 screw}"; a comment has a space after its #'),
    # tabs
    ("a:\n\tb: c\n", "2:1: this line is indented with a tab. Accepted: spaces before the line"),
    ("a:\n  b: c\n\td: e\n", "3:1: this line is indented with a tab. Accepted: spaces before the line"),
    ("a:\n\tb: c\n\td: e\n\tf: g\n",
     "2:1: this line is indented with a tab, as do 2 lines below. Accepted: spaces before the line"),
    # quotes
    ('size: "1/2" in\n', '1:13: there is text after the closing quote. Accepted: quotes around the whole value, "1/2 in"'),
    ("a: 'it's'\n", '1:8: there is text after the closing quote. Accepted: quotes around the whole value, "it\'s"'),
    ('a: "5/8""\n', "1:9: there is text after the closing quote. Accepted: quotes around the whole value, '5/8\"'"),
    ('a: {b: "1/2" in, c: d}\n',
     '1:14: there is text after the closing quote. Accepted: quotes around the whole value, "1/2 in"'),
    ('a: "x\nb: c\n', '1:4: the quote " that opens here is never closed. Accepted: a quote at the end of the value too'),
    ("a: 'x\nb: c\n", "1:4: the quote ' that opens here is never closed. Accepted: a quote at the end of the value too"),
    ('a: "\\q"\n',
     "1:5: a backslash inside double quotes has a meaning of its own. "
     r"Accepted: single quotes around the value, or \\ for one backslash"),
    ('a: "\\0"\n',
     "1:4: a backslash here writes a character that cannot be seen (U+0000). "
     "Accepted: the text without it, or in single quotes"),
    # colons
    ("note: a: b\n", '1:8: there is a second colon in this value. Accepted: the value in quotes, "a: b"'),
    ("note: a:\n", '1:8: there is a second colon in this value. Accepted: the value in quotes, "a:"'),
    ("x: {note: a: b, c: d}\n", '1:12: there is a second colon in this value. Accepted: the value in quotes, "a: b"'),
    ("x: 1\na:b\nc: d\n", "2:1: `a:b` has no space after its colon. Accepted: a: b"),
    ("a\nb: c\n", "1:1: `a` has no colon. Accepted: a: value"),
    ("a: b\nc\nd: e\n", "2:1: `c` has no colon. Accepted: c: value"),
    ("walls:\n  - back wall\n    kind: x\n", "2:5: `back wall` has no colon. Accepted: back wall: value"),
    ("drain\n  kind: x\n", "1:1: `drain` has no colon. Accepted: drain: value"),
    ("a:\n  b:plywood\n  c: d\n", "2:3: `b:plywood` has no space after its colon. Accepted: b: plywood"),
    (": b\n", "1:1: there is no name before the colon. Accepted: name: value"),
    ("{: b}\n", "1:2: there is no name before the colon. Accepted: name: value"),
    ('"": b\n', "1:1: there is no name before the colon. Accepted: name: value"),
    ("? [a]\n: b\n", "1:3: a name must be text, not a list or facts in braces. Accepted: name: value"),
    ("a: {" + "k" * 1100 + ": v}\n", "1:5: this name is too long. Accepted: a name of at most 1,000 letters"),
    # signs that YAML keeps for itself
    ("spacing: @ 16 in\n", '1:10: a value cannot begin with @. Accepted: 16 in without the @, or "@ 16 in" in quotes'),
    ("a: {b: @16 in, c: d}\n", '1:8: a value cannot begin with @. Accepted: 16 in without the @, or "@16 in" in quotes'),
    ("contact: %95\n", "1:10: a value cannot begin with %. Accepted: 95 %"),
    ("contact: %x\n", '1:10: a value cannot begin with %. Accepted: "%x" in quotes'),
    ("contact: >90 %\n", "1:10: a value cannot begin with >. Accepted: more than 90 %"),
    ("contact: > 90 %\n", "1:10: a value cannot begin with >. Accepted: more than 90 %"),
    ("contact: >=90 %\n", "1:10: a value cannot begin with >=. Accepted: at least 90 %"),
    ("contact: >9\nb: c\n", "1:10: a value cannot begin with >. Accepted: more than 9"),
    ("contact: [>5, x]\n", "1:11: a value cannot begin with >. Accepted: more than 5"),
    ("a: |x\n", '1:4: a value cannot begin with |. Accepted: "|x" in quotes'),
    ("a: |2\nb: c\n", '1:4: a value cannot begin with |. Accepted: "|2" in quotes'),
    ("a: >\nb: c\n",
     "1:4: a > stands here with no text under it. Accepted: the text in the lines below, indented; or nothing"),
    ("a: `x`\n", '1:4: a value cannot begin with `. Accepted: "`x`" in quotes'),
    ("a: **x**\n", '1:4: a value cannot begin with *. Accepted: "**x**" in quotes'),
    ("a: *see note\n", '1:4: a value cannot begin with *. Accepted: "*see note" in quotes'),
    ("a: {b: - c}\n", '1:8: a value cannot begin with -. Accepted: "- c" in quotes'),
    ("a: & b\n", '1:4: a value cannot begin with &. Accepted: "& b" in quotes'),
    ("a: ]\n", '1:4: a value cannot begin with ]. Accepted: "]" in quotes'),
    ("a: -\n", '1:4: a - alone cannot stand here. Accepted: nothing after the name when it is not known, or "-" in quotes'),
    ("a: ?\n", f"1:4: {QUESTION}"),
    ("- ?\n", f"1:3: {QUESTION}"),
    ("{a: ?, b: c}\n", f"1:5: {QUESTION}"),
    ("[a, ?, b]\n", f"1:5: {QUESTION}"),
    # brackets
    ("a: [x, y\nb: c\n", "1:4: the [ that opens here is never closed. Accepted: a ] at the end"),
    ("a: {x: y\n", "1:4: the { that opens here is never closed. Accepted: a } at the end"),
    ("a: [x, y}\n", "1:9: this } closes nothing that is open. Accepted: a ]"),
    ("a: {b: c} d\n", "1:11: there is text after the closing }. Accepted: nothing after it, or the whole value in quotes"),
    ("a:\n  { b: c\n  d: e\n", "2:3: the { that opens here is never closed. Accepted: a } at the end"),
    # lines
    ("a:\n  - {b: c}\n  {b: d}\n",
     "3:3: a { begins this line, where a name is due. Accepted: `- ` before it when it is one of a list"),
    ("a: b\n  c: d\n",
     "2:3: this line stands under `a`, which has a value in line 1. "
     "Accepted: nothing after the colon of `a`, or this line moved left to line up with it"),
    ("a:\n    b: c\n  d: e\n",
     "3:3: this line does not line up with the lines above it. "
     "Accepted: the same number of spaces as the line it belongs beside"),
    ("a: - b\n", "1:4: a list cannot begin on the line of its name. Accepted: `- b` in the line below, indented"),
    ("a: b\n- c\n",
     "2:1: a list item stands where no list is open. "
     "Accepted: the list under a name of its own, all its items lined up"),
    ("- a\nb: c\n",
     "2:1: this line stands where a list goes on. Accepted: `- ` before it, or the line moved to where it belongs"),
    # things that point elsewhere or say how to read
    ("a: *x\n",
     "1:4: `*x` points to another part of the file. Accepted: the text written out, or in quotes if it begins with *"),
    ("a: &x y\n",
     "1:4: `&x` names a part of the file for use elsewhere. Accepted: the text alone, or in quotes if it begins with &"),
    ("a: !!int 3\n",
     "1:4: `!!int` tells the reader of the file what kind of value follows. "
     "Accepted: the text alone, or in quotes if it begins with !"),
    ("<<: {a: b}\n", "1:1: `<<` copies facts from elsewhere in the file. Accepted: the facts written out"),
    ("%YAML 1.1\n---\na: b\n",
     "1:1: a line that begins with % is an instruction to the reader of the file. Accepted: the file without that line"),
    ("a: b\n---\nc: d\n", f"2:1: {DOCUMENT}"),
    ("a: b\n...\nc: d\n", f"3:1: {DOCUMENT}"),
    # names twice
    ("a: 1\nb: 2\na: 3\n", "3:1: `a` is written twice here, first in line 1. Accepted: each name once"),
    ("x: {a: 1, 'a': 3}\n", "1:11: `a` is written twice here, first in line 1. Accepted: each name once"),
    # characters
    ("a: b\x07c\n", "1:5: there is a character here that cannot be seen (U+0007). Accepted: the line without it"),
    ("a: b\u2028c: d\n", "1:5: there is a character here that cannot be seen (U+2028). Accepted: the line without it"),
]


@pytest.mark.parametrize(("source", "complaint"), SLIPS, ids=[repr(source)[:40] for source, _ in SLIPS])
def test_a_slip_is_answered_word_for_word(source, complaint):
    assert said(source) == [f"f.yaml:{complaint}"]


@pytest.mark.parametrize("source", ["", " \n\n", "# only a comment\n", "---\n"])
def test_an_empty_text_is_refused(source):
    assert said(source) == ["f.yaml: there is nothing written here. Accepted: one fact a line, such as `spacing: 16 in`"]


def test_all_slips_of_a_file_are_told_at_once():
    source = 'spacing: @ 16 in\nsize: "1/2" in\nlength: #10 screw\nnote: a: b\ncontact: >90 %\nnote: c\nboard: {a: b, CDX}\nfall: ?\n'
    assert [complaint.split(" Accepted")[0] for complaint in said(source)] == [
        "f.yaml:1:10: a value cannot begin with @.",
        "f.yaml:2:13: there is text after the closing quote.",
        "f.yaml:3:9: everything from `#10 screw` on would be lost as a comment.",
        "f.yaml:4:8: there is a second colon in this value.",
        "f.yaml:5:10: a value cannot begin with >.",
        "f.yaml:6:1: `note` is written twice here, first in line 4.",
        "f.yaml:7:15: `CDX` has no value: a comma inside braces starts a new fact.",
        "f.yaml:8:7: a ? alone cannot stand here.",
    ]


def test_a_number_sign_inside_quotes_blocks_or_words_is_no_comment():
    source = "a: '#10 screw'\nb: \"steel #10\n  and #8\"\nc: |\n  #10 screw\n  two #8\nd: no#8\n# 10 screws: a comment\n"
    assert plain(read(source)) == {"a": "#10 screw", "b": "steel #10 and #8", "c": "#10 screw\ntwo #8", "d": "no#8"}


def test_the_same_name_may_stand_in_two_mappings():
    assert plain(read("a: {x: 1}\nb: {x: 2}\n")) == {"a": {"x": "1"}, "b": {"x": "2"}}


WRITTEN_OUT = {"assembly": "Bath", "fall": "1:48", "list": ["a", "b: c", "#10"], "deep": {"x": {"y": "½ in 😀 \\ / \" \t"}}, "none": ""}


@pytest.mark.parametrize("layout", [{}, {"indent": "\t"}, {"indent": 2, "ensure_ascii": False}, {"separators": (",", ":")}])
def test_json_says_the_same_as_yaml(layout):
    expected = json.loads(json.dumps(WRITTEN_OUT).replace("\\t", " "))
    text = json.dumps(WRITTEN_OUT, **layout).replace("\\t", " ")
    assert plain(read(text, "f.json")) == expected
    assert plain(read(yaml.safe_dump(expected, allow_unicode=True))) == expected


def test_json_words_and_numbers_stay_text():
    assert plain(read('{"a": true, "b": null, "c": 1.50, "d": -1e5, "e": [false]}')) == {
        "a": "true", "b": "null", "c": "1.50", "d": "-1e5", "e": ["false"]}


def test_json_keeps_line_and_column_under_tabs():
    assert read('{\n\t"a":\t"b",\n\t"c": [1,\t2]\n}').get("c").items[1].where == Where("f.yaml", 3, 11)


def test_an_alias_bomb_is_refused_without_being_unfolded():
    complaints, memory = measured(lambda: said(bomb(10)))
    assert complaints[0] == ("f.yaml:1:5: `&a0` names a part of the file for use elsewhere. "
                             "Accepted: the text alone, or in quotes if it begins with &")
    assert len(complaints) == MOST_COMPLAINTS
    assert memory < 2_000_000


def measured(act):
    tracemalloc.start()
    result = act()
    memory = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return result, memory


@pytest.mark.parametrize("sign", SIGNS)
def test_deep_nesting_is_refused_before_it_fills_the_memory(sign):
    complaints, memory = measured(lambda: said(sign * 300_000))
    assert len(complaints) == 1
    assert memory < 30_000_000


def test_thirty_levels_are_read_and_one_more_is_not():
    assert plain(read("[" * 30 + "x" + "]" * 30))
    assert said("[" * 31 + "x" + "]" * 31) == [
        "f.yaml:1:31: this is nested more than 30 deep. Accepted: at most 30 levels, one under another"]


HOSTILE = large_bad_texts(900_000)


@pytest.mark.parametrize("source", HOSTILE, ids=[repr(source[:12]) for source in HOSTILE])
def test_a_large_bad_text_is_refused_in_few_words_and_little_memory(source):
    complaints, memory = measured(lambda: said(source))
    assert 1 <= len(complaints) <= MOST_COMPLAINTS
    assert memory < 400_000_000


def test_a_large_file_is_refused_unopened(tmp_path):
    large = tmp_path / "large.yaml"
    with open(large, "wb") as opened:
        opened.truncate(50_000_000)
    complaints = []
    node, memory = measured(lambda: read_file(large, complaints))
    assert node is None
    assert list(map(str, complaints)) == [f"{large}: this file is 50 MB. Accepted: a file of at most 2 MB"]
    assert memory < 100_000


FILES = [
    (b"", "{file}: there is nothing written here. Accepted: one fact a line, such as `spacing: 16 in`"),
    (b"a: b\x00c", "{file}: this is not a text file. Accepted: plain text saved as UTF-8"),
    ("a: b".encode("utf-16"), "{file}: this file is saved as UTF-16. Accepted: the same text saved as UTF-8"),
    (b"a: b\nc: \xbd in", "{file}:2:4: this character is not saved as UTF-8. Accepted: the same text saved as UTF-8"),
    (b"a: " + b"x" * 120, "{file}: this file is 123 bytes. Accepted: a file of at most 100 bytes"),
]


@pytest.mark.parametrize(("written", "complaint"), FILES)
def test_a_file_that_is_no_small_text_is_refused(tmp_path, written, complaint):
    file = tmp_path / "f.yaml"
    file.write_bytes(written)
    complaints = []
    assert read_file(file, complaints, limit=100) is None
    assert list(map(str, complaints)) == [complaint.format(file=file)]


def test_a_missing_file_a_folder_and_a_pipe_are_refused(tmp_path):
    missing, pipe = tmp_path / "missing.yaml", tmp_path / "pipe"
    os.mkfifo(pipe)
    complaints = []
    assert [read_file(path, complaints) for path in (missing, tmp_path, pipe, missing / "below", "nul\0", "n" * 5000)] == [None] * 6
    assert [str(each).removeprefix(each.where.file) for each in complaints] == [
        ": there is no such file. Accepted: the name of a file that is there",
        ": this is a folder. Accepted: the name of a file",
        ": this is not an ordinary file. Accepted: the name of a text file",
        ": there is no such file. Accepted: the name of a file that is there",
        ": this file cannot be opened for reading. Accepted: a file that you may read",
        ": this file cannot be opened for reading. Accepted: a file that you may read",
    ]


def test_a_file_is_read_with_or_without_its_byte_order_mark(tmp_path):
    for start in (b"", b"\xef\xbb\xbf"):
        file = tmp_path / "f.yaml"
        file.write_bytes(start + "a: ½ in\r\n".encode())
        complaints = []
        node = read_file(str(file), complaints)
        assert (plain(node), complaints, node.where.column) == ({"a": "½ in"}, [], 1)


def test_complaints_are_printed_one_a_line_in_the_order_of_the_files():
    second = Complaint(Where("b.yaml", 1, 1), "this is odd", "something else")
    third = Complaint(Where("b.yaml", 10, 2), "so is this")
    first = Complaint(Where("a.yaml", 7, 3), "this comes first")
    for kind in (BadText, BadBook, BadAssembly):
        bad = kind([third, second, first])
        assert bad.complaints == (first, second, third)
        assert str(bad) == "a.yaml:7:3: this comes first\nb.yaml:1:1: this is odd. Accepted: something else\nb.yaml:10:2: so is this"
        assert isinstance(bad, BadText)


TRICKY = st.lists(st.sampled_from(["a", "b: ", ": ", "- ", "\n", "\n  ", "\n\t", "[", "]", "{", "}", ", ", "#1", " # ", '"', "'", "?", "@",
                                   ">", "|", "&a ", "*a", "!t ", "%", "`", "---\n", "...\n", "\\", "<<: ", "½", "😀", "\r", "\ufeff", "16 in"]),
                  max_size=25).map("".join)


@settings(max_examples=1500, deadline=None)
@given(st.one_of(TRICKY, st.text()))
def test_any_text_gives_a_node_or_complaints_within_the_text(source):
    complaints = []
    node = read_source(source, "f.yaml", complaints)
    assert (node is None) == bool(complaints)
    lines = source.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for complaint in complaints:
        where = complaint.where
        assert where.line == 0 or 1 <= where.column <= len(lines[where.line - 1]) + 1
        assert complaint.what and complaint.accepted
        assert not any(word in str(complaint) for word in ("scanning", "parsing", "expected", "token", "mapping", "scalar", "indicator"))


@settings(max_examples=200, deadline=None)
@given(written=st.one_of(st.binary(), TRICKY.map(lambda text: text.encode())))
def test_any_bytes_give_a_node_or_complaints(tmp_path_factory, written):
    file = tmp_path_factory.getbasetemp() / "any.yaml"
    file.write_bytes(written)
    complaints = []
    assert (read_file(file, complaints) is None) == bool(complaints)


@settings(max_examples=300, deadline=None)
@given(st.recursive(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="\u2028\u2029\ufeff\ufffe\uffff")),
                    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text("abc .½", min_size=1), inner, max_size=4), max_leaves=12))
def test_whatever_json_can_write_is_read_back(value):
    assert plain(read(json.dumps(value), "f.json")) == value


def test_the_slower_parser_says_the_same(monkeypatch):
    monkeypatch.setattr("validator.language.source._PARSER", yaml.SafeLoader)
    assert plain(read(ASSEMBLY))["because"] == "One line, #1 of two.\nAnother: line."
    other = [source for source, complaint in SLIPS if said(source) != [f"f.yaml:{complaint}"]]
    assert other == ["a: {b:}\n"]
    assert plain(read("a: {b:}\n")) == {"a": {"b": ""}}
