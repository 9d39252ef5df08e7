"""What a tape, a bag or a drawing says, held exactly: "1-5/8 in", "13'-6\\"", "20 mil", "1/4 in per ft", "L/360", "14 to 16 ft".

An amount is a range of whole steps of its kind (a length counts nanometres); an exact amount is a range of one step.
`read` takes trade notation, `show` and `show_range` print it again, the author's unit first and the other system in brackets.
Nothing passes through binary floating point on the way.
"""

from validator.language.amounts.kinds import KINDS, NO_GREATEST, NO_LEAST, Amount, AmountProblem, Kind, Unit
from validator.language.amounts.notation import exact, read, read_size
from validator.language.amounts.printing import read_alike, show, show_range

__all__ = [
    "KINDS",
    "NO_GREATEST",
    "NO_LEAST",
    "Amount",
    "AmountProblem",
    "Kind",
    "Unit",
    "exact",
    "read",
    "read_alike",
    "read_size",
    "show",
    "show_range",
]
