"""Words that the language checks and the grading of safety messages go by.

Data, and how a text is taken apart into words. Our own lists, from common trade use; no dictionary is copied.
"""

import re
from functools import lru_cache


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# the first word of an instruction
VERBS = _words("""
add adjust align allow apply ask attach bend bleed block blow bolt brush cap carry catch centre change charge
check chock choose clamp clean clear climb clip close collect compare compress connect count cover crank cut disconnect do drain
draw drive dry empty extend feel fill find fit fold follow free get give go grease guide hang heat hold hook
inspect insert install isolate jack keep kick knead kneel knock label lay lean leave let level lever lift listen loosen
lock look loop lower make mark measure mix move note observe oil open park pass peel photograph place plug point
pour press prise protect pry pull pump punch push put raise read record release remove renew repeat replace
report rest retract return ride rinse rock roll rotate route rub run scrape screw seal seat secure select separate
set shake shift shut slacken slide smear soak spin spray spread squeeze stand start step stop strap strike support
swing switch tag take tap tape tell test thread tie tighten tilt top touch trace transfer treat try tuck turn
unbolt unclip undo unhook unlock unplug unscrew untie use wait warm wash watch wear wedge weigh wet wind wipe
withdraw work wrap write
""")
# words that may stand before the verb
LEADS = _words("otherwise then now next first finally again carefully slowly gently never always and or")
CONDITIONS = _words("when if while until once before after as with without for on in at from where during to")

# each with what to write instead
VAGUE = {
    "properly": "say how it looks or how tight it is when it is right",
    "correctly": "say how it looks when it is right",
    "sufficiently": "give the amount or the limit",
    "sufficient": "give the amount or the limit",
    "adequately": "give the amount or the limit",
    "adequate": "give the amount or the limit",
    "appropriate": "name the thing",
    "appropriately": "say how",
    "suitable": "name the thing",
    "suitably": "say how",
    "reasonable": "give the limit",
    "various": "name them",
    "etc": "name them all",
    "and so on": "name them all",
    "simply": "leave the word out",
    "some": "give the amount",
    "a bit": "give the amount",
    "approximately": "give a range",
    "roughly": "give a range",
    "as usual": "say how",
    "normally": "say when it is not so",
    "should": "write “must”, or the instruction itself",
    "try to": "write the instruction itself",
}
# a decision without what decides it
UNDECIDED = ("remaining", "if needed", "if necessary", "if required", "if applicable", "where necessary", "as needed",
             "as necessary", "as required", "when necessary", "where applicable", "if desired", "if possible")
REVERSED = ("reverse order", "reverse of", "in reverse", "opposite order", "reverse the removal", "reversing the steps",
            "vice versa")

DEATH_WORDS = _words("kill kills killed die dies death fatal drown drowns suffocate suffocates")
INJURY_WORDS = _words("""
injure injures injured injury injuries burn burns scald scalds crush crushes cut cuts break breaks bones bone
strain strains pinch pinches blind blinds eye eyes skin lungs poison poisons poisonous disease crash bruise
bruises strike strikes shock hand hands finger fingers foot feet face ears hearing person people you brake
brakes back senses
""")
PROPERTY_WORDS = _words("""
leak leaks finish paint casting thread threads seal seals gasket renewed scratch scratches scratched corrode
corrodes rust wear wears engine bearing bearings warp warps plastic destroyed damage damages damaged
""")

NUMBER_WORDS = {"both": 2, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
                "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30}
FASTENERS = _words("""
screw screws bolt bolts nut nuts clamp clamps clip clips pin pins stud studs locknut locknuts catch catches plug
plugs
""")

MOST_INSTRUCTION_WORDS = 20
MOST_DESCRIPTION_WORDS = 25
MOST_SENTENCES = 3
MOST_DESCRIPTION_SENTENCES = 6
# texts of which the answer is kept: between two checks of a text that is edited nearly all stay the same
MOST_KEPT = 4096


def words_of(text: str) -> set[str]:
    """The words of a text in lower case."""
    return set(re.findall(r"[a-z']+", text.lower()))


@lru_cache(MOST_KEPT)
def sentences_of(text: str) -> tuple[str, ...]:
    """The sentences of a text; a decimal point and an abbreviation in the middle end none."""
    return tuple(part.strip() for part in re.split(r"(?<=[.!?])\s+(?=[A-Z0-9“\"(])", text) if part.strip())


@lru_cache(MOST_KEPT)
def count_words(sentence: str) -> int:
    """The words of a sentence; a number with its unit counts as one."""
    joined = re.sub(r"(\d)\s+(mm|cm|m|ml|l|N·m|kPa|bar|°C|min|s|h|g|kg|%|V)\b", r"\1\2", sentence)
    return len([word for word in joined.split() if re.search(r"\w", word)])
