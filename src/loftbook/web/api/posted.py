"""The body of a request as JSON, however large, deep or broken it is."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import Depends
from starlette.requests import Request

from loftbook.errors import Refused


async def posted_json(request: Request) -> Mapping[str, Any]:
    """The named fields that a program sent; raises Refused in words for anything else."""
    body = await request.body()
    try:
        read = json.loads(body.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise Refused("something that cannot be read as JSON", "JSON in UTF-8", "send it again") from error
    if not isinstance(read, Mapping):
        raise Refused("JSON without named fields", "an object", "send it as the entry screen does")
    return read


Posted = Annotated[Mapping[str, Any], Depends(posted_json)]


def word(sent: Mapping[str, Any], name: str, most: int = 200) -> str:
    """One field as text; empty where it is missing, of another kind, or too long.

    >>> word({"code": "K7M-3QX"}, "code"), word({"code": 5}, "code")
    ('K7M-3QX', '')
    """
    value = sent.get(name)
    return value if isinstance(value, str) and len(value) <= most else ""
