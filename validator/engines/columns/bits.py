"""Expressions over columns in which what is already known is worked out: a plain bool or number, or a Polars expression.

What nobody states is the same in every row, so most of a big book folds away before a table is touched.
"""

import polars as pl

Bit = bool | pl.Expr
Number = int | pl.Expr
Pair = tuple[Bit, Bit]  # surely, possibly
YES: Pair = (True, True)
NO: Pair = (False, False)
OPEN: Pair = (False, True)


def both(*bits: Bit) -> Bit:
    """True where all are."""
    if any(bit is False for bit in bits):
        return False
    found: Bit = True
    for bit in bits:
        if bit is not True:
            found = bit if found is True else found & bit
    return found


def either(*bits: Bit) -> Bit:
    """True where any is."""
    if any(bit is True for bit in bits):
        return True
    found: Bit = False
    for bit in bits:
        if bit is not False:
            found = bit if found is False else found | bit
    return found


def no(bit: Bit) -> Bit:
    """True where it is not."""
    return not bit if isinstance(bit, bool) else ~bit


def pick(bit: Bit, then: Number | Bit, otherwise: Number | Bit, kind: pl.DataType) -> Number | Bit:
    """One where a bit is set and the other elsewhere."""
    if isinstance(bit, bool):
        return then if bit else otherwise
    if not isinstance(then, pl.Expr) and not isinstance(otherwise, pl.Expr) and then == otherwise:
        return then
    return pl.when(bit).then(literal(then, kind)).otherwise(literal(otherwise, kind))


def literal(value: Number | Bit, kind: pl.DataType) -> pl.Expr:
    """A number as an expression of a type; an expression as it is."""
    return value if isinstance(value, pl.Expr) else pl.lit(value, dtype=kind)


def all_of(pairs: list[Pair]) -> Pair:
    return both(*(s for s, _ in pairs)), both(*(p for _, p in pairs))


def any_of(pairs: list[Pair]) -> Pair:
    return either(*(s for s, _ in pairs)), either(*(p for _, p in pairs))
