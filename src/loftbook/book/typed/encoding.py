"""From bytes to letters: which encoding a list was saved in, and how sure that is.

A byte-order mark or clean UTF-8 settles it. Older encodings do not name themselves;
several are tried, and the one whose words look most like words is taken, with what
else it could have been.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise

from charset_normalizer import from_bytes

from loftbook.book.typed.words import fold_name
from loftbook.errors import ListError

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8 with a byte-order mark"),
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32 with a byte-order mark"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32 with a byte-order mark"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16 with a byte-order mark"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16 with a byte-order mark"),
)
# In the order in which they are preferred where nothing else decides.
_OLDER = {
    "cp1252": "Windows-1252",
    "cp1250": "Windows-1250",
    "mac_roman": "Mac Roman",
    "iso8859_15": "ISO 8859-15",
    "cp850": "DOS 850",
    "cp1254": "Windows-1254",
    "cp1257": "Windows-1257",
    "iso8859_2": "ISO 8859-2",
    "mac_latin2": "Mac Central European",
    "cp1251": "Windows-1251",
    "cp1253": "Windows-1253",
}
_GAP = 0.02  # how much worse the letters of another encoding must look to be out of the question
_NAMES = {"utf-8": "UTF-8", "ascii": "plain ASCII", **_OLDER}


@dataclass(frozen=True)
class Decoded:
    """A list as letters, with the encoding in words and how sure it is (0 to 1)."""

    text: str
    encoding: str
    words: str
    confidence: float
    sentence: str


def decode(data: bytes, *, encoding: str = "", expect: Collection[str] = ()) -> Decoded:
    """The letters of a list, and how sure their encoding is.

    `encoding` settles it from outside. `expect` are words that are known to be right,
    such as the names in the book; they decide between encodings that look alike.

    >>> decode("Grönholm".encode()).words
    'UTF-8'
    """
    decoded = _told(data, encoding) if encoding else _by_mark(data) or _by_zeros(data) or _as_utf8(data)
    decoded = decoded or _older(data, frozenset(fold_name(w) for word in expect for w in word.split()))
    _refuse_noise(decoded.text)
    return decoded


def _told(data: bytes, encoding: str) -> Decoded:
    try:
        text = data.decode(encoding)
    except (UnicodeError, LookupError) as error:
        raise ListError(
            f"a list that cannot be read as {encoding}",
            "an encoding that fits its bytes",
            "leave the encoding away, or name another one",
        ) from error
    return Decoded(text, encoding, encoding, 1.0, f"Letters: {encoding}, as you said.")


def _by_mark(data: bytes) -> Decoded | None:
    for mark, encoding, words in _MARKS:
        if data.startswith(mark):
            try:
                text = data.decode(encoding)
            except UnicodeError:
                return None
            return Decoded(text, encoding, words, 1.0, f"Letters: {words}.")
    return None


def _by_zeros(data: bytes) -> Decoded | None:
    """UTF-16 without its mark shows itself by a zero in every second byte."""
    head = data[:4000]
    for encoding, first in (("utf-16-le", 1), ("utf-16-be", 0)):
        zeros = head[first::2].count(0)
        if (
            len(head) >= 4
            and zeros > 0.6 * len(head[first::2])
            and head[1 - first :: 2].count(0) < zeros / 10
        ):
            try:
                text = data.decode(encoding)
            except UnicodeError:
                return None
            return Decoded(text, encoding, "UTF-16", 0.95, "Letters: UTF-16 without its mark (95 %).")
    return None


def _as_utf8(data: bytes) -> Decoded | None:
    try:
        text = data.decode("utf-8")
    except UnicodeError:
        return None
    if data.isascii():
        return Decoded(text, "ascii", "plain ASCII", 1.0, "Letters: plain ASCII.")
    repaired = _twice_encoded(text)
    if repaired is not None:
        sentence = (
            "Letters: UTF-8 that an earlier save had taken for Windows-1252 (“Ã¶” for “ö”); put right (90 %)."
        )
        return Decoded(repaired, "utf-8", "UTF-8, saved twice", 0.9, sentence)
    return Decoded(text, "utf-8", "UTF-8", 0.99, "Letters: UTF-8.")


def _twice_encoded(text: str) -> str | None:
    strange = [c for c in text if ord(c) > 127]
    if sum(c in "ÃÂÅÄâ" for c in strange) < 0.3 * len(strange):
        return None
    try:
        return text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return None


def _older(data: bytes, expect: frozenset[str]) -> Decoded:
    texts = {name: text for name in _OLDER if (text := _try(data, name)) is not None}
    chaos = {name: _chaos(data[:20_000], name) for name in texts}
    if not texts:
        best = from_bytes(data).best()
        if best is None:
            raise ListError(
                "a list whose letters fit no encoding",
                "a text list or a spreadsheet",
                "open it in a spreadsheet and save it as CSV UTF-8 or XLSX",
            )
        words = best.encoding.replace("_", "-")
        return Decoded(str(best), best.encoding, words, 0.5, f"Letters: probably {words} (50 %).")
    order = list(_OLDER)
    ranked = sorted(
        texts, key=lambda n: (-_known(texts[n], expect), _oddness(texts[n], chaos[n]), order.index(n))
    )
    return _with_doubt(texts, ranked, chaos, expect)


def _with_doubt(
    texts: dict[str, str], ranked: list[str], chaos: dict[str, float], expect: frozenset[str]
) -> Decoded:
    """The best reading, with the nearest one that would read a word differently."""
    best = ranked[0]
    text, words = texts[best], _OLDER[best]
    near = _oddness(text, chaos[best]) + _GAP
    known = _known(text, expect)
    for rival in ranked[1:]:
        if texts[rival] == text or _oddness(texts[rival], chaos[rival]) > near:
            continue
        if known > _known(texts[rival], expect):
            sentence = f"Letters: {words} (95 %; names in the book settle it)."
            return Decoded(text, best, words, 0.95, sentence)
        mine, theirs = _first_difference(text, texts[rival])
        sentence = (
            f"Letters: {words} (75 %); in {_OLDER[rival]} “{mine}” would read “{theirs}”. "
            "Name the encoding if that is right."
        )
        return Decoded(text, best, words, 0.75, sentence)
    return Decoded(text, best, words, 0.95, f"Letters: {words} (95 %).")


def _chaos(data: bytes, encoding: str) -> float:
    """The detector's measure of noise in one encoding, 0 for none."""
    match = from_bytes(data, cp_isolation=[encoding], threshold=1.0, enable_fallback=False).best()
    return 1.0 if match is None else match.chaos


def _try(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeError:
        return None


def _known(text: str, expect: frozenset[str]) -> int:
    """How many words with accents are words that were expected."""
    if not expect:
        return 0
    return sum(fold_name(w) in expect for w in re.findall(r"\w+", text) if not w.isascii())


def _oddness(text: str, chaos: float) -> float:
    """How unlike words the words look, from 0; `chaos` is the detector's own measure of noise."""
    strange = [m.group() for m in re.finditer(r"[^\s;,|\"]*[^\x00-\x7f][^\s;,|\"]*", text)]
    return chaos + sum(map(_odd_in, strange)) / max(len(strange), 1)


def _odd_in(word: str) -> int:
    """Signs inside a word, capitals after small letters, accents on most letters, two scripts in one."""
    sign = re.search(r"[^\W\d_][^\w\s'’.,;:?()/&-]|[^\w\s.,;:'’\"(-](?=[^\W\d_])", word)
    capital = any(a.islower() and b.isupper() and ord(b) > 127 for a, b in pairwise(word))
    nothing = any(unicodedata.category(c) in ("Cc", "Co", "Cn") for c in word if ord(c) > 127)
    letters = [c for c in word if c.isalpha()]
    latin = [c for c in letters if unicodedata.name(c, "").startswith("LATIN")]
    two_scripts = 0 < len(latin) < len(letters)
    accents = len(latin) > 2 and sum(ord(c) > 127 for c in latin) > 0.6 * len(latin)
    return bool(sign) + capital + nothing + two_scripts + accents


def _first_difference(mine: str, theirs: str) -> tuple[str, str]:
    for a, b in zip(re.findall(r"[^\s;,\t|]+", mine), re.findall(r"[^\s;,\t|]+", theirs), strict=False):
        if a != b:
            return a, b
    return mine[:10], theirs[:10]


def _refuse_noise(text: str) -> None:
    head = text[:20_000]
    noise = sum(
        unicodedata.category(c) in ("Cc", "Co", "Cn", "Cs") and c not in "\t\r\n\x0c\x00" for c in head
    )
    if noise > 0.05 * len(head) or text.count("\x00") > 0.2 * len(text):
        raise ListError(
            "a file that holds no text",
            "a list as CSV text or an XLSX spreadsheet",
            "open it in the program that made it and save it as CSV or XLSX",
        )
