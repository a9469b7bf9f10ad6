"""Reading a PDF back with another program (pypdf): its words, its structure, its fonts."""

import io
from collections.abc import Iterator

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, NameObject


def opened(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf), strict=True)


def words(pdf: bytes) -> str:
    """All words with single spaces; a word divided at a line's end is whole again."""
    told = " ".join(page.extract_text() for page in opened(pdf).pages)
    return " ".join(told.replace("\xad \n", "").replace("\xad\n", "").split())


def nodes(pdf: bytes) -> Iterator[DictionaryObject]:
    """Every element of the structure tree, in reading order."""
    reader = opened(pdf)
    yield from _under(reader.trailer["/Root"]["/StructTreeRoot"])


def roles(pdf: bytes) -> list[str]:
    return [str(node["/S"]).lstrip("/") for node in nodes(pdf) if "/S" in node]


def pictures(pdf: bytes) -> list[str]:
    """What each figure is said to show."""
    return [str(node.get("/Alt", "")) for node in nodes(pdf) if node.get("/S") == "/Figure"]


def fonts(pdf: bytes) -> Iterator[tuple[str, bool]]:
    """Each font's name, and whether its file is in the PDF."""
    reader = opened(pdf)
    for thing in (reader.get_object(n) for n in range(1, len(reader.xref[0]) + 1) if n in reader.xref[0]):
        if isinstance(thing, DictionaryObject) and thing.get("/Type") == "/FontDescriptor":
            yield str(thing["/FontName"]), any(key in thing for key in ("/FontFile2", "/FontFile3"))


def _under(node: DictionaryObject) -> Iterator[DictionaryObject]:
    children = node.get("/K", [])
    for child in children if isinstance(children, ArrayObject) else [children]:
        found = child.get_object()
        if isinstance(found, DictionaryObject) and NameObject("/S") in found:
            yield found
            yield from _under(found)
