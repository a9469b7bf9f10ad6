"""A plan as a link: small enough for a message, with no name in it."""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from typing import Any

from loftbook.desk.lab.planned import LabPlan, plan_as_json, plan_of_json
from loftbook.errors import PlanError

MARK = "p1."  # of the first way of writing plans into links
LONGEST_CODE = 8000  # letters; a plan of twelve whole-body keys has about 900
LARGEST_PLAN = 64_000  # bytes unpacked; a small code must not fill the memory


def code_of(lab: LabPlan) -> str:
    """The plan as letters that may stand in an address: JSON, deflated, base64 without padding.

    >>> from loftbook.desk.lab.presets import preset_plan
    >>> from loftbook.desk.lab.planned import Person
    >>> code_of(preset_plan("double_tuck", Person()))[:3]
    'p1.'
    """
    text = json.dumps(plan_as_json(lab), separators=(",", ":"), ensure_ascii=False, sort_keys=True)
    return MARK + base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def plan_of_code(code: str) -> LabPlan:
    """The plan that a link holds; raises PlanError in words for a link that is torn or too large."""
    if not code.startswith(MARK) or len(code) > LONGEST_CODE:
        raise _torn("a link to a plan that does not begin with p1. or is too long")
    packed = code.removeprefix(MARK)
    try:
        unpack = zlib.decompressobj()
        data = unpack.decompress(base64.urlsafe_b64decode(packed + "=" * (-len(packed) % 4)), LARGEST_PLAN)
        if not unpack.eof:
            raise _torn("a link to a plan that is cut off or too large")
        return plan_of_json(read_json(data))
    except (ValueError, binascii.Error, zlib.error) as error:
        raise _torn("a link to a plan that cannot be read") from error


def read_json(data: bytes | str) -> dict[str, Any]:
    """JSON with named fields, from a file or a link; raises PlanError for anything else."""
    try:
        read = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise PlanError(
            "text that is no JSON", "a plan that the lab has saved", "choose another file"
        ) from error
    if not isinstance(read, dict):
        raise PlanError("JSON without named fields", "a plan that the lab has saved", "choose another file")
    return read


def _torn(what: str) -> PlanError:
    return PlanError(what, "a link as the lab made it", "copy the whole link again")
