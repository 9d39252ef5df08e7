"""Texts meant to harm whoever reads them, as long or as deep as is asked."""

SIGNS = ("[", "{a: ", "- ", "? ", "[{a: ")


def bomb(depth: int) -> str:
    """Lists of nine aliases of the list before: unfolded, nine times as many words with each line."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{number}: &a{number} [" + ", ".join([f"*a{number - 1}"] * 9) + "]" for number in range(1, depth)]
    return "\n".join(lines) + "\n"


def large_bad_texts(size: int) -> list[str]:
    """About so many characters each, with a slip at the end, on every line, or nowhere that it could be put right."""
    return [
        "a: " + " " * size + "x: y\n", "a: b: " * (size // 6), "a: |\n\nb: c\n" * (size // 11), "'" * (size + 1),
        "a: x #1 \n" * (size // 10), "a: " + "[x, " * 29 + "y" * size, "- >\n" * (size // 4), "\t" * size + "x: y: z",
        "a: @ 1\n" * (size // 9), "- ?\n" * (size // 4), "a: 'x\n" * (size // 9),
    ]  # fmt: skip
