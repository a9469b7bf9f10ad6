"""A drawing as SVG text with its meaning in words, and the few strokes it is made of.

Facts are drawn in the first ink, solid; findings in the second, always with a
whisker or a band. Colours are presentation attributes that ask for a variable and
carry a print-safe value of their own, so one drawing serves light page, dark page
and paper. No style attribute is used: a page may forbid those.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape
from unicodedata import east_asian_width

INK = "var(--lb-ink, #1c1a17)"  # what was seen
FINDING = "var(--lb-finding, #2f5583)"  # what was worked out
QUIET = "var(--lb-quiet, #625d55)"  # labels
HAIR = "var(--lb-hair, #c8c3b9)"  # thin lines
PAPER = "var(--lb-paper, #ffffff)"  # the ground
SANS = "var(--lb-sans, 'Source Sans 3', 'Noto Sans', sans-serif)"

# Without it the press sets a variable font at its lightest, having taken 400 for the font's own weight.
_REGULAR = """font-weight="400" font-variation-settings="'wght' 400\""""
_VARIABLE = re.compile(r"var\(--[a-z-]+,\s*([^()]*)\)")
_BREAKS = re.compile("[\t\n\v\f\r\u0085\u2028\u2029]+")
_CONTROLS = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufeff\ufff9-\ufffb\ufffe\uffff]")
_NARROW, _WIDE = frozenset("iljtfrI.,:;'|!()[]/· "), frozenset("mwMWOQGDHNUÆŒ@%—–")


@dataclass(frozen=True)
class Drawing:
    """A picture as SVG text, the same in words, and its size in CSS pixels."""

    svg: str
    alt: str
    width: float
    height: float


def element(name: str, content: str = "", **attributes: str | float) -> str:
    """One SVG element; underscores in names become dashes, numbers are kept short.

    >>> element("line", x1=0, x2=10.50001, stroke_width=1)
    '<line x1="0" x2="10.5" stroke-width="1"/>'
    """
    told = "".join(
        f' {key.strip("_").replace("_", "-")}="{escape(_short(value))}"' for key, value in attributes.items()
    )
    return f"<{name}{told}>{content}</{name}>" if content else f"<{name}{told}/>"


def words(text: str, x: float, y: float, **attributes: str | float) -> str:
    """Text as text, on a baseline at (x, y); anything in it is literal.

    >>> words("a < b", 0, 10, font_size=12).endswith('>a &lt; b</text>')
    True
    """
    look: dict[str, str | float] = {
        "font_family": SANS,
        "font_size": 12,
        "font_weight": 400,
        "fill": INK,
    }
    return element("text", printable(text), x=x, y=y, **(look | attributes))


def grouped(parts: list[str], *, title: str = "", **attributes: str | float) -> str:
    """Strokes that belong together, with a title that a pointer may show."""
    head = [element("title", printable(title))] if title else []
    return element("g", "".join(head + parts), **attributes)


def drawing(parts: list[str], *, alt: str, width: float, height: float) -> Drawing:
    """Close a picture: one image to a reader of the page, with the words of `alt`.

    >>> drawing([], alt="Nothing yet", width=10, height=5).svg
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 5" width="10" height="5" role="img"
     aria-label="Nothing yet"/>'
    """
    svg = element(
        "svg",
        "".join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_short(width)} {_short(height)}",
        width=width,
        height=height,
        role="img",
        **{"aria-label": clean(alt)},
    )
    return Drawing(svg, clean(alt), width, height)


def for_print(svg: str) -> str:
    """The drawing with each variable replaced by its print-safe value.

    >>> for_print('<path fill="var(--lb-ink, #1c1a17)"/>')
    '<path fill="#1c1a17"/>'
    """
    return _VARIABLE.sub(lambda found: found.group(1), svg).replace('font-weight="400"', _REGULAR)


def text_width(text: str, size: float) -> float:
    """About how wide a text is at a font size, in the unit of the size; it errs on the wide side.

    Widths of three kinds of letter, measured by eye on Source Sans 3: no source.

    >>> text_width("Mira", 12) < text_width("Mirabella", 12)
    True
    """
    ems = sum(0.31 if c in _NARROW else 1.0 if _is_broad(c) else 0.86 if c in _WIDE else 0.56 for c in text)
    return ems * size


def shortened(text: str, size: float, room: float) -> str:
    """The text, or as much of it as fits into the room, with an ellipsis.

    >>> shortened("Double pike", 12, 200), shortened("Double pike", 12, 40)
    ('Double pike', 'Doub…')
    """
    if text_width(text, size) <= room:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def clean(text: str) -> str:
    r"""The text on one line, without the control characters that no document may hold.

    >>> clean("Mira\tNettle\x00")
    'Mira Nettle'
    """
    return _CONTROLS.sub("", _BREAKS.sub(" ", text))


def printable(text: str) -> str:
    """The text as SVG content."""
    return escape(clean(text), quote=False)


def _is_broad(character: str) -> bool:
    return east_asian_width(character) in "WF" or ord(character) > 0x1F000


def _short(value: str | float) -> str:
    return value if isinstance(value, str) else f"{round(value, 2):g}"
