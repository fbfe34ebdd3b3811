"""The words and signs of a line of boards."""

import re

EXAMPLE = "such as “6 boards 32 mm x 180 mm x 1.2 m flat” or “6 x 5/4 x 7 in x 8 ft”"
LONGEST_LINE = 4000
COUNTED = (
    "boards",
    "board",
    "slabs",
    "slab",
    "planks",
    "plank",
    "pieces",
    "piece",
    "pcs",
    "pc",
    "off",
)
LABELS = {
    "thick": "thickness",
    "thickness": "thickness",
    "wide": "width",
    "width": "width",
    "long": "length",
    "length": "length",
    "lengths": "length",
}
GRAINS = {
    "flat": "flat",
    "flatsawn": "flat",
    "flat-sawn": "flat",
    "plainsawn": "flat",
    "plain-sawn": "flat",
    "quarter": "quarter",
    "quartersawn": "quarter",
    "quarter-sawn": "quarter",
    "mixed": "mixed",
}
FILLERS = ("of", "each", "at", "in", "and", "the", "rough", "sawn", "grain")
TIMES = ("x", "by")
WORD = re.compile(r"[^\W\d_]+(?:[-'][^\W\d_]+)*\.?")
LIVE_EDGE = re.compile(r"(?:live|waney)(?:[- ]edged?)(?![^\W_])|waney(?![^\W_])", re.IGNORECASE)
RANGE = re.compile(r" ?- ?(?=[0-9])| to (?=[0-9])", re.IGNORECASE)
RUN_ON = re.compile(r"[.,/][0-9]")
MARKS_LAST = re.compile(r"(?:^|[\s,;])marks?\s+(?=\S)", re.IGNORECASE)
COUNT_IN_FRONT = re.compile(
    rf"((?![^\W\d_])\S{{1,30}}) (?:{'|'.join(COUNTED)})(?![^\W_])",
    re.IGNORECASE,
)
NUMBER_WORDS = (
    *("one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
NUMBER_WORD = re.compile(
    rf"({'|'.join(NUMBER_WORDS)})(?= (?:{'|'.join(COUNTED)})(?![^\W_]))", re.IGNORECASE
)
WHOLE = re.compile(r"[0-9]{1,9}", re.ASCII)


def in_digits(found: re.Match[str]) -> str:
    """Write a number word as a number."""
    return str(NUMBER_WORDS.index(found[1].casefold()) + 1)


def without_fillers(run: list[str]) -> list[str]:
    """Leave out the small words at both ends."""
    while run and run[0].casefold() in FILLERS:
        run = run[1:]
    while run and run[-1].casefold() in FILLERS:
        run = run[:-1]
    return run
