"""What nobody measured is read as widely as anybody takes it: the figures stand in `loose`, with why."""

from fractions import Fraction

import pytest

from validator.language.amounts import NO_GREATEST, NO_LEAST, AmountProblem, exact, read, read_size, show_range

INCH = 25_400_000
FOOT = 12 * INCH
MM = 1_000_000
DAY = 86_400
PSF = 1_000_000
PERCENT = 28_828_800


@pytest.mark.parametrize(("loose", "plain", "kind"), [
    ("half an inch", "1/2 in", "length"), ("a quarter inch", "1/4 in", "length"), ("three-quarter inch", "3/4 in", "length"),
    ("an inch and a half", "1-1/2 in", "length"), ("two and a half inches", "2-1/2 in", "length"), ("16 OC", "16 in", "length"),
    ("400 c/c", "400 mm", "length"), ("600 mm centres", "600 mm", "length"), ("2-1/2 in thick", "2-1/2 in", "length"),
    ("two weeks", "2 weeks", "duration"), ("a day", "24 h", "duration"), ("24 hours at least", "at least 24 h", "duration"),
    ("1/4 per foot", "1/4 in per ft", "slope"), ("1 in 60 fall", "1:60", "slope"), ("95% plus", "at least 95 %", "proportion"),
    ("in excess of 90%", "more than 90 %", "proportion"), ("well over 6 in", "more than 6 in", "length"),
    ("way under 2 in", "less than 2 in", "length"), ("2 in or thicker", "at least 2 in", "length"), ("10 x 12 ft", "120 sq ft", "area"),
    ("2 x 4 ft or smaller", "up to 8 sq ft", "area"), ("L/480 or better", "L/480 or stiffer", "deflection"),
    ("within a week", "at most 1 week", "duration"), ("several weeks", "at least 2 weeks", "duration"),
    ("a couple of inches", "2 to 3 in", "length"), ("a few days", "2 to 9 days", "duration"),
    ("more than a few days", "more than 2 days", "duration"), ("less than a couple of days", "less than 3 days", "duration")])  # fmt: skip
def test_a_loose_way_says_what_the_plain_one_says(loose, plain, kind):
    assert read(loose, kind)[:3] == read(plain, kind)[:3]


@pytest.mark.parametrize(("text", "kind", "least", "greatest"), [
    ("about 6 in", "length", 9 * INCH // 2, 15 * INCH // 2),
    ("12 ft or so", "length", Fraction(108, 10) * FOOT, Fraction(132, 10) * FOOT),
    ("about 4 ft", "length", 39 * INCH, 57 * INCH),
    ("a bit over 1/4 in", "length", INCH // 4 + 1, INCH * 5 // 16),
    ("just under 2 in", "length", INCH * 3 // 2, 2 * INCH - 1),
    ("nearly 1 in", "length", INCH * 3 // 4, INCH - 1),
    ("at least about 2 in", "length", INCH * 3 // 2, NO_GREATEST),
    ("about 40 psf", "load", 30 * PSF, 50 * PSF),
    ("about 95 %", "proportion", 85 * PERCENT, 100 * PERCENT),
    ("5 years", "duration", 5 * 365 * DAY, 6 * 366 * DAY),
    ("3 months", "duration", 84 * DAY, 124 * DAY),
    ("2 to 3 months", "duration", 56 * DAY, 93 * DAY),
    ("more than a year", "duration", 365 * DAY + 1, NO_GREATEST),
    ("less than a year", "duration", NO_LEAST, 366 * DAY - 1),
    ("several months", "duration", 56 * DAY, NO_GREATEST)])  # fmt: skip
def test_what_is_said_loosely_is_as_wide_as_anybody_takes_it(text, kind, least, greatest):
    assert read(text, kind)[1:3] == (least, greatest)


def test_a_quarter_of_a_ton_of_tile_a_square_meter_is_widened_in_its_own_unit():
    assert show_range(*read("about 25 kg/m2", "load")[1:3], "load", "kg/m2", both=False) == "18.75 kg/m2 to 31.25 kg/m2"


@pytest.mark.parametrize(("plain", "loosest"), [
    ("6 in", ["about 6 in", "6 in or so", "roughly 6 in", "6 in approx", "~6 in"]), ("30 days", ["a month"]), ("366 days", ["a year"]),
    ("3 days", ["a few days", "several days"]), ("90 %", ["about 90 %"]), ("70 F", ["about 70 F"]), ("L/360", ["about L/360"])])
def test_what_is_meant_lies_inside_what_is_read(plain, loosest):
    for kind in ("length", "duration", "proportion", "temperature", "deflection"):
        try:
            steps = exact(plain, kind)
        except AmountProblem:
            continue
        for text in loosest:
            amount = read(text, kind)
            assert amount.least <= steps <= amount.greatest and (amount.least < amount.greatest), text


@pytest.mark.parametrize(("text", "edges"), [
    ("2 x 4 ft or smaller", [(NO_LEAST, 2 * FOOT), (NO_LEAST, 4 * FOOT)]), ("12 in square", [(FOOT, FOOT)] * 2),
    ("about 12 x 24 in", [(9 * INCH, 15 * INCH), (18 * INCH, 30 * INCH)]), ("300 mm sq", [(300 * MM, 300 * MM)] * 2),
    ("up to 24 x 48 in", [(NO_LEAST, 2 * FOOT), (NO_LEAST, 4 * FOOT)])])  # fmt: skip
def test_what_is_said_of_a_size_holds_for_each_edge(text, edges):
    assert [edge[1:3] for edge in read_size(text)] == edges


@pytest.mark.parametrize("text", ["soft", "several", "a couple", "plenty", "a bit", "months", "about", "or so", "6 in plus 2 in"])
def test_what_gives_no_amount_is_still_refused(text):
    for kind in ("length", "duration"):
        with pytest.raises(AmountProblem):
            read(text, kind)


def test_more_than_a_length_of_time_is_printed_as_it_was_said():
    assert show_range(*read("more than 2 days", "duration")[1:3], "duration", "days") == "more than 2 days"
