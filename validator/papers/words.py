"""The words of the page, the drawing, the card and the review sheet, in one place, so that another language could stand here."""

from validator.judging.report import DEFERENCE
from validator.rulebook.sources import KNOWN_BY

__all__ = ["DEFERENCE"]
NOTE = "note"

# -- the drawing ----------------------------------------------------------------------------------------------------------------
WET_FILM = ", wet"
TOLD = {
    "membrane.coats": "coats: {}", "grout.joint": "joint {}", "screw.spacing": "{} apart", "framing.spacing": "{} on center",
    "framing.span": "span {}", "membrane.height above drain": "up to {} above the drain", "liner.height above threshold": "{} above the threshold",
    "liner.height above drain": "up to {} above the drain", "board.bottom edge": "bottom edge {}", "board.gap at bottom": "gap of {} below it",
    "vapour retarder.lap length": "laps {}", "membrane.seam lap": "seams lap {}", "subfloor panel.category": "panel {}", "tile.size": "{}",
}  # fmt: skip
NOT_STATED = "thickness not stated"
DRAWN = "drawn {} times its thickness"
DRAWN_AS_LINE = "drawn as a line"
CUT_SHORT = "cut short"
NOT_TO_SCALE = "not to scale"
MAYBE = "may not be there"
GAP = "something here is not described"
NOTHING_DESCRIBED = "No layers are described."
PENETRATION = "{} into the framing"
SCREW_LENGTH = "length not stated"
SECTION = "Section: {}"
SECTION_DESC = "Cross-section, {}. {}."
FROM_STRUCTURE = "from the structure outwards"
FALL = "fall {}"
FALL_UNSURE = "fall {}, which way not stated"
LEVEL_CUT = "cut level, seen from above"
FASTENERS = "Fasteners, from the face: {}"
FASTENERS_DESC = "The framing and its fasteners seen from the face, to scale: fasteners {} apart, framing {} on center."
FROM_BELOW = "cut upright, the room below"
CUT_AT = "cut at {}, as on the plan"
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # I and O read as figures
FALL_MEASURED = "measured {}"
FALL_NOT_STATED = "fall not stated"
TO = " to "
TO_DRAIN = "to the drain"
WHOLE_PLACE = "of the place as a whole"
MARKED = "marked: {}"
QUESTION, QUESTIONS = "question {}", "questions {}"
REINFORCED = "reinforced"
PLAN = "Plan: {}"
PLAN_DESC = "Plan of {}, {}. {}."
SIZE_NOT_STATED = "size not stated"
WALL_NOT_STATED = "which wall not stated"
SIDE_NOT_STATED = "side not stated"
DRAIN = "drain"
CLAMPED = "clamping ring"
CURB = "curb"
OPENING = "opening {}"
NO_CURB = "no curb"
JOINT_LINES = "movement joints every {}"
PERIMETER = "soft joint at the perimeter"
GRID = "tile {}, grid drawn from a corner"
POSITION_NOT_STATED = "drain position not stated"
JUNCTIONS = "Junctions and details"
JUNCTIONS_OF = "Junctions and details, {} of {}"
JUNCTIONS_DESC = "Details, enlarged and not to scale. {}."
LAP = "lap {}"
GAP_WIDE = "gap {}"
LINER_OVER = {"over and down outside": "liner over it and down outside", "over the top": "liner over its top", "cut short": "liner cut short of its top"}
GLASS = "glass stands on it"
TRIM = "trim: {}"
EDGE_NOT_STATED = "flashing, drip and upturn at the door: not stated"
COVER_NOT_STATED = "not stated whether the waterproofing covers it"
PARTS = {  # what is told of each, in this order
    "curb": {"material": "{}", "height above drain": "{} above the drain", "below sides": "{} below the sides", "fall": "top falls {}",
             "corners": "corners {}", "bedded": "bedded {}", "covered whole": "", "pierced": ""},
    "niche": {"material": "{}", "fall": "sill falls {}", "covered whole": ""},
    "bench": {"material": "{}", "fall": "seat falls {}", "covered whole": "", "pierced": ""},
    "movement joint": {"width": "{} wide", "depth": "{} deep", "filled with": "filled: {}",
                       "backing": "behind the filling: {}", "to substrate": "", "at perimeter": "", "perimeter gap": "{} at the perimeter"},
    "shower glass": {"door": "door: {}", "safety glass": "", "on blocking": "", "screws sealed": ""},
    "drain": {"kind": "{}", "shape": "{}", "bonded width": "bonded {} wide", "flange level": "flange {}", "weeps protected": "",
              "weeps clear": ""},
}  # fmt: skip
YES_NO = {
    "covered whole": {"yes": "waterproofing covers all of it", "no": "waterproofing does not cover all of it"},
    "pierced": {"yes": "fasteners go through the waterproofing", "no": "nothing goes through the waterproofing"},
    "safety glass": {"yes": "safety glass", "no": "no safety glass"},
    "on blocking": {"yes": "hinges on solid blocking", "no": "hinges not on blocking"},
    "screws sealed": {"yes": "screws sealed", "no": "screws not sealed"},
    "to substrate": {"yes": "through to what the mortar lies on", "no": "in the tile only"},
    "at perimeter": {"yes": "at the perimeter too", "no": "none at the perimeter"},
    "weeps protected": {"yes": "weep holes protected", "no": "weep holes not protected"},
    "weeps clear": {"yes": "weep holes clear", "no": "weep holes not clear"},
}  # fmt: skip
TAPE = "tape: {}"
BEDDED = "{}, in {}"
JUNCTION_COATS = "coats: {}"
FIRST_COAT = "first coat {}"
FILLED = "filled: {}"
SEALANT = "sealant: {}"
COLLAR = "collar: {}"
SEALED = {"yes": "sealed", "no": "not sealed"}
NOTHING_STATED = "nothing stated"
KIND_NOT_STATED = "kind not stated"
BALLOON_KEY = (("fail", "fails"), ("warn", "second look"), ("open", "question"), ("note", "note"))

# -- the page -------------------------------------------------------------------------------------------------------------------
LANGUAGE = "en"
WHOLE_JOB = "The whole job"
KNOWN = {**KNOWN_BY, "practice": "common practice, no source"}
OUTCOMES = {"fail": "Fail", "warn": "Warn", "open": "Open", "note": "Note", "pass": "Pass"}
STRICTLY = "Strictly: {}. Answers to the open questions could still change this."
COUNTED = (("failed", "fail"), ("warned", "warn"), ("open", "open"), ("passed", "pass"), ("waiting", "waiting on a question"),
           ("not_applicable", "not applicable"))  # fmt: skip
COULD = {"fail": "Could fail", "warn": "Could be a warning", "advice": "Good to know"}
PAGE = {
    "outside": "Outside this book", "first": "What fails and what to look at again", "usual": "Taken as usual", "presumed": "Taken as not there because not written", "look_again": "Look again at", "found": "Found",
    "needed": "Needed", "put_right": "Put right", "matter": "Warranty matter", "more": "Source and workings", "source": "Source",
    "worked_out": "Worked out", "follows": "Follows from", "leans": "Leans on, taken as not there", "facts": "What this leans on",
    "decided": "Decided by the book", "look": "Look", "knows": "Who knows", "waits": "Waiting on this answer",
    "margins": "How close to the limits, closest first",
    "further": "Further questions, for rules that may not apply here", "passes": "Appendix: what passes", "cautions": "Cautions",
    "perhaps": "Cautions that may apply", "not_said": "Good practice, of which nothing is written", "not_checked": "Not checked",
    "books": "Books", "edition": "edition", "fingerprint": "fingerprint", "report": "Report fingerprint",
    "nothing": "Nothing to put right and nothing to ask here.",
    "fact": "Fact", "value": "Value", "whence": "Whence", "shown_by": "Shown by", "dated": "Date",
    "on_drawing": "{}, on the drawing", "questions": "{} questions here", "drawings": "Drawings", "listed": "{} lines of {} requirements",
}  # fmt: skip

SINCE = {"changed": "What was changed", "closed": "Closed since then", "new": "New"}

# -- the installer's card -------------------------------------------------------------------------------------------------------
HOLD_POINTS = (
    "Structure and substrate", "Slope, pan or liner, curb and drain", "Backing and fasteners", "Waterproofing, before water",
    "Water test and other measured checks", "First tiles lifted", "Grout and movement joints", "Cure, protection and release",
)  # fmt: skip
CARD = {
    "title": "Installer's card: {}", "cautions": "First: look after yourself", "do": "Do this", "ask": "Find this out",
    "check": "Check before the next step hides it", "photograph": "Photograph", "photographed": "Photographs named already",
    "buy": "Buy", "wait": "Wait", "not_counted": "Could not be counted", "perhaps": "Cautions that may apply",
    "usual_waste": "The usual waste is counted: common practice, no source. What was assumed of bags and pails stands in the buying list.",
    "head": ("{} thing to do, in {}.", "{} things to do, in {}."), "head_ask": "To find out: {}.", "steps": ("step {}", "steps {}"),
    "nothing": "Nothing to put right.",
    "nothing_yet": "Nothing fails for sure, and much of it is not known: find out first what is asked below.",
    "past": ("{} check is of a step that is past, and stands in the report.", "{} checks are of steps that are past, and stand in the report."),
    "everywhere": "everywhere",
}  # fmt: skip
STEPS = {
    "structure": "Framing and substrate", "liner": "Sloped fill and liner", "bed": "Bed, pan and fall", "boards": "Boards",
    "seams": "Seams and corners", "waterproofing": "Waterproofing", "flood test": "Flood test", "setting": "Setting the tile",
    "grouting": "Grouting", "joints": "Sealing the joints", "cure": "Cure, before it is used",
}  # fmt: skip
NOT_BEFORE = "not before "
AT_THE_START = "at the start"
AFTER = "{} after the start"
DAYS = ("{} day", "{} days")
PHOTOGRAPHS = (
    ("slab", "The slab, with the straightedge on it"),
    ("subfloor panel", "The subfloor, fasteners and gaps, before it is covered"),
    ("foam pan", "The mortar under the pan, and the pan weighted"),
    ("pre-slope", "The sloped fill with a level on it"),
    ("liner", "The liner at corners, curb and drain, before it is covered"),
    ("mortar bed", "The bed with a level on it, and its depth at the drain"),
    ("board", "Boards and their stamps, gaps and seams before tape"),
    ("screw", "Screws: a full box label, the spacing, and the heads"),
    ("tape", "Tape bedded, before the first coat"),
    ("membrane", "Each coat of the membrane whole, corners and pipe holes close up, the wet-film gauge in the film"),
    ("drain", "The drain's flange before and after it is sealed"),
    ("flood test", "The water line marked, at the start and at the end, and the ceiling below"),
    ("heat", "Heating cable with the meter's reading, before it is covered"),
    ("movement joint", "Movement joints open, with their backing, before sealant"),
    ("tile", "A tile lifted from fresh mortar, both faces"),
)  # fmt: skip
ALWAYS_PHOTOGRAPHED = ("Every bag, pail and tube label with its date code",)

# -- the review sheet -----------------------------------------------------------------------------------------------------------
RESULTS = {"fail": "F", "warn": "second look", "open": "cannot tell", "pass": "P", "advice": "for record"}
RESULT_KEY = (("P", "no exception found against the books listed"), ("F", "not met"),
              ("second look", "not met by practice or memory"),
              ("cannot tell", "not stated"), ("for record", "advice, not counted"))  # fmt: skip
ACTIONS = {"fail": "Revise and resubmit", "warn": "Exceptions noted", "open": "Submit specified item", "pass": "No exceptions taken",
           "advice": "For record"}  # fmt: skip
ACTION_WORDS = ("No exceptions taken", "Exceptions noted", "Revise and resubmit", "Rejected", "Submit specified item", "Not reviewed",
                "For record")  # fmt: skip
PARAGRAPH_BLANK = "________"
ON_WHOSE_WORD = {  # where nothing is offered to show it; where something is, for part of it
    "product card": ("declared by the product's card", "partly declared by the product's card"),
    "stated": ("stated, and nothing offered to show it", "partly stated only"),
}
WORKED_OUT = "worked out; its steps stand in the sheet of sums"
CODES = {"residential": "the residential code", "international": "the international building and plumbing codes", "uniform": "the uniform plumbing code"}
REVIEW = {
    "title": "Review sheet: {}", "submittal": "Submittal {}, revision {}", "lines": "Requirements", "points": "Hold points, in order of construction",
    "deviations": "Deviations", "full": "Deviations in full", "requests": "Requests for information", "closeout": "Closeout", "signatures": "Signatures",
    "met": "Appendix: what was looked at besides, by chapter", "drawings": "Drawings", "changes": "What was changed since the last submission",
    "standings": "Numbers of earlier submissions", "how": "How to read this sheet", "asked": "requests for information",
    "suggested": "Suggested actions only; the reviewer picks. Words in use: {}.", "key": "Results: {}.",
    "practice": "Action words and hold points are common practice, no source; each hold point is the project's own.",
    "numbers": "D a deviation, R a request, C a contradiction in what is written. A number stays with its matter in every later submission.",
    "none": "None.", "limits": "Limits of this review", "sheet": "Sheet", "which": "Which is so?", "closed": "closed in revision {}",
    "opened": "opened with this submission", "stamp": "Space for the reviewer's own stamp", "stamp_note": "Nothing printed on this sheet is a decision.",
    "only_read": "Read in {} only; the text of {} was not read for this",
    "own_code": "Judged under {}: every code cited here is of that family.",
    "other_code": "Judged under {}: of its own text {} of the {} requirements that rest on a code were read; the others say whose text was read.",
    "uncoded": "Judged under {}; no requirement here rests on the text of a code.",
    "stands": "{}, drawing {}", "note": "Reviewer", "sources": "Sources, by their numbers on this sheet", "point": "hold point {}",
    "evidence": "Where no evidence is named, it is stated, and nothing is offered to show it.",
    "no_code": "The family of codes that the work is under is not stated; each source says whose text was read.",
}  # fmt: skip
REVIEW_COUNTS = (("fail", "not met"), ("warn", "for a second look"), ("open", "cannot be told"), ("pass", "met"))
REVIEW_HEADING = {"assembly": "Assembly", "section": "Specification section", "submittal": "Submittal no.", "revision": "Revision",
                  "code": "Family of codes", "date": "Date", "books": "Rulebooks", "report": "Report fingerprint"}  # fmt: skip
REVIEW_BLANKS = ("Project", "Location or area")
DEVIATION_COLUMNS = ("No.", "Result", "Place", "Requirement", "Needed", "Found", "Section and paragraph", "Drawing", "Action suggested",
                     "Reviewer: action and note")  # fmt: skip
FULL_COLUMNS = ("No.", "Effect on other work", "What would put it right", "Effect on warranty", "Source", "Evidence offered", "First told in revision",
                "Decision, until")  # fmt: skip
REQUEST_COLUMNS = ("No.", "Place", "Question", "Where to look", "Who knows", "If not shown", "First asked in revision", "Answer", "By, date", "Closed")
CHANGE_COLUMNS = ("Place", "What was changed")
STANDING_COLUMNS = ("No.", "Place", "About", "Now", "First told in revision")
POINT_COLUMNS = ("No.", "Hold point", "Site values", "Deviations here", "Released by, date, time")
LINE_COLUMNS = ("Result", "Place", "Requirement", "Found", "Section and paragraph", "Drawing", "Source", "Evidence offered", "Hold pt", "Reviewer's note")
EVERY_COLUMNS = ("No.", "Chapter", *LINE_COLUMNS[:3], "Needed", *LINE_COLUMNS[3:9], "Action suggested", "Reviewer: action and note")
CLOSEOUT_COLUMNS = ("Item", "Received", "By, date")
SIGNATURES = ("Contractor", "Installer", "Reviewer")
HOLD_BLANKS = (
    ("Span and spacing", "Over 10 ft", "Over 2 ft", "Moisture, method and value"),
    ("Fall, least and greatest", "Curb above drain", "Drain set and joined"),
    ("Screw and penetration", "Spacing", "Gaps and seams"),
    ("Coats", "Wet film, least", "Corners and pipe holes", "Drain bond"),
    ("Water in, time and depth", "Water out, time and depth", "Temperature", "Seen from below", "Test's name"),
    ("Contact, where and %", "Tiles lifted", "Back-buttered"),
    ("Joint width", "Sealant and backing", "Spacing"),
    ("Grouted, date", "Traffic from", "Water from"),
)  # fmt: skip
CLOSEOUT = (
    "As-built joint and drain locations", "Test records", "Product and lot list", "Reviewed submittals", "Installer's credential",
    "Maintenance instructions", "Warranty and proof of registration", "Attic stock receipt", "Photographs of hidden layers",
)  # fmt: skip

# -- the clerk's letter and the case sheet --------------------------------------------------------------------------------------
# Why each kind of condition matters, in one line; what would show it where the document names nothing; who looks, which is
# common practice.
WHY_ASKED = {
    "scope": "The document speaks only of some places, uses and days; this tells whether it speaks of yours.",
    "by standard": "Tile hides it, and it cannot be looked at afterward.",
    "by general qualification": "The document asks who did the work, and what shows that they know the trade.",
    "administrative": "The document asks for it by a day or in a form. That it is late or missing decides nothing by itself.",
    "evidence": "It shows what can no longer be seen, or what was bought.",
}
ASKED_FOR = {
    "scope": "Where the work is, and what it is for", "by standard": "Answers to the questions below",
    "by general qualification": "Who did the work", "administrative": "A dated paper of it", "evidence": "What shows it",
}
WOULD_DO = {
    "scope": "Any dated paper that shows it, or a signed word.",
    "by standard": "A photograph, a label or a dated note that shows it.",
    "by general qualification": "A copy of the card or certificate, or the number and who gave it.",
    "administrative": "Any other dated paper that shows the same.",
    "evidence": "Any other dated paper or photograph that shows the same.",
}
CLERK, TECHNICAL, SENIOR = "the clerk", "a technical reviewer", "a senior person"
WHO_LOOKS = {
    "shown": f"{CLERK}, who ticks what was seen", "does not arise": CLERK, "not met": TECHNICAL,
    "taken as usual": f"{CLERK}, who looks whether anything speaks against it",
    "outside the stated scope": f"{TECHNICAL}, then {SENIOR}", "for a person to decide": SENIOR,
    "not shown": f"{CLERK} asks; then looks again", "not shown, by standard": f"{CLERK} asks; then {TECHNICAL}",
    "for a person to decide, by standard": TECHNICAL, "tied": f"{SENIOR}, with counsel where the caution applies",
}  # fmt: skip
BLANK = "_" * 24
BOX, TICK = "[ ]", "\u2610"  # to tick, as text and on paper
LETTER = {
    "title": "Request for information: {}", "about": "About: {}, revision {}.",
    "nothing_refused": "Nothing has been refused and nothing is decided. The papers at hand do not show what stands below, "
    "and we ask for all of it at once. Send what you have. Where you have nothing, say so, and a person here looks at it.",
    "nothing_missing": "Nothing is missing from the papers for what the document asks. This is no decision: a person makes it.",
    "only_claimed": "Everything the document asks is stated, but nothing at hand shows what stands below. This is no decision: a person makes it.",
    "only_taken": "Nothing is asked for. Some of it is only taken as usual, and stands below. This is no decision: a person makes it.",
    "nothing_due": "Nothing is asked for now. What is not due yet stands below. This is no decision: a person makes it.",
    "to_show": "Tile hides it now, so that a photograph, a note or a label shows it, or a word from whoever did it:",
    "taken": "Taken as it usually is, since nobody says otherwise: {}. Tell us if any of it was otherwise.",
    "later": "Not asked for yet, and lost if nobody keeps it: {}. Keep a photograph, a note or the paper of each.",
    "claimed": "Stated, and nothing at hand shows it: {}. Please send what shows it, if you have it.",
    "says": "The document says: {}.", "also": "It serves as well for: {}.", "for_clause": " (for clause {})", "how_built": "How it is built",
    "clause": " (clause {})", "why": "Why it matters: {}", "for": "Asked for: {}.", "read": "What we read: {}",
    "again": "The answers under {} serve here too.", "would_do": "What would do: {}",
    "otherwise": "If that is not so, tell us how it is.",
    "here": "Looked at by a person here", "no_need": "You need send nothing for these now.",
    "instead": "If something else shows the same, send that instead.",
    "footer": "This letter concerns the stated conditions of one document and states no legal rights.",
    "draft": "A draft from the papers: whoever signs it has read it and fills in the blanks.",
}  # fmt: skip
LETTER_HEAD = ("Case no.", "Date", "To")
LETTER_BY = "Please answer by"
LETTER_FOOT = ("Signed", "How to reach us")
CASE = {
    "title": "Case sheet: {}", "document": "Document: {}, revision {}; in force {}.", "programme": "Programme: {}.",
    "every": "Asked for every term", "gives": "Gives {}, for {}.", "shown": "Shown", "not_shown": "Not shown",
    "reason": "Why: {}", "offered": "Offered: {}.", "only_stated": "Stated, with nothing offered to show it: {}.",
    "evidence": "[ ] Seen: {}", "who": "Who looks: {}.", "caution": "Caution: {} ({}.)",
    "terms": "Terms", "technical": "The work itself: {} Worst known: {}. Worst if what is open goes badly: {}.", "taken": "Taken as usual: {}.",
    "none": "nothing", "same": "the same", "by_hand": "Not looked at here; by hand", "outcome": "Outcome, picked by a person",
    "reason_blank": "Reason", "prints": "Book {}, edition {}, fingerprint {}.", "print": "Report fingerprint {}.",
    "practice": "Who looks, the checks by hand and the outcomes are common practice, no source. Nothing is picked here.",
}  # fmt: skip
CASE_HEAD = ("Case no.", "Received", "Term asked for")
CASE_BY_HAND = (
    "No other case for the same site, invoice or lot numbers", "Names on form, invoice and certificate agree",
    "Labels are legible, and their lot numbers and use-by days agree with the invoice", "Photographs fall within the days of the work",
    "Form, invoice and photographs do not contradict each other",
)  # fmt: skip
CASE_OUTCOMES = (
    "accept", "accept a lower term", "request information", "hold for technical review", "outside as stated", "duplicate or withdrawn",
)  # fmt: skip
CASE_FOOT = ("Clerk, date", "Second look by, date (without seeing the first outcome)")

# -- the book -------------------------------------------------------------------------------------------------------------------
BOOK = {
    "find": "Find rules, limits, facts and sources by their words", "found": "found", "applies": "Applies", "requires": "Requires",
    "or_else": "Or else", "because": "Because", "breach": "A breach", "shows": "Shows as", "limits": "Limits and rows", "note": "Note", "replaces": "Replaces",
    "reads": "Reads", "cases": "Tried on {} cases", "case": "Case", "says": "What it says", "expect": "Comes to", "amendments": "Amendments",
    "asked": "For", "answer": "Answer", "used_by": "Read by", "no_rule": "no rule", "wherever": "Wherever", "known": "Known by:",
    "nothing_rests": "nothing rests on it", "rules": "Rules:", "tables": "Limits and tables:", "follows": "Consequences:",
    "for_each": "; judged once for each {}", "takes_out": "Takes out", "counts": "{} rules, {} limits, {} schedules, {} consequences.",
    "deference": "Local code, the product's own instructions and licensed practice come first; this book takes the place of none of them.",
    "parts": (("limits-and-tables", "Limits and tables"), ("consequences", "What follows from what"), ("facts", "Facts, and who reads them"),
              ("sources", "Register of sources"), ("not-checked", "Not checked")),
}  # fmt: skip
# -- the inspection sheet ---------------------------------------------------------------------------------------------------------

INSPECTION = {
    "title": "Inspection sheet: {}",
    "reported": "What was reported",
    "not_seen": "looked for, and not seen",
    "unread": "nothing here reads: {}",
    "nothing": "Nothing is reported under `seen:`.",
    "photograph": "Photograph, before anything is opened",
    "keep": "Keep",
    "take_care": "Take care",
    "looks": "Looks, in order: what opens nothing and costs least comes first",
    "looks_note": "Stop where the causes below are told apart. What one opening answers stands in its row together.",
    "opens": {"nothing": "Opens nothing", "a trace": "Opens a trace", "a piece": "Opens a piece", "the work": "Opens the work"},
    "against": "Held against: {}",
    "care": "Take care: {}",
    "causes": "What could explain it, in order",
    "not_met": "Not met as far as it is written",
    "found": "Found",
    "needed": "needed",
    "write": "Write into the file",
    "speaks_for": "For",
    "against_it": "Against",
    "told_by": "Told by",
    "more": "and {} more of this cause",
    "further": "{} further causes stand in the list that `causes --all` prints.",
    "outside": "Outside this book, where the pattern points",
    "who": "Who looks",
    "no_faults": "Often taken for a failure, and none",
    "unless": "It is one if",
    "ruled_out": "Ruled out, since surely met by what is stated",
    "terms": "Touches",
    "after": "After the looks, write each reading into the file and ask for the causes again: what is surely met falls away.",
    "signed": "Read by",
}
INSPECTION_BLANKS = ("Property", "Day and hour", "Inspected by", "Present", "Weather, and when it was last used", "Instruments")
LOOK_COLUMNS = ("No.", "Look", "How it is understood", "Tells of cause", "Where, and reading")
