"""Signs that keyboards and phones set for themselves, turned into the plain ones they stand for."""

import re

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u1680\u2007\u2009\u200a\u202f\u205f\u3000\t", " "),
        **dict.fromkeys(map(chr, range(0x2000, 0x2007)), " "),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2032\u2018\u2019\u02b9\u02bc\u00b4`\uff07", "'"),
        **dict.fromkeys("\u2033\u201c\u201d\u02ba\uff02", '"'),
        **dict.fromkeys("\u2044\u2215", "/"),
        **dict.fromkeys("\u00d7\u2715\u2a2f*", "x"),
        **dict.fromkeys("\u200b\u200e\u200f\u2060\ufeff", None),
    }
)
_FRACTIONS = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_FRACTION = re.compile(f"(?<=([0-9]))?([{''.join(_FRACTIONS)}])")
_BLANKS = re.compile(" {2,}")


def plain_signs(text: str) -> str:
    """Give a text with plain blanks, hyphens, quotes, fractions and the letter x for times."""
    spelled = _FRACTION.sub(_spelled, text).translate(_PLAIN).replace("''", '"')
    return _BLANKS.sub(" ", spelled).strip()


def _spelled(found: re.Match[str]) -> str:
    return ("" if found[1] is None else " ") + _FRACTIONS[found[2]]
