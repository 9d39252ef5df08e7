"""Texts and files spoilt a little: a letter lost, a line twice, a word that belongs elsewhere, a sign that means something."""

import io
import re
import zipfile
from random import Random

SIGNS = (
    "", " ", "\t", "\n", "\r", "\r\n", ":", ": ", "- ", "{", "}", "[", "]", "'", '"', '"""', "#", "&a", "*a", "!!str", "|", ">", "?", "<<", "%", "@",
    ",", ";", "..", "0", "-1", "1/0", "1e999999", "9" * 400, "9999-12-31", "NaN", "yes", "none", "unknown", "or", " or x or y", "to", "at least", "up to",
    "\x00", "\x07", "\x1b[2J", "\x1b]0;x\x07", "\u202e", "\u200b", "\ufeff", "\u2028", "\ud800", "\U0001f6c1", "bäd 浴室", "=1+1", "+1", "'=1", "＝1",
    "</script>", "{{ 7 }}", "../../etc/passwd", "$(touch x)", "é" * 50, "x" * 3000, "(" * 200, "null", "true", "1 in", "12 mm", "1/4 in per ft",
)  # fmt: skip
PIECE = re.compile(r"\w+|\s+|[^\w\s]")


def spoilt(text: str, chance: Random, most: int = 4) -> str:
    """A text with a few things wrong with it."""
    for _ in range(chance.randint(1, most)):
        pieces = PIECE.findall(text) or [""]
        at, other = chance.randrange(len(pieces)), chance.randrange(len(pieces))
        match chance.randrange(8):
            case 0:
                pieces[at] = chance.choice(SIGNS)
            case 1:
                pieces[at] += chance.choice(SIGNS)
            case 2:
                del pieces[at : at + chance.randint(1, 6)]
            case 3:
                pieces[at] = pieces[other]
            case 4:
                pieces[at:at] = pieces[other : other + chance.randint(1, 30)]
            case 5:
                pieces[at], pieces[other] = pieces[other], pieces[at]
            case 6:
                pieces[at] = pieces[at][: len(pieces[at]) // 2]
            case 7:
                lines = text.split("\n")
                line = chance.randrange(len(lines))
                lines[line] = " " * chance.randint(0, 8) + lines[line].lstrip()
                pieces = ["\n".join(lines)]
        text = "".join(pieces)
    return text


def spoilt_bytes(written: bytes, chance: Random, most: int = 4) -> bytes:
    """Bytes with a few of them changed, lost or put in."""
    changed = bytearray(written)
    for _ in range(chance.randint(1, most)):
        at = chance.randrange(len(changed) + 1)
        changed[at : at + chance.choice((0, 1, 1, 4, 40))] = chance.randbytes(chance.choice((0, 1, 1, 4)))
    return bytes(changed) if chance.random() < 0.9 else bytes(changed[: chance.randrange(len(changed) + 1)])


def spoilt_workbook(written: bytes, chance: Random) -> bytes:
    """A workbook with one of its parts spoilt, or lost; now and then spoilt as a file."""
    if chance.random() < 0.2:
        return spoilt_bytes(written, chance)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(written)) as sound, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        names = sound.namelist()
        aim = chance.choice(names)
        for name in names:
            part = sound.read(name)
            if name != aim:
                packed.writestr(name, part)
            elif chance.random() < 0.9:
                text = spoilt(part.decode("utf-8", "replace"), chance)
                packed.writestr(name, text.encode("utf-8", "surrogatepass"))
    return out.getvalue()
