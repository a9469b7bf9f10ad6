#!/usr/bin/env python3
"""The one door for whoever works on Loftbook. Standard library only.

    python3 dev.py demo [--no-serve]    set up, fill an invented book, print what happened, serve the pages
    python3 dev.py test [pytest args]   style, types, the shape of the code, then every test
    python3 dev.py check                style, types and the shape of the code only
    python3 dev.py bench [--json]       measure the speed
    python3 dev.py docs                 write docs/checks.md anew

The first use makes .venv beside this file and fills it with exactly the packages
of requirements-dev.lock; that needs a network. Later uses skip it until a file
that decides the contents of .venv changes.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "loftbook-set-up.txt"
LOCK = "requirements-dev.lock"
# Another content of one of these means another content of .venv.
DECIDING = (LOCK, "pyproject.toml", "dev.py")
GYM_PAGE = "hatch_build.py"
OLDEST = (3, 11)
STYLE_AND_TYPES = (
    ("ruff check", ("ruff", "check", ".")),
    ("ruff format", ("ruff", "format", "--check", ".")),
    ("mypy", ("mypy", "--strict", "src", "dev.py", "hatch_build.py", "benchmarks")),
)
FENCE = "tests/test_shape_of_the_code.py"


class SetUpError(Exception):
    """The packages could not be installed; the text says what to do."""


def too_old(version: tuple[int, ...]) -> str | None:
    """A sentence when this Python is too old, else nothing.

    >>> too_old((3, 11, 7)) is None
    True
    >>> too_old((3, 9, 2))
    'Loftbook needs Python 3.11 or newer; this is Python 3.9. Start dev.py with a newer one.'
    """
    if version[:2] >= OLDEST:
        return None
    return (
        f"Loftbook needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is Python "
        f"{version[0]}.{version[1]}. Start dev.py with a newer one."
    )


def stamp_of(contents: dict[str, bytes], machine: str) -> str:
    """One line that changes when a deciding file, or the Python that fills .venv, changes.

    >>> a = stamp_of({"lock": b"x"}, "3.11 linux")
    >>> a == stamp_of({"lock": b"x"}, "3.11 linux"), a == stamp_of({"lock": b"y"}, "3.11 linux")
    (True, False)
    """
    digest = hashlib.sha256()
    for name in sorted(contents):
        # The lengths keep "ab" + "c" apart from "a" + "bc".
        digest.update(f"{name}\n{len(contents[name])}\n".encode())
        digest.update(contents[name])
    return f"{machine} {digest.hexdigest()}"


def locked(lock: str, package: str) -> str:
    r"""The lines of a lock file that pin one package, hashes and all.

    >>> print(locked("a==1 \\\n    --hash=sha256:0\nuv==2 \\\n    --hash=sha256:1\n", "uv"))
    uv==2 \
        --hash=sha256:1
    """
    lines = lock.splitlines()
    try:
        first = next(n for n, line in enumerate(lines) if line.startswith(f"{package}=="))
    except StopIteration:
        raise SetUpError(f"{LOCK} pins no {package}. Was the file cut short? Fetch it again.") from None
    after = (n for n in range(first + 1, len(lines)) if not lines[n].startswith(" "))
    return "\n".join(lines[first : next(after, len(lines))])


def python_of(folder: Path) -> Path:
    """The interpreter inside a virtual environment."""
    return folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def tool(name: str) -> str:
    """The path of a command that the set-up has put into .venv."""
    return str(python_of(VENV).with_name(name + (".exe" if os.name == "nt" else "")))


def works(command: list[str], quiet: bool = False) -> bool:
    """Whether a command can be started and ends well."""
    out = subprocess.DEVNULL if quiet else None
    try:
        return subprocess.run(command, cwd=ROOT, stdout=out, stderr=out, check=False).returncode == 0
    except OSError:
        return False


def wanted_stamp() -> str:
    """The stamp that .venv must carry to be used as it is."""
    contents = {name: (ROOT / name).read_bytes() for name in DECIDING}
    return stamp_of(contents, f"{sys.version_info[0]}.{sys.version_info[1]} {sys.platform}")


def make_venv() -> None:
    """An empty .venv, unless a working one of the same Python is there."""
    same = f"import sys; sys.exit(sys.version_info[:2] != {tuple(sys.version_info[:2])})"
    if works([str(python_of(VENV)), "-c", same], quiet=True):
        return
    try:
        venv.create(VENV, with_pip=True, clear=True)
    except (OSError, subprocess.CalledProcessError) as trouble:
        raise SetUpError(
            f"No virtual environment could be made in {VENV} ({trouble}). Is the folder writable, and does "
            "this Python bring venv and ensurepip? On Debian: apt-get install python3-venv."
        ) from trouble


def install_packages() -> None:
    """Exactly the packages of the lock, by uv when it can be had, else by pip."""
    python = str(python_of(VENV))
    pip = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    with tempfile.TemporaryDirectory() as folder:
        only_uv = Path(folder) / "uv.lock.txt"
        only_uv.write_text(locked((ROOT / LOCK).read_text(encoding="utf-8"), "uv"), encoding="utf-8")
        works([*pip, "--require-hashes", "-r", str(only_uv)])
    uv = [tool("uv"), "pip", "install", "--quiet", "--python", python]
    lock, house = ["--require-hashes", "-r", LOCK], ["--no-deps", "--no-build-isolation", "-e", "."]
    for installer in (uv, pip):
        if works([*installer, *lock]) and works([*installer, *house]):
            return
        print(f"{Path(installer[0]).stem} could not install the packages.", file=sys.stderr)
    raise SetUpError(
        f"The packages of {LOCK} could not be installed; the reason is above. The first use needs a network "
        "that reaches a Python package index. Nothing is half done: run the same command again."
    )


def set_up() -> None:
    """Fill .venv when it does not hold what the files ask for."""
    stamp = wanted_stamp()
    if STAMP.is_file() and STAMP.read_text(encoding="utf-8") == stamp and python_of(VENV).exists():
        build_page()
        return
    print("Setting up .venv (the first time takes a minute or two) …", file=sys.stderr, flush=True)
    make_venv()
    STAMP.unlink(missing_ok=True)
    install_packages()
    STAMP.write_text(stamp, encoding="utf-8")


def build_page() -> None:
    """Build the page of the gym anew when frontend/ has changed; the installation did it the first time."""
    if not works([str(python_of(VENV)), GYM_PAGE], quiet=True) and not works(
        [str(python_of(VENV)), GYM_PAGE]
    ):
        raise SetUpError("The page of the gym could not be built; the reason is above.")


def module(name: str, *arguments: str) -> list[str]:
    """The command line that runs a Python module of .venv."""
    return [str(python_of(VENV)), "-m", name, *arguments]


def failed_steps() -> list[str]:
    """Run every check of style and types, and name those that fail."""
    failed = []
    for name, (command, *arguments) in STYLE_AND_TYPES:
        print(f"· {name}", flush=True)
        if not works([tool(command), *arguments]):
            failed.append(name)
    if failed:
        print(f"FAILED: {', '.join(failed)} (see above); the tests run all the same.", flush=True)
    return failed


def run(command: list[str]) -> int:
    """Run a command in the repository and hand back its exit status."""
    return subprocess.run(command, cwd=ROOT, check=False).returncode


def test(arguments: list[str]) -> int:
    """Style, types and all tests. The last line printed is the closing line of pytest."""
    failed = failed_steps()
    status = run(module("pytest", "-n", "2", *arguments))
    return status or (1 if failed else 0)


def check(arguments: list[str]) -> int:
    """Style, types and the shape of the code."""
    failed = failed_steps()
    status = run(module("pytest", "-q", "-n", "0", FENCE, *arguments))
    return status or (1 if failed else 0)


def demo(arguments: list[str]) -> int:
    """The invented camp, in the folder where the caller stands."""
    command = module("loftbook.cli", "demo", *arguments)
    if os.name != "nt":
        # The server takes over this process, so that ctrl-C and kill reach it and nothing else.
        os.execv(command[0], command)
    return subprocess.run(command, check=False).returncode


def bench(arguments: list[str]) -> int:
    """Medians, and ratios within one run."""
    return run(module("benchmarks", *arguments))


def docs(arguments: list[str]) -> int:
    """Write docs/checks.md anew from the registry of outside checks."""
    return run(module("loftbook.checks", "docs/checks.md", *arguments))


VERBS = {"demo": demo, "test": test, "check": check, "bench": bench, "docs": docs}


def main(arguments: list[str]) -> int:
    """Do what the first word says; without one, say what the words are."""
    old = too_old(tuple(sys.version_info[:3]))
    if old:
        print(old, file=sys.stderr)
        return 2
    if not arguments or arguments[0] not in VERBS:
        asked_for_help = not arguments or arguments[0] in ("-h", "--help", "help")
        if not asked_for_help:
            print(f"dev.py knows no {arguments[0]!r}; it knows {', '.join(VERBS)}.\n", file=sys.stderr)
        print(__doc__)
        return 0 if asked_for_help else 2
    try:
        set_up()
        return VERBS[arguments[0]](arguments[1:])
    except SetUpError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
