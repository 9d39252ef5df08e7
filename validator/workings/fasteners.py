"""Whether a screw reaches: through the board and what lies behind it, into the framing, and what the wood then holds.

Units: inches, pounds of force. Raises `WorkingProblem` for lengths less than nothing, framing no screw is listed for,
and a board that no stock screw is long enough for.
Sources: residential code R702.3.5.1 for the reach, A108.11 (from memory) for cement board; NDS 12.2.2 for withdrawal of wood screws from side grain.
"""

from collections.abc import Mapping
from fractions import Fraction

from .lumber import SPECIES, usual_word
from .working import (
    WALLS,
    Input,
    Step,
    Worked,
    Working,
    WorkingProblem,
    inches,
    next_step_up,
    not_negative,
    over_nothing,
    plain,
    whole_above,
)

STOCK_LENGTHS = tuple(
    Fraction(text) for text in ("1", "5/4", "13/8", "7/4", "2", "9/4", "5/2", "3", "7/2", "4")
)  # common practice, no source
LEAST_REACH = {"wood": Fraction(5, 8), "steel": Fraction(3, 8)}  # R702.3.5.1, seen of gypsum board
CEMENT_BOARDS = ("cement", "fiber cement")
CEMENT_REACH = Fraction(3, 4)  # into wood, A108.11 from memory
BOARDS = (
    "foam", "cement", "fiber cement", "glass-mat gypsum", "fiber-reinforced gypsum", "water-resistant gypsum", "plain gypsum",
    "plywood", "OSB", "plaster",
)  # fmt: skip
GRAVITY = {
    "Douglas fir-larch": Fraction(1, 2),
    "hem-fir": Fraction(43, 100),
    "spruce-pine-fir": Fraction(42, 100),
    "southern pine": Fraction(55, 100),
}  # specific gravity G, NDS table 12.3.3A, from memory
A_LENGTH = "0 in or more"


def _through(facts: Mapping[str, Fraction | str]) -> tuple[Fraction, Fraction]:
    board = not_negative(facts["board.thickness"], "a board thickness", A_LENGTH)
    between = not_negative(facts["screw.passes through"], "a layer behind the board", A_LENGTH)
    return board, between


def _penetration(facts: Mapping[str, Fraction | str]) -> Worked:
    length = over_nothing(facts["screw.length"], "a screw length", "more than nothing, such as 1-5/8 in")
    board, between = _through(facts)
    left = length - board - between
    numbers = f"{inches(length)} - {inches(board)} - {inches(between)}"
    steps = [Step("penetration = length - board - what lies between", numbers, f"{inches(left)} in")]
    behind = f" and {inches(between)} in behind it" if between else ""
    if left < 0:
        steps.append(Step("penetration", "what is short of the framing counts as none", "0 in"))
        line = f"does not reach: a {inches(length)} in screw through {inches(board)} in of board{behind}"
        return Worked(Fraction(0), tuple(steps), line)
    line = f"{inches(left)} in: a {inches(length)} in screw through {inches(board)} in of board{behind}"
    return Worked(left, tuple(steps), line, ("the head is flush with the face of the board",))


def _shortest(facts: Mapping[str, Fraction | str]) -> Worked:
    framing = str(facts["framing.material"])
    reach = LEAST_REACH.get(framing)
    if reach is None:
        raise WorkingProblem(f"no board screw is listed for {framing} framing", "wood or steel", "beyond the sum")
    if framing == "wood" and facts["board.material"] in CEMENT_BOARDS:
        reach = CEMENT_REACH
    board, between = _through(facts)
    need = board + between + reach
    stock = next_step_up(need, STOCK_LENGTHS)
    if stock is None:
        raise WorkingProblem(
            f"{inches(need)} in is longer than the longest stock screw",
            f"up to {inches(STOCK_LENGTHS[-1])} in",
            "beyond the sum",
        )
    steps = (
        Step(
            "needed = board + what lies between + least penetration",
            f"{inches(board)} + {inches(between)} + {inches(reach)}",
            f"{inches(need)} in",
        ),
        Step("stock length", f"the next at or over {inches(need)}", f"{inches(stock)} in"),
    )
    line = f"{inches(stock)} in, the shortest that puts {inches(reach)} in into {framing} ({inches(need)} in needed)"
    return Worked(stock, steps, line, ("stock lengths are common practice, no source",))


def _rows(height: Fraction, sheet: Fraction, spacing: Fraction) -> int:
    """Screws up one stud: each course of sheets has a row at its foot, one at its head and those between."""
    courses, rest = divmod(height, sheet)
    screws = int(courses) * (whole_above(sheet / spacing) + 1)
    return screws + (whole_above(rest / spacing) + 1 if rest else 0)


def _for_a_wall(facts: Mapping[str, Fraction | str]) -> Worked:
    want = "more than nothing, such as 36 in"
    width = over_nothing(facts["place.width"], "a wall width", want)
    height = over_nothing(facts["place.height"], "a wall height", want)
    studs = over_nothing(facts["framing.spacing"], "a stud spacing", want)
    spacing = over_nothing(facts["screw.spacing"], "a screw spacing", want)
    sheet_width = over_nothing(facts["board.sheet width"], "a sheet width", want)
    sheet_height = over_nothing(facts["board.sheet height"], "a sheet height", want)
    lines = whole_above(width / studs) + 1
    seams = whole_above(width / sheet_width) - 1
    rows = _rows(height, sheet_height, spacing)
    number = (lines + seams) * rows
    steps = (
        Step("stud lines, both corners counted", f"{inches(width)} in / {inches(studs)} in, whole, + 1", f"{lines}"),
        Step(
            "further lines at upright seams, both edges fixed",
            f"{inches(width)} in / {inches(sheet_width)} in, whole, - 1",
            f"{seams}",
        ),
        Step(
            "screws up one line, both sides of each level seam",
            f"courses of {inches(sheet_height)} in in {inches(height)} in, every {inches(spacing)} in and at both edges",
            f"{rows}",
        ),
        Step("screws = lines x screws up one line", f"({lines} + {seams}) x {rows}", f"{number}"),
    )
    line = f"{number} screws for {inches(width)} x {inches(height)} in, studs at {inches(studs)} in"
    return Worked(
        Fraction(number), steps, line, ("upright seams fall on a stud or on blocking", "no openings taken off")
    )


def withdrawal_per_inch(gravity: Fraction, diameter: Fraction) -> Fraction:
    """Pounds that one inch of wood-screw thread in side grain holds: 2850 x G^2 x D (NDS 12.2.2)."""
    return 2850 * gravity**2 * diameter


def _withdrawal(facts: Mapping[str, Fraction | str]) -> Worked:
    species = usual_word(str(facts["framing.species"]))
    gravity = GRAVITY.get(species)
    if gravity is None:
        raise WorkingProblem(f"no specific gravity is kept for {species}", ", ".join(GRAVITY))
    diameter = over_nothing(facts["screw.diameter"], "a screw diameter", "more than nothing, such as 0.164 in")
    reach = not_negative(facts["screw.penetration"], "a penetration", A_LENGTH)
    each = withdrawal_per_inch(gravity, diameter)
    force = each * reach
    steps = (
        Step("W = 2850 x G^2 x D", f"2850 x {plain(gravity)}^2 x {plain(diameter)}", f"{plain(each)} lb per in"),
        Step("withdrawal = W x penetration", f"{plain(each)} x {inches(reach)}", f"{plain(force)} lb"),
    )
    line = f"{plain(force, 3)} lb of withdrawal from {species}, {inches(reach)} in of thread"
    return Worked(
        force, steps, line, ("side grain, dry", "what the framing holds; the board usually pulls over the head first")
    )


_NONE_BETWEEN = "nothing is written between the board and the framing"
_BOARD_DOWN = Input("board.thickness", "in", "down", never_below=Fraction(0))
_BOARD_UP = Input("board.thickness", "in", "up", never_below=Fraction(0))
_TABLE = {
    "from": "residential building code",
    "section": "R702.3.5.1",
    "edition": "not known",
    "known by": "read second-hand",
}

PENETRATION = Working(
    "fastener penetration",
    "screw.penetration",
    "in",
    (
        Input("screw.length", "in", "up"),
        _BOARD_DOWN,
        Input("screw.passes through", "in", "down", usual=Fraction(0), because=_NONE_BETWEEN),
    ),
    _penetration,
    {"from": "arithmetic", "section": "length less what it passes through", "edition": "", "known by": "computed"},
)
SHORTEST_STOCK = Working(
    "shortest stock screw",
    "screw.shortest stock length",
    "in",
    (
        Input("framing.material", "word", "words"),
        Input("board.material", "word", "words", every=BOARDS),
        _BOARD_UP,
        Input("screw.passes through", "in", "up", usual=Fraction(0), because=_NONE_BETWEEN),
    ),
    _shortest,
    _TABLE,
    "Cement board takes 3/4 in into wood, from memory; the stock lengths are common practice. A board's own sheet may ask for more.",
)
FOR_A_WALL = Working(
    "screws for a wall",
    "screw.number needed",
    "count",
    (
        Input("place.width", "in", "up"),
        Input("place.height", "in", "up"),
        Input("framing.spacing", "in", "down"),
        Input("screw.spacing", "in", "down"),
        Input("board.sheet width", "in", "down", usual=Fraction(60), because="sheets of 36 x 60 in laid level"),
        Input("board.sheet height", "in", "exact only", usual=Fraction(36), because="sheets of 36 x 60 in laid level"),
    ),
    _for_a_wall,
    {"from": "common practice, no source", "section": "", "edition": "", "known by": "practice"},
    places=WALLS,
)
WITHDRAWAL = Working(
    "screw withdrawal",
    "screw.withdrawal",
    "lb",
    (
        Input("framing.species", "word", "words", every=SPECIES),
        Input("screw.diameter", "in", "up"),
        Input("screw.penetration", "in", "up", never_below=Fraction(0)),
    ),
    _withdrawal,
    {
        "from": "national design specification for wood construction",
        "section": "12.2.2",
        "edition": "2018",
        "known by": "read second-hand",
    },
    "The specific gravities are from memory.",
    places=WALLS,
)
