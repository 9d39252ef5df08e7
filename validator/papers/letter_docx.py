"""Letters as a document for a word processor, whose text and blanks are edited there."""

from io import BytesIO

from validator.papers.letter import Letter, letter_lines
from validator.papers.visible import shown

MISSING = "a DOCX needs the extra `docx`: pip install 'assembly-validator[docx]'"
WIDE = 100_000  # letters, so that no line is broken here: the word processor breaks them
INDENT = 12  # points for each three letters that a line is set in


class NoDocx(Exception):
    """The library that writes the document is not here; `str()` says what it takes."""


def letters_docx(letters: list[Letter]) -> bytes:
    """The letters one after another, each on a page of its own. Raises NoDocx."""
    try:
        from docx import Document
        from docx.shared import Pt
    except ImportError:
        raise NoDocx(MISSING) from None
    document = Document()
    for number, letter in enumerate(letters):
        if number:
            document.add_page_break()
        for at, (text, bold) in enumerate(letter_lines(letter, WIDE)):
            if not text:
                continue
            bare = shown(text.strip())
            paragraph = document.add_heading(bare, 1 if not at else 2) if bold else document.add_paragraph(bare)
            paragraph.paragraph_format.left_indent = Pt(INDENT * ((len(text) - len(text.lstrip())) // 3))
            paragraph.paragraph_format.space_after = Pt(4)
    made = BytesIO()
    document.save(made)
    return made.getvalue()
