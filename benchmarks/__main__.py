"""Run every benchmark, or those whose name holds the given words, and print a table or JSON."""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys

from benchmarks.registry import Bench, Row, registered


def line_of(row: Row) -> str:
    """One row of the table."""
    target = "" if row.target is None else f"target {row.target:g} {row.unit}: {row.verdict}"
    return f"  {row.what:<56} {row.value:>12.4g} {row.unit:<6} {target}".rstrip()


def machine() -> dict[str, str | int | None]:
    """What the figures were measured on, as far as it matters for reading them."""
    return {"python": platform.python_version(), "system": platform.system(), "cores": os.cpu_count()}


def as_json(results: list[tuple[Bench, list[Row]]]) -> str:
    """All results as one JSON text."""
    found = [
        {"name": one.name, "what": one.what, "rows": [vars(row) | {"verdict": row.verdict} for row in rows]}
        for one, rows in results
    ]
    return json.dumps({"machine": machine(), "benchmarks": found}, indent=2)


def main(arguments: list[str]) -> int:
    """Measure, and print as it goes."""
    parser = argparse.ArgumentParser(prog="dev.py bench", description=__doc__)
    parser.add_argument("words", nargs="*", help="only benchmarks whose name holds one of these")
    parser.add_argument("--json", action="store_true", help="print one JSON text at the end")
    asked = parser.parse_args(arguments)
    chosen = [one for one in registered() if not asked.words or any(word in one.name for word in asked.words)]
    if not chosen:
        parser.error(f"no benchmark of that name; there are {', '.join(one.name for one in registered())}")
    results = []
    for one in chosen:
        if not asked.json:
            print(f"{one.name}: {one.what}", flush=True)
        rows = one.run()
        results.append((one, rows))
        if not asked.json:
            print("\n".join(map(line_of, rows)), flush=True)
    if asked.json:
        print(as_json(results))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
