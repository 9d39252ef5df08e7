"""Screws: how far they reach, which one to buy, how many, and what the wood holds."""

from fractions import Fraction

import pytest

from validator.workings import WorkingProblem
from validator.workings.fasteners import FOR_A_WALL, PENETRATION, SHORTEST_STOCK, WITHDRAWAL, withdrawal_per_inch


def reach(length: str, board: str, between: str = "0") -> Fraction:
    facts = {
        "screw.length": Fraction(length), "board.thickness": Fraction(board), "screw.passes through": Fraction(between)
    }  # fmt: skip
    return PENETRATION.work(facts).value


@pytest.mark.parametrize(
    ("length", "board", "between", "left"),
    [("13/8", "1/2", "0", "9/8"), ("9/8", "1/2", "0", "5/8"), ("13/8", "1/2", "5/8", "1/2"), ("9/8", "2", "0", "0")],
)
def test_a_screw_reaches_what_is_left_of_its_length(length: str, board: str, between: str, left: str) -> None:
    assert reach(length, board, between) == Fraction(left)


def test_the_sum_is_written_in_the_fractions_on_the_box() -> None:
    done = PENETRATION.work(
        {"screw.length": Fraction(13, 8), "board.thickness": Fraction(1, 2), "screw.passes through": Fraction(1, 4)}
    )
    assert str(done.steps[0]) == "penetration = length - board - what lies between = 1-5/8 - 1/2 - 1/4 = 7/8 in"
    assert done.line == "7/8 in: a 1-5/8 in screw through 1/2 in of board and 1/4 in behind it"


def test_a_screw_that_is_too_short_to_reach_says_so() -> None:
    done = PENETRATION.work(
        {"screw.length": Fraction(9, 8), "board.thickness": Fraction(2), "screw.passes through": Fraction(0)}
    )
    assert done.line == "does not reach: a 1-1/8 in screw through 2 in of board"


# residential code R702.3.5.1: 5/8 in into wood, 3/8 in into light steel; A108.11 (from memory): 3/4 in for cement board into wood
@pytest.mark.parametrize(
    ("framing", "material", "board", "between", "stock"),
    [("wood", "foam", "1/2", "0", "5/4"), ("wood", "foam", "5/8", "0", "5/4"), ("wood", "foam", "5/8", "1/64", "13/8"),
     ("steel", "foam", "1/2", "0", "1"), ("wood", "foam", "2", "0", "3"), ("wood", "cement", "1/2", "0", "5/4"),
     ("wood", "cement", "5/8", "0", "13/8"), ("wood", "fiber cement", "1/2", "1/16", "13/8"), ("steel", "cement", "5/8", "0", "1")],
)  # fmt: skip
def test_the_shortest_stock_screw_is_the_next_at_or_over_what_is_needed(
    framing: str, material: str, board: str, between: str, stock: str
) -> None:
    facts = {
        "framing.material": framing, "board.material": material, "board.thickness": Fraction(board), "screw.passes through": Fraction(between)
    }  # fmt: skip
    assert SHORTEST_STOCK.work(facts).value == Fraction(stock)


def test_an_upright_row_of_three_foot_sheets_is_counted_by_hand() -> None:
    # 60 x 72 in, studs at 16: 5 lines; one 60 in sheet wide; two courses of 36 in at 12 in: 4 + 4 rows
    wall = {
        "place.width": Fraction(60), "place.height": Fraction(72), "framing.spacing": Fraction(16),
        "screw.spacing": Fraction(12), "board.sheet width": Fraction(60), "board.sheet height": Fraction(36),
    }  # fmt: skip
    assert FOR_A_WALL.work(wall).value == 5 * 8
    # 96 in high: a course of 24 in more, 3 rows; 72 in wide: 6 lines and one upright seam
    taller = {**wall, "place.width": Fraction(72), "place.height": Fraction(96)}
    assert FOR_A_WALL.work(taller).value == (6 + 1) * 11


def test_withdrawal_agrees_with_the_published_worked_number() -> None:
    # published engineering table: G 0.45, No. 10 (0.190 in) gives 109 lb per in, 109.65 before it is cut
    assert withdrawal_per_inch(Fraction(45, 100), Fraction(19, 100)) == Fraction(10965, 100) + Fraction(375, 100000)


# NDS table 12.2B prints 82, 86, 117, 141 for No. 8; from memory
@pytest.mark.parametrize(
    ("species", "per_inch"),
    [("spruce-pine-fir", 82), ("hem-fir", 86), ("Douglas fir-larch", 117), ("southern pine", 141)],
)
def test_withdrawal_by_species_rounds_to_the_printed_table(species: str, per_inch: int) -> None:
    facts = {
        "framing.species": species, "screw.diameter": Fraction(164, 1000), "screw.penetration": Fraction(1)
    }  # fmt: skip
    assert round(WITHDRAWAL.work(facts).value) == per_inch


@pytest.mark.parametrize(
    ("facts", "what", "accepted"),
    [
        ({"screw.length": Fraction(0)}, "a screw length of 0 cannot be", "more than nothing, such as 1-5/8 in"),
        ({"board.thickness": Fraction(-1, 2)}, "a board thickness of -0.5 cannot be", "0 in or more"),
    ],
)
def test_a_screw_or_board_that_cannot_be_is_refused(facts: dict[str, Fraction], what: str, accepted: str) -> None:
    usual = {"screw.length": Fraction(2), "board.thickness": Fraction(1, 2), "screw.passes through": Fraction(0)}
    with pytest.raises(WorkingProblem) as refused:
        PENETRATION.work({**usual, **facts})
    assert (refused.value.what, refused.value.accepted) == (what, accepted)


def test_framing_that_no_board_screw_is_listed_for_is_refused() -> None:
    with pytest.raises(
        WorkingProblem, match="no board screw is listed for masonry framing. Accepted: wood or steel"
    ):
        SHORTEST_STOCK.work(
            {"framing.material": "masonry", "board.material": "foam", "board.thickness": Fraction(1, 2), "screw.passes through": Fraction(0)}
        )


def test_a_board_thicker_than_any_stock_screw_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="4-5/8 in is longer than the longest stock screw"):
        SHORTEST_STOCK.work(
            {"framing.material": "wood", "board.material": "foam", "board.thickness": Fraction(4), "screw.passes through": Fraction(0)}
        )
