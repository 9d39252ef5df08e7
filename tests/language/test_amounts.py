"""Amounts in trade notation are read exactly, or refused with what to type instead."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from validator.language.amounts import KINDS, NO_GREATEST, NO_LEAST, Amount, AmountProblem, exact, read, read_size, show_range

INCH = 25_400_000
FOOT = 12 * INCH
MM = 1_000_000
SLOPE = 2_882_880_000

ONE_PIECE = {Fraction(text): sign for text, sign in zip(["1/2", "1/4", "3/4", "1/8", "3/8", "5/8", "7/8"], "½¼¾⅛⅜⅝⅞", strict=True)}


def ends(text: str, kind: str, spread: str | None = None) -> tuple[int, int]:
    amount = read(text, kind, spread=spread)
    return amount.least, amount.greatest


def ways_to_write(whole: int, part: Fraction) -> list[str]:
    """One mixed number of inches in every notation met on site."""
    if not part:
        numbers = [str(whole), f"{whole}.0"]
    elif not whole:
        numbers = [str(part), f"0-{part}"]
    else:
        numbers = [f"{whole}-{part}", f"{whole} {part}", f"{whole}–{part}", str(whole + part)]
    if part in ONE_PIECE:
        numbers += [f"{whole}{ONE_PIECE[part]}", f"{whole}-{ONE_PIECE[part]}", f"{whole} {ONE_PIECE[part]}"]
    return [f"{number}{unit}" for number in numbers for unit in (" in", " in.", '"', "″", "''", " inch", " inches", "in", " IN")]


def test_every_sixty_fourth_of_an_inch_is_exact_in_every_notation():
    for sixty_fourths in range(1, 4 * 64 + 1):
        whole, part = divmod(Fraction(sixty_fourths, 64), 1)
        steps = sixty_fourths * 396_875
        assert Fraction(steps, 1_000_000) == Fraction(sixty_fourths, 64) * Fraction(254, 10)
        for text in ways_to_write(whole, part):
            assert ends(text, "length") == (steps, steps), text


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("13 ft 6 in", 162),
        ("13'-6\"", 162),
        ("13' 6\"", 162),
        ("13’ 6”", 162),
        ("13'-6-1/2\"", Fraction(325, 2)),
        ("13' 6 1/2\"", Fraction(325, 2)),
        ("13 ft. 6½ in.", Fraction(325, 2)),
        ("13 feet 6 inches", 162),
        ("13 ft-6 in", 162),
        ("13.5 ft", 162),
        ("13-1/2 ft", 162),
        ("1 yd", 36),
        (".040 in", Fraction(40, 1000)),
        ("40 mil", Fraction(40, 1000)),
        ("16 in o.c.", 16),
        ("16 in on center", 16),
    ],
)
def test_lengths_in_inches_and_feet(text, inches):
    assert exact(text, "length") == inches * INCH


@pytest.mark.parametrize(
    ("text", "kind", "steps"),
    [
        ("25.4 mm", "length", INCH),
        ("2.54 cm", "length", INCH),
        ("0.0254 m", "length", INCH),
        ("0.3048 metres", "length", FOOT),
        ("500 µm", "length", MM // 2),
        ("20 mils", "length", 508_000),
        ("1 in2", "area", 64_516),
        ("1 sq ft", "area", 9_290_304),
        ("900 square inches", "area", 900 * 64_516),
        ("1 m²", "area", 10**8),
        ("1 gal", "volume", 3_785_411_784),
        ("4 quarts", "volume", 3_785_411_784),
        ("3.785411784 L", "volume", 3_785_411_784),
        ("500 ml", "volume", 500_000_000),
        ("50 lb", "mass", 50 * 45_359_237),
        ("0.45359237 kg", "mass", 45_359_237),
        ("3 lb 4 oz", "mass", Fraction(13, 4) * 45_359_237),
        ("40 psf", "load", 40_000_000),
        ("40 lb/ft2", "load", 40_000_000),
        ("40 lbs per square foot", "load", 40_000_000),
        ("300 lbf", "force", 300_000_000),
        ("300 lb", "force", 300_000_000),
        ("4.4482216152605 N", "force", 1_000_000),
        ("50 psi", "stress", 50_000_000),
        ("1 ksi", "stress", 10**9),
        ("1/4 in per ft", "slope", SLOPE // 48),
        ('1/4"/ft', "slope", SLOPE // 48),
        ("¼″ per foot", "slope", SLOPE // 48),
        ("1:48", "slope", SLOPE // 48),
        ("1 in 48", "slope", SLOPE // 48),
        ("2 %", "slope", SLOPE // 50),
        ("20 mm/m", "slope", SLOPE // 50),
        ("1/8 in in 10 ft", "slope", SLOPE // 960),
        ("3 mm over 2 m", "slope", SLOPE * 3 // 2000),
        ("L/360", "deflection", SLOPE // 360),
        ("l / 720", "deflection", SLOPE // 720),
        ("1/360", "deflection", SLOPE // 360),
        ("95 %", "proportion", SLOPE * 95 // 100),
        ("95 percent", "proportion", SLOPE * 95 // 100),
        ("1/3", "proportion", SLOPE // 3),
        ("32 °F", "temperature", 0),
        ("212F", "temperature", 900_000),
        ("100 deg C", "temperature", 900_000),
        ("-40 °F", "temperature", -360_000),
        ("−40 degrees celsius", "temperature", -360_000),
        ("18 °F", "temperature difference", 90_000),
        ("10 °C", "temperature difference", 90_000),
        ("24 h", "duration", 86_400),
        ("30 min", "duration", 1_800),
        ("1 h 30 min", "duration", 5_400),
        ("2 weeks", "duration", 14 * 86_400),
        ("1970-01-02 14:30", "moment", 86_400 + 14 * 3600 + 1800),
        ("2026-03-01 00:00", "moment", 1_772_323_200),
        ("2", "count", 2),
        ("two", "count", 2),
        ("0.42", "number", 420_000),
        ("0.5 perm", "permeance", 500_000),
        ("57.2135 ng/(s m2 Pa)", "permeance", 1_000_000),
        ("3 lb per 1000 sq ft per 24 h", "moisture emission", 3_000_000),
        ("3 lb/1000 ft2/24 h", "moisture emission", 3_000_000),
        ("55 sq ft/gal", "coverage", 55_000_000),
    ],
)
def test_each_kind_comes_to_exact_steps(text, kind, steps):
    assert exact(text, kind) == steps


@pytest.mark.parametrize(
    ("text", "kind", "least", "most"),
    [
        ("1 kPa", "load", "20.88543", "20.88544"),  # 1 psf is 47.88026 Pa: NIST SP 811, appendix B.8, from memory
        ("1 kg/m2", "load", "0.204816", "0.204817"),  # 1 lb/ft2 is 4.882428 kg/m2: the same table, from memory
        ("1 MPa", "stress", "145.0377", "145.0378"),  # 1 psi is 6.894757 kPa: the same table, from memory
        ("1 kN", "force", "224.8089", "224.8090"),  # 1 lbf is 4.448222 N: the same table, from memory
    ],
)
def test_conversions_agree_with_the_published_tables(text, kind, least, most):
    assert Fraction(least) * 10**6 < exact(text, kind) < Fraction(most) * 10**6


@pytest.mark.parametrize(
    ("text", "kind", "least", "greatest"),
    [
        ("14 to 16 ft", "length", 14 * FOOT, 16 * FOOT),
        ("14 ft to 16 ft", "length", 14 * FOOT, 16 * FOOT),
        ("14 ft to 16", "length", 14 * FOOT, 16 * FOOT),
        ("from 14 to 16 ft", "length", 14 * FOOT, 16 * FOOT),
        ("between 14 and 16 ft", "length", 14 * FOOT, 16 * FOOT),
        ("13 ft 6 in to 14 ft", "length", 162 * INCH, 14 * FOOT),
        ("3/4 to 1-1/2 in", "length", 3 * INCH // 4, 3 * INCH // 2),
        ("16 or 24 in", "length", 16 * INCH, 24 * INCH),
        ("12 or 16 or 24 in", "length", 12 * INCH, 24 * INCH),
        ("24 in or 400 mm", "length", 400 * MM, 24 * INCH),
        ("at least 3/4 in", "length", 3 * INCH // 4, NO_GREATEST),
        ("not less than 3/4 in", "length", 3 * INCH // 4, NO_GREATEST),
        ("3/4 in or more", "length", 3 * INCH // 4, NO_GREATEST),
        ("15 in and over", "length", 15 * INCH, NO_GREATEST),
        ("3/4 in min.", "length", 3 * INCH // 4, NO_GREATEST),
        ("min 30 min", "duration", 1_800, NO_GREATEST),
        ("up to 2 in", "length", NO_LEAST, 2 * INCH),
        ("at most 2 in", "length", NO_LEAST, 2 * INCH),
        ("2 in max", "length", NO_LEAST, 2 * INCH),
        ("more than 2 in", "length", 2 * INCH + 1, NO_GREATEST),
        ("over 2 in", "length", 2 * INCH + 1, NO_GREATEST),
        ("less than 2 in", "length", NO_LEAST, 2 * INCH - 1),
        ("under 2 in", "length", NO_LEAST, 2 * INCH - 1),
        ("8 in to under 15 in", "length", 8 * INCH, 15 * INCH - 1),
        ("over 8 to 15 in", "length", 8 * INCH + 1, 15 * INCH),
        ("more than 2", "count", 3, NO_GREATEST),
        ("1 or 2", "count", 1, 2),
        ("one or two", "count", 1, 2),
        ("1:48 to 1:24", "slope", SLOPE // 48, SLOPE // 24),
        ("1:24 to 1:48", "slope", SLOPE // 48, SLOPE // 24),
        ("1/4 to 1/2 in per ft", "slope", SLOPE // 48, SLOPE // 24),
        ("L/360 to L/480", "deflection", SLOPE // 480, SLOPE // 360),
        ("at most L/360", "deflection", NO_LEAST, SLOPE // 360),
        ("L/360 or stiffer", "deflection", NO_LEAST, SLOPE // 360),
        ("L/360 or less stiff", "deflection", SLOPE // 360, NO_GREATEST),
        ("stiffer than L/360", "deflection", NO_LEAST, SLOPE // 360 - 1),
        ("90 to 95 %", "proportion", SLOPE * 9 // 10, SLOPE * 95 // 100),
        ("-10 to 5 °C", "temperature", -90_000, 45_000),
        ("50 to 100 °F", "temperature", 90_000, 340_000),
        ("7 to 28 days", "duration", 7 * 86_400, 28 * 86_400),
        ("1970-01-02", "moment", 86_400, 2 * 86_400 - 1),
        ("1970-01-02 to 1970-01-03", "moment", 86_400, 3 * 86_400 - 1),
        ("after 1970-01-02", "moment", 2 * 86_400, NO_GREATEST),
        ("not before 1970-01-02", "moment", 86_400, NO_GREATEST),
        ("before 1970-01-02", "moment", NO_LEAST, 86_399),
        ("until 1970-01-02", "moment", NO_LEAST, 2 * 86_400 - 1),
    ],
)
def test_a_range_is_everything_it_allows(text, kind, least, greatest):
    assert ends(text, kind) == (least, greatest)


@pytest.mark.parametrize(
    ("text", "kind", "spread", "least", "greatest"),
    [
        ("about 15 ft", "length", "6 in", 174 * INCH, 186 * INCH),
        ("~1/2 in", "length", "1/16 in", 7 * INCH // 16, 9 * INCH // 16),
        ("approx. 1/2 in", "length", "1/16 in", 7 * INCH // 16, 9 * INCH // 16),
        ("about 14 to 16 ft", "length", "6 in", 162 * INCH, 198 * INCH),
        ("about 1/16 in", "length", "1/8 in", 0, 3 * INCH // 16),
        ("about 50 °F", "temperature", "9 °F", 45_000, 135_000),
        ("about 1970-01-02", "moment", "1 day", 0, 3 * 86_400 - 1),
    ],
)
def test_about_takes_the_spread_of_its_fact(text, kind, spread, least, greatest):
    assert ends(text, kind, spread) == (least, greatest)


@pytest.mark.parametrize("text", ["1/3 in", "1/128 in", "5/7 in"])
def test_what_lies_off_the_step_is_rounded_outwards(text):
    steps = exact(text, "length")
    assert steps.denominator > 1
    least, greatest = ends(text, "length")
    assert least < steps < greatest and greatest == least + 1
    assert ends(f"more than {text}", "length") == (least, NO_GREATEST)
    assert ends(f"less than {text}", "length") == (NO_LEAST, greatest)


def test_an_amount_keeps_the_authors_unit_and_words():
    assert read("13'-6\"", "length") == Amount("length", 162 * INCH, 162 * INCH, "ft", "13'-6\"")
    assert read("14 to 16 ft", "length").unit == "ft"
    assert read("20 mils", "length").unit == "mil"


@pytest.mark.parametrize(
    ("bare", "said"),
    [("1/2", "1/2 in"), ("1-5/8", "1-5/8 in"), ("1/8 to 3/16", "1/8 to 3/16 in"), ("at least 3/4", "at least 3/4 in"), ("3/8 or more", "3/8 in or more")],
)
def test_halves_to_sixty_fourths_that_name_no_unit_are_inches(bare, said):
    assert read(bare, "length")[:4] == read(said, "length")[:4]


@pytest.mark.parametrize(
    ("text", "kind", "what", "accepted"),
    [
        ("1/3", "length", "`1/3` says no unit", "1/3 in or 8 mm"),
        ("12 1/2", "length", "`12 1/2` says no unit", "12 1/2 in or 318 mm"),
        ("1/2 to 1", "length", "`1/2 to 1` says no unit for its last number", "1/2 to 1 in"),
        ("14", "length", "`14` says no unit", "14 in or 14 mm"),
        ("13 ft 6", "length", "`13 ft 6` says no unit for its last number", "13 ft 6 in"),
        ("0.95", "proportion", "`0.95` says no unit", "0.95 % or 95 %"),
        ("0.02", "slope", "`0.02` says no unit", "1/4 in per ft, 1:48 or 2 %"),
        ("360", "deflection", "`360` says no unit", "L/360"),
        ("70 degrees", "temperature", "`70 degrees` does not say which degrees", "70 °F or 70 °C"),
        ("1:48", "deflection", "`1:48`: a slope is not a deflection ratio", "L/360 or 1/360"),
        ("L/360", "slope", "`L/360`: a deflection ratio is not a slope", "1/4 in per ft, 1:48 or 2 %"),
        ("20 in", "load", "`20 in`: a length is not a load", "40 psf or 1.9 kPa"),
        ("14 to 16 psf", "duration", "`14 to 16 psf`: a load is not a duration", "24 h, 30 min or 7 days"),
        ("30 m", "duration", "`30 m`: a length is not a duration", "24 h, 30 min or 7 days"),
        ("5 foo", "load", "`5 foo` is not in a unit of load", "40 psf or 1.9 kPa"),
        (">90", "proportion", "`>90` uses a sign where words are read", "more than 90 %"),
        ("≥ 3/4 in", "length", "`≥ 3/4 in` uses a sign where words are read", "at least 3/4 in"),
        ("<= 2 in", "length", "`<= 2 in` uses a sign where words are read", "at most 2 in"),
        ("@ 16 in", "length", "`@ 16 in` starts with a sign that is not part of the amount", "16 in"),
        ("?", "load", "`?` states no amount", "40 psf or 1.9 kPa, or leave the line out"),
        ("", "load", "nothing is written", "40 psf or 1.9 kPa, or leave the line out"),
        ('"1/2" in', "length", '`"1/2" in` has quotation marks around the number only', "1/2 in"),
        ("-40 psf", "load", "`-40 psf` is less than nothing", "40 psf or 1.9 kPa, without a minus sign"),
        ("less than 0 psf", "load", "`less than 0 psf` is less than nothing", "40 psf or 1.9 kPa, without a minus sign"),
        ("-500 °F", "temperature", "`-500 °F` is colder than anything can be", "70 °F or 21 °C"),
        ("1/0 in", "length", "`1/0 in` divides by nothing", "a fraction over 2, 4, 8, 16, 32 or 64, such as 5/8"),
        ("L/0", "deflection", "`L/0` divides by nothing", "L/360 or 1/360"),
        ("1:0", "slope", "`1:0` divides by nothing", "1/4 in per ft, 1:48 or 2 %"),
        ("1/4 in per 0 ft", "slope", "`1/4 in per 0 ft` divides by nothing", "1/4 in per ft, 1:48 or 2 %"),
        ("1/2/3 in", "length", "`1/2/3 in` has two fraction strokes", "one fraction, such as 1/2"),
        ("1-8/5 in", "length", "`1-8/5 in` joins 1 to 8/5, which is not less than one", "a proper fraction, such as 1-5/8"),
        ("1e400 in", "length", "`1e400 in` is written with an exponent", "the number written out, such as 1600000"),
        ("NaN", "load", "`NaN` is not a number", "40 psf or 1.9 kPa"),
        ("inf psf", "load", "`inf psf` is not a number", "40 psf or 1.9 kPa"),
        ("9" * 30 + " psf", "load", f"`{'9' * 30} psf` is larger than any load on a site", "40 psf or 1.9 kPa"),
        ("1,200 psf", "load", "`1,200 psf` has a comma in the number", "1200 psf"),
        ("1,5 in", "length", "`1,5 in` has a comma, which can be read two ways", "a point for decimals (1.5), or one amount a line"),
        ("14-16 ft", "length", "`14-16 ft` can be read two ways", "14 to 16 ft for a range; 1-5/8 in or 13 ft 6 in for one amount"),
        ("1 - 5/8 in", "length", "`1 - 5/8 in` can be read two ways", "1-5/8 in, without spaces, for one amount; a range is written with `to`"),
        ("2x10", "length", "`2x10` is the name of a lumber size, not an amount", "the measured size, such as 9-1/4 in for the depth of a 2x10"),
        ("12 x 24 psf", "load", "`12 x 24 psf` is a size, not one load", "one load, such as 40 psf or 1.9 kPa"),
        ("about 2026-03-01", "moment", "`about 2026-03-01` does not say how far off it may be",
         "a range with `to`, such as 2026-03-01 to 2026-03-04"),
        ("16 ±1 in", "length", "`16 ±1 in` gives a spread", "a range with `to`, such as 14 to 16 ft"),
        ("16 to 14 ft", "length", "`16 to 14 ft` runs from the greater to the lesser", "the lesser first, such as 14 to 16 ft"),
        ("13 ft 14 in", "length", "`13 ft 14 in` has more in one part than makes one of the part before", "for example 14 ft 2 in, not 13 ft 14 in"),
        ("1/2 to 1 %", "proportion", "`1/2 to 1 %` can be read two ways",
         "both ends in %, such as 0.5 % to 1 %, or both as fractions, such as 1/2 to 2/3"),
        ("at least L/360", "deflection", "`at least L/360` can be read two ways: a stiffer floor has the smaller deflection",
         "`L/360 or stiffer` (the same as at most L/360), or `L/360 or less stiff`"),
        ("a bit over L/360", "deflection", "`a bit over L/360` can be read two ways: a stiffer floor has the smaller deflection",
         "`L/360 or stiffer` (the same as at most L/360), or `L/360 or less stiff`"),
        ("2 °", "slope", "`2 °`: an angle in degrees has no exact fall", "1/4 in per ft, 1:48 or 2 %"),
        ("1.5", "count", "`1.5` is not a whole number", "a whole number such as 2"),
        ("2 coats", "count", "`2 coats` is not a count", "a whole number such as 2"),
        ("soft", "load", "`soft` gives no number", "40 psf or 1.9 kPa"),
        ("3/1/2026", "moment", "`3/1/2026` is not a date as it is read here",
         "year-month-day, with the hour if known: 2026-03-01 or 2026-03-01 14:30"),
        ("2026-02-30", "moment", "`2026-02-30` is not a day and hour of the calendar",
         "year-month-day, then hours 00:00 to 23:59, such as 2026-03-01 14:30"),
        ("9" * 201, "load", "the text is 201 characters long, too long for an amount", "at most 200 characters, such as 40 psf or 1.9 kPa"),
    ],
)
def test_a_text_that_is_no_amount_is_refused_with_what_to_type(text, kind, what, accepted):
    with pytest.raises(AmountProblem) as refused:
        read(text, kind)
    assert (refused.value.what, refused.value.accepted) == (what, accepted)
    assert str(refused.value) == f"{what}. Accepted: {accepted}"


@pytest.mark.parametrize("text", ["14 to 16 ft", "at least 3/4 in", "about 2 in"])
def test_an_exact_amount_may_not_be_a_range(text):
    with pytest.raises(AmountProblem):
        exact(text, "length")


def test_a_whole_day_is_not_one_moment():
    with pytest.raises(AmountProblem) as refused:
        exact("2026-03-01", "moment")
    assert refused.value.what == "`2026-03-01` is a whole day, and one moment is asked"
    assert refused.value.accepted == "2026-03-01 14:30"


@pytest.mark.parametrize(
    ("text", "edges"),
    [
        ("12 x 24 in", [12 * INCH, 24 * INCH]),
        ("12x24 in", [12 * INCH, 24 * INCH]),
        ('12" x 24"', [12 * INCH, 24 * INCH]),
        ("12 by 24 inches", [12 * INCH, 24 * INCH]),
        ("1/2 x 1/2 in", [INCH // 2, INCH // 2]),
        ("2 x 2 in", [2 * INCH, 2 * INCH]),
        ("300 × 600 mm", [300 * MM, 600 * MM]),
        ("12 ft x 8 ft 6 in", [12 * FOOT, 102 * INCH]),
        ("12 x 24 x 3/8 in", [12 * INCH, 24 * INCH, 3 * INCH // 8]),
    ],
)
def test_a_size_is_its_edges_in_the_order_written(text, edges):
    assert [(edge.least, edge.greatest) for edge in read_size(text)] == [(edge, edge) for edge in edges]


@pytest.mark.parametrize(
    ("text", "what", "accepted"),
    [
        ("12 x 24", "`12 x 24` says no unit", "12 x 24 in or 12 x 24 mm"),
        ("2x10", "`2x10` says no unit", "2x10 in or 2x10 mm"),
        ("12 in", "`12 in` is not a size", "two or three edges and a unit, such as 12 x 24 in or 300 x 600 mm"),
        ("0 x 2 in", "`0 x 2 in` has an edge of no length", "12 x 24 in"),
    ],
)
def test_what_is_no_size_is_refused(text, what, accepted):
    with pytest.raises(AmountProblem) as refused:
        read_size(text)
    assert (refused.value.what, refused.value.accepted) == (what, accepted)


def test_a_spread_of_the_wrong_kind_is_refused():
    with pytest.raises(AmountProblem) as refused:
        read("about 2 in", "length", spread="5 psf")
    assert refused.value.what == "`5 psf`: a load is not a length"


@given(st.text(max_size=60), st.sampled_from(sorted(KINDS)))
@settings(max_examples=300)
def test_any_text_is_read_or_refused_and_nothing_else(text, kind):
    try:
        amount = read(text, kind)
    except AmountProblem as refused:
        assert refused.what and refused.accepted
    else:
        assert amount.least <= amount.greatest


TRADE = st.lists(
    st.sampled_from(
        ["1", "5/8", "14", ".5", "-", " ", " to ", "in", "ft", "'", '"', "%", "/", ":", "x", "at least ", "about ", "or ", "L/"]
        + ["360", "per ", "°F", "½", ",", "0", "2026-03-01", "under ", "min", " 14:30"]
    ),
    max_size=9,
).map("".join)


@given(TRADE, st.sampled_from(sorted(KINDS)))
@settings(max_examples=1000)
def test_any_heap_of_trade_words_is_read_or_refused_and_prints(text, kind):
    for reading in (lambda: [read(text, kind)], lambda: read_size(text)):
        try:
            found = reading()
        except AmountProblem as refused:
            assert refused.what and refused.accepted
        else:
            for amount in found:
                assert amount.least <= amount.greatest
                assert show_range(amount.least, amount.greatest, amount.kind, amount.unit)


@pytest.mark.parametrize("text", ["flat", "Dead level", "none", "no fall"])
def test_a_fall_that_is_not_there_is_a_fall_of_nothing(text: str) -> None:
    assert (read(text, "slope").least, read(text, "slope").greatest) == (0, 0)


def test_none_of_what_has_no_such_word_states_no_amount() -> None:
    with pytest.raises(AmountProblem, match="states no amount"):
        read("none", "length")
