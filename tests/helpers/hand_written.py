"""Twenty rules of the real book as a programmer would write them by hand, one function a rule over a judged vector.

Each answers with the outcome, by the same table as the engine: whether it applies, whether it is met. They hold only in
places where each kind has one layer. What they say of a rule must be what the engine says, or the timing means nothing.
"""

from collections.abc import Callable

from paths import SAMPLES

from validator.assembly import read_assembly_file
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST

Judge = Callable[[list], Outcome]
NOT_APPLICABLE, PASS, NOTHING = Outcome.NOT_APPLICABLE, Outcome.PASS, Outcome.NOTHING
BREACH, FAILS_IF, OPEN, WAITS = Outcome.BREACH, Outcome.FAILS_IF, Outcome.OPEN, Outcome.WAITS
NONE, THERE = 1, 2
NO, YES = 1, 2


def outcome(sure: bool, met: bool, unmet: bool) -> Outcome:
    if met:
        return PASS if sure else NOTHING
    if unmet:
        return BREACH if sure else FAILS_IF
    return OPEN if sure else WAITS


def by_hand(loaded: LoadedBook) -> dict[str, Judge]:
    """The functions by the rule's name."""
    slot = loaded.vocabulary.slot
    limits = loaded.book.limits

    def words(name: str, *wanted: str) -> int:
        fact = loaded.vocabulary.fact(name)
        return sum(1 << fact.words.index(word) for word in wanted)

    def at_least(name: str, word: str) -> int:
        fact = loaded.vocabulary.fact(name)
        return words(name, *fact.words[fact.words.index(word) :])

    kind, new, floor, stone = slot("place.kind"), slot("job.work"), slot("place.is floor"), slot("tile.is stone")
    shower_floor = words("place.kind", "shower floor")
    wet_walls = words("place.kind", "shower wall", "tub surround wall")
    walls_and_ceiling = words("place.kind", "shower wall", "tub surround wall", "shower ceiling")
    work_new, renovation = words("job.work", "new"), words("job.work", "renovation")
    waterproofed, covers, membrane_kind = slot("place.needs waterproofing"), slot("membrane.covers"), slot("membrane.kind")
    steam, framing, board, screw = slot("place.needs steam-tight membrane"), slot("framing.material"), slot("board"), slot("screw")
    membrane, mortar, tile = slot("membrane"), slot("tile mortar"), slot("tile")

    curb, high = slot("curb"), slot("place.room floor is the high point")

    def room_floor_is_the_high_point(v: list) -> Outcome:
        if not v[kind] & shower_floor or not v[curb] & NONE:
            return NOT_APPLICABLE
        return outcome(v[kind] == shower_floor and v[curb] == NONE, v[high] == YES, not v[high] & YES)

    curb_fall, level_top = slot("curb.fall"), limits["least fall of a level top in a shower"].least

    def curb_top_falls_enough(v: list) -> Outcome:
        least, greatest = v[curb_fall]
        if greatest <= 0 or not v[curb] & THERE:
            return NOT_APPLICABLE
        return outcome(v[curb] == THERE and least > 0, least >= level_top, greatest < level_top)

    pan, pan_fall = slot("foam pan"), slot("foam pan.fall")
    flat, steep = limits["least fall of a shower floor"].least, limits["greatest fall of a shower floor"].greatest

    def pan_built_with_the_right_fall(v: list) -> Outcome:
        if not v[pan] & THERE:
            return NOT_APPLICABLE
        least, greatest = v[pan_fall]
        return outcome(v[pan] == THERE, least >= flat and greatest <= steep, greatest < flat or least > steep)

    bed, bed_fall = slot("mortar bed"), slot("mortar bed.fall")

    def bed_falls_to_the_drain(v: list) -> Outcome:
        if not v[kind] & shower_floor or not v[bed] & THERE:
            return NOT_APPLICABLE
        least, greatest = v[bed_fall]
        sure = v[kind] == shower_floor and v[bed] == THERE
        return outcome(sure, least >= flat and greatest <= steep, greatest < flat or least > steep)

    panel, glued = slot("subfloor panel"), slot("subfloor panel.glued")

    def panels_are_glued(v: list) -> Outcome:
        if not v[floor] & YES or not v[new] & work_new or not v[panel] & THERE:
            return NOT_APPLICABLE
        return outcome(v[floor] == YES and v[new] == work_new and v[panel] == THERE, v[glued] == YES, not v[glued] & YES)

    wood, sound = words("framing.material", "wood"), slot("framing.sound")

    def old_framing_is_sound(v: list) -> Outcome:
        if not v[new] & renovation or not v[framing] & wood:
            return NOT_APPLICABLE
        return outcome(v[new] == renovation and v[framing] == wood, v[sound] == YES, not v[sound] & YES)

    sheet, lap, least_lap = words("membrane.kind", "sheet"), slot("membrane.seam lap"), limits["least lap of band beside a joint"].least

    def sheet_membrane_seams_lap(v: list) -> Outcome:
        if not v[waterproofed] & YES or not v[membrane_kind] & sheet or not v[membrane] & THERE:
            return NOT_APPLICABLE
        least, greatest = v[lap]
        sure = v[waterproofed] == YES and v[membrane_kind] == sheet and v[membrane] == THERE
        return outcome(sure, least >= least_lap, greatest < least_lap)

    poured, whole = words("membrane.kind", "liquid", "trowel-on cement"), words("membrane.covers", "whole face")
    coat, dry = slot("membrane.first coat"), words("membrane.first coat", "dry")

    def first_coat_of_membrane_dries(v: list) -> Outcome:
        said, face = v[membrane_kind], v[covers]
        if not v[waterproofed] & YES or not said & poured or not face & whole or not v[membrane] & THERE:
            return NOT_APPLICABLE
        sure = v[waterproofed] == YES and said & poured == said and face == whole and v[membrane] == THERE
        return outcome(sure, v[coat] == dry, not v[coat] & dry)

    steam_rated = slot("membrane.steam rated")

    def steam_membrane_sold_for_steam(v: list) -> Outcome:
        if not v[steam] & YES or not v[membrane] & THERE:
            return NOT_APPLICABLE
        return outcome(v[steam] == YES and v[membrane] == THERE, v[steam_rated] == YES, not v[steam_rated] & YES)

    grout, grout_kind, sanded, joint = slot("grout"), slot("grout.kind"), slot("grout.sanded"), slot("grout.joint")
    cement, narrow = words("grout.kind", "cement", "modified cement"), limits["greatest unsanded joint"].greatest

    def unsanded_grout_fills_narrow_joints(v: list) -> Outcome:
        said = v[grout_kind]
        if not said & cement or not v[sanded] & NO or not v[grout] & THERE:
            return NOT_APPLICABLE
        least, greatest = v[joint]
        sure = said & cement == said and v[sanded] == NO and v[grout] == THERE
        return outcome(sure, greatest <= narrow, least > narrow)

    mortar_bed, thin, least_bed = slot("tile mortar.bed thickness"), limits["greatest bed of ordinary mortar"].least, limits["least bed under set tile"].least

    def set_mortar_is_thick_enough(v: list) -> Outcome:
        least, greatest = v[mortar_bed]
        if least >= thin or not v[mortar] & THERE:
            return NOT_APPLICABLE
        # What it asks and where it applies are cuts of one fact: a bed too thick to be asked about is none too thin.
        if least >= least_bed:
            return outcome(greatest < thin and v[mortar] == THERE, True, False)
        return outcome(greatest < thin and v[mortar] == THERE, False, greatest < least_bed)

    contact, for_stone = slot("tile mortar.contact"), limits["least contact of stone"].least

    def stone_is_best_fully_bedded(v: list) -> Outcome:
        least, greatest = v[contact]
        if not v[stone] & YES or greatest < for_stone or not v[tile] & THERE or not v[mortar] & THERE:
            return NOT_APPLICABLE
        sure = v[stone] == YES and least >= for_stone and v[tile] == THERE and v[mortar] == THERE
        return outcome(sure, least >= 2_882_880_000, greatest < 2_882_880_000)

    material, retarder = slot("board.material"), slot("vapour retarder")
    stops_vapour = words("board.material", "glass-mat gypsum", "foam")

    def coated_board_has_no_plastic_behind(v: list) -> Outcome:
        place, of = v[kind], v[material]
        if not place & wet_walls or not of & stops_vapour or not v[steam] & NO or not v[board] & THERE:
            return NOT_APPLICABLE
        sure = place & wet_walls == place and of & stops_vapour == of and v[steam] == NO and v[board] == THERE
        return outcome(sure, v[retarder] == NONE, not v[retarder] & NONE)

    spacing, wide = slot("framing.spacing"), limits["greatest framing spacing behind wall board"].greatest
    studs = words("framing.material", "wood", "steel")

    def studs_behind_wall_board_are_close_enough(v: list) -> Outcome:
        place, of = v[kind], v[framing]
        if not place & wet_walls or not v[board] & THERE or not of & studs:
            return NOT_APPLICABLE
        least, greatest = v[spacing]
        sure = place & wet_walls == place and v[board] == THERE and of & studs == of
        return outcome(sure, greatest <= wide, least > wide)

    exposure, damp, rustless = slot("place.exposure"), at_least("place.exposure", "limited water"), slot("screw.corrosion resistant")

    def board_screws_do_not_rust(v: list) -> Outcome:
        water = v[exposure]
        if not water & damp or not v[board] & THERE or not v[screw] & THERE:
            return NOT_APPLICABLE
        sure = water & damp == water and v[board] == THERE and v[screw] == THERE
        return outcome(sure, v[rustless] == YES, not v[rustless] & YES)

    fixed, screws, both = slot("board.fixed with"), words("board.fixed with", "screws"), slot("screw.both sides of seams")

    def screws_stand_on_both_sides_of_seams(v: list) -> Outcome:
        place = v[kind]
        if not place & walls_and_ceiling or not v[fixed] & screws or not v[board] & THERE or not v[screw] & THERE:
            return NOT_APPLICABLE
        sure = place & walls_and_ceiling == place and v[fixed] == screws and v[board] == THERE and v[screw] == THERE
        return outcome(sure, v[both] == YES, not v[both] & YES)

    surface, wooden = slot("place.bonding surface"), words("place.bonding surface", "OSB", "other wood")

    def tile_sticks_to_no_osb(v: list) -> Outcome:
        face = v[surface]
        return outcome(True, not face & wooden, face & wooden == face)

    slab, slab_sound = slot("slab"), slot("slab.sound")

    def old_concrete_is_sound(v: list) -> Outcome:
        if not v[floor] & YES or not v[new] & renovation or not v[slab] & THERE:
            return NOT_APPLICABLE
        sure = v[floor] == YES and v[new] == renovation and v[slab] == THERE
        return outcome(sure, v[slab_sound] == YES, not v[slab_sound] & YES)

    edge, large, buttered = slot("tile.longest edge"), 381_000_001, slot("tile mortar.back-buttered")

    def large_tile_is_skimmed_on_the_back(v: list) -> Outcome:
        least, greatest = v[edge]
        if (greatest < large and not v[stone] & YES) or not v[tile] & THERE or not v[mortar] & THERE:
            return NOT_APPLICABLE
        sure = (least >= large or v[stone] == YES) and v[tile] == THERE and v[mortar] == THERE
        return outcome(sure, v[buttered] == YES, not v[buttered] & YES)

    accessible, opening, least_opening = slot("accessible shower"), slot("place.access opening"), limits["least opening of a shower"].least

    def opening_wide_enough(v: list) -> Outcome:
        if not v[kind] & shower_floor or not v[accessible] & NONE:
            return NOT_APPLICABLE
        least, greatest = v[opening]
        sure = v[kind] == shower_floor and v[accessible] == NONE
        return outcome(sure, least >= least_opening, greatest < least_opening and greatest != NO_GREATEST)

    return {judge.__name__.replace("_", "-"): judge for judge in (
        room_floor_is_the_high_point, curb_top_falls_enough, pan_built_with_the_right_fall, bed_falls_to_the_drain,
        panels_are_glued, old_framing_is_sound, sheet_membrane_seams_lap, first_coat_of_membrane_dries,
        steam_membrane_sold_for_steam, unsanded_grout_fills_narrow_joints, set_mortar_is_thick_enough,
        stone_is_best_fully_bedded, coated_board_has_no_plastic_behind, studs_behind_wall_board_are_close_enough,
        board_screws_do_not_rust, screws_stand_on_both_sides_of_seams, tile_sticks_to_no_osb, old_concrete_is_sound,
        large_tile_is_skimmed_on_the_back, opening_wide_enough,
    )}  # fmt: skip


def places_of_samples(loaded: LoadedBook) -> list[DerivedPlace]:
    """Every place of every sample, with what follows of it."""
    assemblies = (read_assembly_file(path, loaded.vocabulary, loaded.catalogue) for path in sorted(SAMPLES.glob("*.yaml")))
    subjects = [subject for each in assemblies for option in each.to_judge() for subject in option.subjects]
    return [loaded.engine.derive(subject) for subject in subjects if subject.sort == "place"]
