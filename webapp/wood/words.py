"""Texts as people type them, made comparable: no case, no accents, no signs."""

from __future__ import annotations

import re
import unicodedata

# Letters that carry their stroke in themselves, so that taking accents away leaves it.
_STROKES = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "\u0131": "i"})


def words_of(text: str) -> tuple[str, ...]:
    """Split a text into its words without case, accents and signs.

    Examples
    --------
    >>> words_of("São Paulo, St. O'Hare")
    ('sao', 'paulo', 'st', 'ohare')
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_STROKES))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return tuple(re.findall(r"\w+", re.sub(r"['’.]", "", plain)))
