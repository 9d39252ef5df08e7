"""What is entered in boxes is the amount that the trade would write."""

import pytest

from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.web.boxes import boxes_of, words_from


@pytest.mark.parametrize(
    ("fact", "entered", "says"),
    [
        ("screw.length", {"inches": "1", "eighths": "5/8"}, "1-5/8 in"),
        ("screw.length", {"inches": "1", "eighths": "1/8", "sixteenth": "yes"}, "1-3/16 in"),
        ("screw.length", {"eighths": "7/8"}, "7/8 in"),
        ("screw.length", {"eighths": "0"}, ""),
        ("screw.length", {"inches": "0", "eighths": "0"}, "0 in"),
        ("screw.length", {"inches": "1.625"}, "1.625 in"),
        ("screw.length", {"number": "41", "unit": "mm"}, "41 mm"),
        ("framing.span", {"feet": "13", "inches": "6", "eighths": "1/2"}, "13 ft 6-1/2 in"),
        ("framing.span", {"feet": "12"}, "12 ft"),
        ("framing.span", {"feet": "12", "bound": "at least"}, "at least 12 ft"),
        ("framing.span", {"typed": "12 to 12-1/2 ft", "feet": "9"}, "12 to 12-1/2 ft"),
        ("tile.size", {"side": "12", "other_side": "24", "unit": "in"}, "12 x 24 in"),
        ("film check.least wet film", {"number": "32", "unit": "mil"}, "32 mil"),
        ("place.fall", {"number": "1/4", "unit": "in per ft"}, "1/4 in per ft"),
        ("framing.deflection", {"number": "360", "unit": "L/"}, "L/360"),
        ("tile mortar.contact", {"number": "95", "unit": "%"}, "95 %"),
        ("board.meets", {"word": "ASTM C1325"}, "ASTM C1325"),
        ("board.material", {"pressed": "cement", "typed": "foam"}, "cement"),
    ],
)  # fmt: skip
def test_boxes_say_what_was_meant(loaded: LoadedBook, fact: str, entered: dict[str, str], says: str) -> None:
    about = loaded.vocabulary.fact(fact)
    if about is None:
        pytest.fail(f"no fact {fact}")
    assert words_from(about, {name: [value] for name, value in entered.items()}) == says


def test_every_amount_has_boxes_whose_units_are_read(loaded: LoadedBook) -> None:
    for fact in list(loaded.vocabulary.facts.values()):
        if fact.is_amount and fact.stated:
            boxes = boxes_of(fact)
            for unit in boxes.units if boxes.shape in ("amount", "length") else ():
                said = words_from(fact, {"number": ["360" if unit == "L/" else "1"], "unit": [unit]})
                assert amounts.read(said, fact.kind).kind == fact.kind, (fact.name, said)
