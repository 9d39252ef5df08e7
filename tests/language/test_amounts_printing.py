"""Amounts print the way the trade writes them, and read back as the same amount."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.language.amounts import KINDS, NO_GREATEST, NO_LEAST, exact, read, show, show_range

SLOPE = 2_882_880_000


def ends(text: str, kind: str) -> tuple[int, int]:
    amount = read(text, kind)
    return amount.least, amount.greatest


@pytest.mark.parametrize(
    ("text", "kind", "printed"),
    [
        ("1-1/8 in", "length", "1-1/8 in (29 mm)"),
        ("5/8 in", "length", "5/8 in (16 mm)"),
        ("1/32 in", "length", "1/32 in (0.79 mm)"),
        (".040 in", "length", "0.04 in (1 mm)"),
        ("1/3 in", "length", "1/3 in (8.5 mm)"),
        ("16 mm", "length", "16 mm (about 5/8 in)"), ("1.5 mm", "length", "1.5 mm (about 1/16 in)"),
        ("20 mil", "length", "20 mil (0.51 mm)"),
        ("13 ft 6-1/2 in", "length", "13 ft 6-1/2 in (4.13 m)"),
        ("3 m", "length", "3 m (9 ft 10-1/8 in)"),
        ("1/4 in per ft", "slope", "1/4 in per ft (2.08 %)"),
        ("1:48", "slope", "1:48 (2.08 %)"),
        ("2 %", "slope", "2 % (0.24 in per ft)"),
        ("L/316", "deflection", "L/316"),
        ("L/316.9", "deflection", "L/316"),
        ("1/3", "proportion", "1/3 (33.3 %)"),
        ("95 %", "proportion", "95 %"),
        ("70 °F", "temperature", "70 °F (21 °C)"),
        ("1.9 kPa", "load", "1.9 kPa (39.7 psf)"),
        ("50 lb", "mass", "50 lb (22.7 kg)"),
        ("24 h", "duration", "24 h"),
        ("1 day", "duration", "1 day"),
        ("2026-03-01", "moment", "2026-03-01"),
        ("2026-03-01 14:30", "moment", "2026-03-01 14:30"),
        ("after 2026-03-01", "moment", "not before 2026-03-02"),
        ("2", "count", "2"),
        ("at least 5/8 in", "length", "at least 5/8 in (16 mm)"),
        ("up to 2 in", "length", "up to 2 in (51 mm)"),
        ("less than 15 in", "length", "less than 15 in (381 mm)"),
        ("more than 1:48", "slope", "more than 1:48 (2.08 %)"),
        ("8 in to under 15 in", "length", "8 in to less than 15 in (203 mm to 381 mm)"),
        ("13 to 14 ft", "length", "13 ft to 14 ft (3.96 m to 4.27 m)"),
        ("16 or 24 in", "length", "16 in to 24 in (406 mm to 610 mm)"),
        ("L/480 to L/360", "deflection", "L/360 to L/480"),
        ("at most L/360", "deflection", "L/360 or stiffer"),
    ],
)
def test_an_amount_prints_the_authors_unit_first_and_the_other_system_in_brackets(text, kind, printed):
    amount = read(text, kind)
    assert show_range(amount.least, amount.greatest, kind, amount.unit) == printed


def test_no_ends_at_all_is_not_stated():
    assert {show_range(NO_LEAST, NO_GREATEST, kind) for kind in KINDS} == {"not stated"}


@pytest.mark.parametrize(
    ("steps", "kind", "unit", "printed"),
    [
        (15_999_999, "length", "mm", "15.999999 mm"),
        (8_466_666, "length", "mm", "8.467 mm"),
        (-3_175_000, "length", "in", "-1/8 in"),
        (SLOPE // 360 + 1, "deflection", None, "L/359"),
        (SLOPE // 360 - 1, "deflection", None, "L/360"),
        (Fraction(SLOPE, 1001) * 3, "deflection", None, "L/333"),
        (0, "deflection", None, "no deflection"),
    ],
)
def test_a_printed_number_is_never_rounder_or_stiffer_than_it_is(steps, kind, unit, printed):
    assert show(steps, kind, unit, both=False) == printed


ROUND = {
    "in": ("length", 64),
    "ft": ("length", 768),
    "mm": ("length", 1000),
    "cm": ("length", 100),
    "m": ("length", 1000),
    "mil": ("length", 100),
    "in per ft": ("slope", 64),
    "mm/m": ("slope", 10),
    "%": ("proportion", 100),
    "sq ft": ("area", 100),
    "L": ("volume", 1000),
    "gal": ("volume", 8),
    "lb": ("mass", 10),
    "kg": ("mass", 100),
    "psf": ("load", 100),
    "kPa": ("load", 100),
    "MPa": ("stress", 100),
    "kN": ("force", 100),
    "°F": ("temperature", 10),
    "°C": ("temperature", 10),
    "perm": ("permeance", 1000),
    "h": ("duration", 4),
    "days": ("duration", 1),
}


@st.composite
def written_amounts(draw, of_kind=None):
    """A kind, a unit, and a value that people write in that unit, in steps before rounding."""
    unit = draw(st.sampled_from(sorted(unit for unit, (kind, _) in ROUND.items() if of_kind in (None, kind))))
    kind, parts = ROUND[unit]
    value = Fraction(draw(st.integers(0, 400_000)), parts)
    named = KINDS[kind].named[unit]
    return kind, unit, value * named.steps + named.zero


two_of_a_kind = st.sampled_from(sorted({kind for kind, _ in ROUND.values()})).flatmap(
    lambda kind: st.tuples(written_amounts(kind), written_amounts(kind))
)


@given(written_amounts())
def test_what_is_printed_without_brackets_reads_back_as_the_same_amount(written):
    kind, unit, steps = written
    least, greatest = steps.__floor__(), steps.__ceil__()
    assert ends(show_range(least, greatest, kind, unit, both=False), kind) == (least, greatest)
    assert ends(show(steps, kind, unit, both=False), kind) == (least, greatest)


@given(written_amounts().filter(lambda written: written[2] != 0), st.sampled_from(["at least", "up to", "more than", "less than"]))
def test_an_open_range_reads_back_as_the_same_range(written, words):
    kind, unit, steps = written
    amount = read(f"{words} {show(steps, kind, unit, both=False)}", kind)
    printed = show_range(amount.least, amount.greatest, kind, unit, both=False)
    assert ends(printed, kind) == (amount.least, amount.greatest)


@given(st.integers(1, 20_000))
def test_every_whole_deflection_ratio_reads_back_as_itself(ratio):
    least, greatest = ends(f"L/{ratio}", "deflection")
    assert show(greatest, "deflection") == f"L/{ratio}" == show_range(least, greatest, "deflection")


@given(st.integers(1, SLOPE // 10))
def test_a_printed_deflection_never_flatters(steps):
    printed = exact(show(steps, "deflection"), "deflection")
    assert printed > steps - 1


@given(two_of_a_kind)
def test_the_order_of_amounts_is_kept_by_reading(pair):
    (kind, one_unit, lesser), (_, other_unit, greater) = sorted(pair, key=lambda written: written[2])
    one = read(show(lesser, kind, one_unit, both=False), kind)
    other = read(show(greater, kind, other_unit, both=False), kind)
    assert one.least <= other.least and one.greatest <= other.greatest


@given(two_of_a_kind)
def test_a_range_written_with_both_ends_holds_both(pair):
    (kind, one_unit, low), (_, other_unit, high) = sorted(pair, key=lambda written: written[2])
    text = f"{show(low, kind, one_unit, both=False)} to {show(high, kind, other_unit, both=False)}"
    least, greatest = ends(text, kind)
    assert (least, greatest) == (low.__floor__(), high.__ceil__())


@given(st.integers(-(10**19), 10**19), st.sampled_from(sorted(KINDS)))
def test_any_number_of_steps_prints_in_every_unit(steps, kind):
    for unit in KINDS[kind].named:
        assert show(steps, kind, unit)
