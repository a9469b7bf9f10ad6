"""The shape of the house as rules that a program can hold: who imports whom, what is pure, how big.

`complaints(root)` reads every module under a source root (the folder that holds
`loftbook/`) and answers with sentences, one for each rule that is broken. It takes
the root as an argument, so that small houses that break a rule on purpose can show
that the rule bites.
"""

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

HOUSE = "loftbook"
MODULE_END, MODULE_ASK = 500, 300
FUNCTION_END, FUNCTION_ASK = 60, 30
NAMES_ASK = 10

# Which way imports go: a package may import itself and these, and nothing else of ours.
ROOTS = frozenset({"errors", "units"})
MAY_IMPORT = {
    "": frozenset(),  # the map of the house holds no code
    "errors": frozenset(),
    "units": frozenset(),
    "mechanics": ROOTS,
    "ladder": ROOTS,
    "book": ROOTS | {"ladder"},
    "insight": ROOTS | {"ladder", "book", "mechanics"},
    "film": ROOTS | {"mechanics"},
    "reports": ROOTS | {"ladder", "book", "mechanics", "insight"},
    "store": ROOTS | {"ladder", "book", "mechanics", "insight", "film"},
    "desk": ROOTS | {"ladder", "book", "mechanics", "insight", "film", "reports", "store"},
    "web": ROOTS | {"ladder", "book", "mechanics", "insight", "reports", "desk"},
    "cli": ROOTS | {"ladder", "book", "mechanics", "insight", "reports", "desk", "checks"},
    "checks": ROOTS | {"ladder", "book", "mechanics", "insight", "film", "reports", "store", "desk", "web"},
}
# The few arrows beside the table, each with its reason.
BESIDE = {
    ("cli/serve.py", "loftbook.web"): "serving is the one command that needs the pages",
    ("cli/demo.py", "loftbook.web"): "the demonstration serves at its end",
}
# The registry of checks may ask the web for an app, but not reach into its pages.
NEVER = {("checks", "loftbook.web.pages")}

PURE = frozenset({"mechanics", "ladder", "book", "insight", "film", "reports"})
# The edges of two packages touch the outside, and so say their names.
EDGES = frozenset(
    {
        "film/decode.py",  # opens video
        "film/encode.py",  # writes the proxy, the overlay and the strip
        "film/detect.py",  # follows a film with a pose model
        "film/blazepose.py",  # loads that model from its file
        "film/own/network.py",  # loads our own network from its file
        "reports/pdf.py",
    }
)
# Tables shipped with the house are read in one place for each package.
TABLE_READERS = {
    "mechanics": frozenset({"mechanics/segments.py"}),
    "ladder": frozenset({"ladder/reading.py", "ladder/shipped.py"}),
    # The words of the sheets, one file a language; the look and the program of the form that goes home.
    "reports": frozenset({"reports/texts.py"}),
}
# Only here: what each package may use of other people's work, and who owns which.
OTHERS = {
    "mechanics": frozenset({"numpy", "scipy", "numba"}),
    "ladder": frozenset(),
    "insight": frozenset({"numpy", "scipy"}),
}
OWNERS = {
    "sqlite3": ("store",),
    "sqlalchemy": ("store",),
    "alembic": ("store",),
    "fastapi": ("web",),
    "starlette": ("web",),
    "jinja2": ("web",),
    "typer": ("cli",),
    "rich": ("cli",),
    "typst": ("reports",),
}
EMPTY_NAMES = frozenset(
    {"utils", "util", "helpers", "helper", "common", "manager", "base", "lib", "misc", "tools"}
)

UNCLEAN_CALLS = {
    "open": "opens a file; take its contents as an argument",
    "io.open": "opens a file; take its contents as an argument",
    "print": "prints; return the text instead",
    "input": "asks at the keyboard; take the answer as an argument",
    "warnings.warn": "warns aside; return a value with a verdict",
    "numpy.load": "reads a file; take the array as an argument",
    "numpy.loadtxt": "reads a file; take the array as an argument",
    "numpy.genfromtxt": "reads a file; take the array as an argument",
    "numpy.save": "writes a file; return the array instead",
    "numpy.savetxt": "writes a file; return the array instead",
    "uuid.uuid1": "makes an id out of the air; take the id as an argument",
    "uuid.uuid4": "makes an id out of the air; take the id as an argument",
    "datetime.datetime.now": "reads the clock; take the time as an argument",
    "datetime.datetime.utcnow": "reads the clock; take the time as an argument",
    "datetime.datetime.today": "reads the clock; take `today` as an argument",
    "datetime.date.today": "reads the clock; take `today` as an argument",
}
UNCLEAN_MODULES = {
    "logging": "keeps a log; return what happened as a value",
    "sqlite3": "speaks SQL; that is for store",
    "time": "reads the clock; take the time as an argument",
    "os": "reads the machine; take what it needs as an argument",
    "pathlib": "reads folders; take the contents as an argument",
    "shutil": "moves files; that is for the shells",
    "tempfile": "makes files; that is for the shells",
    "subprocess": "starts programs; that is for the shells",
    "socket": "opens the network; that is for the shells",
    "urllib.request": "opens the network; that is for the shells",
    "secrets": "draws unseeded chance; take a seed as an argument",
}
FILE_METHODS = frozenset(
    {"read_text", "read_bytes", "write_text", "write_bytes", "iterdir", "unlink", "mkdir"}
)
SEEDED = frozenset({"default_rng", "SeedSequence", "PCG64", "Philox", "RandomState", "Random"})
CHANCE = ("random.", "numpy.random.")
CHANCE_TYPES = frozenset({"random.Random", "numpy.random.Generator", "numpy.random.BitGenerator"})


@dataclass(frozen=True)
class Import:
    """One name that a module imports, fully spelt, and the line where it does."""

    target: str
    line: int


@dataclass(frozen=True)
class Module:
    """One file of the house, read."""

    path: Path
    home: Path  # the folder `loftbook`

    @cached_property
    def where(self) -> str:
        """The path inside the house, as in `insight/change.py`."""
        return self.path.relative_to(self.home).as_posix()

    @cached_property
    def name(self) -> str:
        """The dotted name, as in `loftbook.insight.change`."""
        parts = [HOUSE, *self.path.relative_to(self.home).with_suffix("").parts]
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    @cached_property
    def package(self) -> str:
        """The package of the house it stands in; a file at the top counts as a package."""
        parts = self.name.split(".")
        return parts[1] if len(parts) > 1 else ""

    @cached_property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text, filename=str(self.path))

    @cached_property
    def imports(self) -> tuple[Import, ...]:
        """Everything it imports while it runs; imports for type checkers alone do not count."""
        return tuple(self._imports())

    def _imports(self) -> Iterator[Import]:
        for node in walk_running(self.tree):
            if isinstance(node, ast.Import):
                yield from (Import(alias.name, node.lineno) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                source = self._source_of(node)
                yield from (Import(f"{source}.{alias.name}", node.lineno) for alias in node.names)

    def _source_of(self, node: ast.ImportFrom) -> str:
        if not node.level:
            return node.module or ""
        base = self.name.split(".")
        drop = node.level - (1 if self.path.name == "__init__.py" else 0)
        base = base[: len(base) - drop] if drop else base
        return ".".join([*base, node.module] if node.module else base)

    @cached_property
    def spelt(self) -> dict[str, str]:
        """What each name in the file stands for: `np` for `numpy`, `now` for `datetime.datetime.now`."""
        names: dict[str, str] = {}
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                for alias in node.names:
                    whole = alias.name if alias.asname else alias.name.split(".")[0]
                    names[alias.asname or whole] = whole
            elif isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    names[alias.asname or alias.name] = f"{self._source_of(node)}.{alias.name}"
        return names

    def full_name(self, node: ast.expr) -> str:
        """The full spelling of `np.random.rand`, or nothing when it is no plain chain of names."""
        parts: list[str] = []
        while isinstance(node, ast.Attribute):
            parts.append(node.attr)
            node = node.value
        if not isinstance(node, ast.Name):
            return ""
        return ".".join([self.spelt.get(node.id, node.id), *reversed(parts)])


def walk_running(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node but those under `if TYPE_CHECKING`."""
    for child in ast.iter_child_nodes(tree):
        if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
            for other in child.orelse:
                yield other
                yield from walk_running(other)
            continue
        yield child
        yield from walk_running(child)


def modules(root: Path) -> tuple[Module, ...]:
    """Every module of the house under a source root, in the order of its path."""
    home = root / HOUSE
    return tuple(Module(path, home) for path in sorted(home.rglob("*.py")))


def of_ours(target: str) -> str | None:
    """The package of the house that an import reaches, or nothing for other people's."""
    parts = target.split(".")
    if parts[0] != HOUSE:
        return None
    return parts[1] if len(parts) > 1 else ""


def within(target: str, name: str) -> bool:
    """Whether an import reaches a package or anything inside it."""
    return target == name or target.startswith(name + ".")


def arrows(module: Module) -> Iterator[str]:
    """Imports that go up, sideways, or into a package that owns its trade alone."""
    allowed = MAY_IMPORT.get(module.package)
    if allowed is None:
        yield f"{module.where} stands in no package of the design; add it to MAY_IMPORT in tests/fence.py."
        return
    for found in module.imports:
        other = of_ours(found.target)
        place = f"{module.where}:{found.line}"
        if any(module.package == package and within(found.target, name) for package, name in NEVER):
            yield f"{place} imports {found.target}; it may use that package's front door only."
        elif other is None:
            yield from strangers(module, found, place)
        elif other != module.package and other not in allowed and not excused(module, found):
            mine = module.package or "the map"
            yield f"{place} imports {found.target}; {mine} may import {listed(allowed)}."


def excused(module: Module, found: Import) -> bool:
    return any(module.where == where and within(found.target, name) for where, name in BESIDE)


def strangers(module: Module, found: Import, place: str) -> Iterator[str]:
    """Other people's packages, where they do not belong."""
    top = found.target.split(".")[0]
    owners = OWNERS.get(top)
    if owners and module.package not in (*owners, "checks"):
        yield f"{place} imports {top}, which only {listed(owners)} may use."
    if module.package in OTHERS and top not in OTHERS[module.package] and not of_python(top):
        theirs = listed(OTHERS[module.package])
        yield f"{place} imports {top}; {module.package} uses {theirs} of other people's work."


def of_python(top: str) -> bool:
    from sys import stdlib_module_names

    return top in stdlib_module_names


def listed(names: Iterable[str]) -> str:
    """Names as a coach would say them: a, b and c; nothing at all."""
    *first, last = sorted(names) or ["nothing"]
    return f"{', '.join(first)} and {last}" if first else last


def impurities(module: Module) -> Iterator[str]:
    """What a pure package does that only an edge or a shell may do."""
    if module.package not in PURE or module.where in EDGES:
        return
    for found in module.imports:
        for name, reason in UNCLEAN_MODULES.items():
            if within(found.target, name):
                yield f"{module.where}:{found.line} imports {name}, which {reason}."
        if within(found.target, "importlib.resources") and not reads_tables(module):
            yield f"{module.where}:{found.line} reads a shipped file; {tables_of(module)}."
    for node in walk_running(module.tree):
        if isinstance(node, ast.Call):
            yield from unclean_call(module, node)
        elif isinstance(node, ast.Attribute) and module.full_name(node) in CLOCKS:
            yield f"{module.where}:{node.lineno} {UNCLEAN_CALLS[module.full_name(node)]}."


CLOCKS = frozenset(name for name in UNCLEAN_CALLS if name.startswith("datetime."))


def unclean_call(module: Module, call: ast.Call) -> Iterator[str]:
    name = module.full_name(call.func)
    place = f"{module.where}:{call.lineno}"
    if name in UNCLEAN_CALLS and name not in CLOCKS:
        yield f"{place} {UNCLEAN_CALLS[name]}."
    elif name.startswith(CHANCE) and not (seeded(name, call) or name in CHANCE_TYPES - {"random.Random"}):
        yield f"{place} draws unseeded chance ({name}); take a seed as an argument."
    elif isinstance(call.func, ast.Attribute):
        if call.func.attr == "rvs" and "random_state" not in {word.arg for word in call.keywords}:
            yield f"{place} draws unseeded chance (rvs); give it random_state from a seed."
        elif call.func.attr in FILE_METHODS and not reads_tables(module):
            yield f"{place} touches a file (.{call.func.attr}); take its contents as an argument."


def seeded(name: str, call: ast.Call) -> bool:
    """Whether a source of chance is given its seed."""
    return name.rsplit(".", 1)[1] in SEEDED and bool(call.args or call.keywords)


def reads_tables(module: Module) -> bool:
    return module.where in TABLE_READERS.get(module.package, frozenset())


def tables_of(module: Module) -> str:
    readers = TABLE_READERS.get(module.package)
    return (
        f"in {module.package} that is for {listed(readers)}"
        if readers
        else f"{module.package} reads no files"
    )


def sizes(module: Module) -> Iterator[str]:
    """Modules and functions past the hard end."""
    lines = len(module.text.splitlines())
    if lines > MODULE_END:
        yield f"{module.where} has {lines} lines; {MODULE_END} is the end. Split it by subject."
    for name, length, line in functions(module):
        if length > FUNCTION_END:
            place = f"{module.where}:{line}"
            yield f"{place} {name} has {length} lines; {FUNCTION_END} is the end. Name its stages."


def growing(module: Module) -> Iterator[str]:
    """Modules and functions that are not forbidden but ask why."""
    lines = len(module.text.splitlines())
    if MODULE_ASK < lines <= MODULE_END:
        yield f"{module.where} has {lines} lines; over {MODULE_ASK} ask why."
    for name, length, line in functions(module):
        if FUNCTION_ASK < length <= FUNCTION_END:
            yield f"{module.where}:{line} {name} has {length} lines; over {FUNCTION_ASK} ask why."
    public = [node.name for node in module.tree.body if isinstance(node, DEFINITIONS) and node.name[0] != "_"]
    if len(public) > NAMES_ASK and module.package != "errors":  # a family of errors is one subject
        yield f"{module.where} defines {len(public)} public names; over {NAMES_ASK} ask why."


FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
DEFINITIONS = (*FUNCTIONS, ast.ClassDef)


def functions(module: Module) -> Iterator[tuple[str, int, int]]:
    """Each function's name, its length without its docstring, and its first line."""
    for node in ast.walk(module.tree):
        if isinstance(node, FUNCTIONS):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            if ast.get_docstring(node) is not None:
                text = node.body[0]
                length -= (text.end_lineno or text.lineno) - text.lineno + 1
            yield node.name, length, node.lineno


def empty_names(module: Module) -> Iterator[str]:
    """Files named for no subject: they grow, because nothing is out of place in them."""
    for word in module.name.split(".")[1:]:
        if word in EMPTY_NAMES:
            yield f"{module.where} is named {word}, which names no subject. Call it after what it holds."


def cycles(house: tuple[Module, ...]) -> Iterator[str]:
    """Modules that import each other in a ring."""
    names = {module.name for module in house}
    reach: dict[str, set[str]] = {}
    for module in house:
        reach[module.name] = {
            end for found in module.imports if (end := module_of(found.target, names)) and end != module.name
        }
    done: set[str] = set()
    for start in sorted(names):
        ring = ring_from(start, reach, done)
        if ring:
            yield f"{' imports '.join(ring)}: a ring. Move what both need into a module below."


def module_of(target: str, names: set[str]) -> str | None:
    """The module that an import reaches: `loftbook.book.people.Athlete` is in `loftbook.book.people`."""
    while target and target not in names:
        target = target.rpartition(".")[0]
    return target or None


def ring_from(start: str, reach: dict[str, set[str]], done: set[str]) -> list[str]:
    """The first ring met on a walk down from one module; modules known to be clear are passed by."""
    path: list[str] = []

    def down(name: str) -> list[str]:
        if name in path:
            return [*path[path.index(name) :], name]
        if name in done:
            return []
        path.append(name)
        for other in sorted(reach[name]):
            if ring := down(other):
                return ring
        path.pop()
        done.add(name)
        return []

    ring = down(start)
    done.update(path)
    return ring


def complaints(root: Path) -> list[str]:
    """Every rule that the house under a source root breaks, as sentences."""
    house = modules(root)
    one_by_one = (arrows, impurities, sizes, empty_names)
    found = [sentence for module in house for rule in one_by_one for sentence in rule(module)]
    readers: dict[str, list[str]] = {}
    for module in house:
        if reads_tables(module) and any(within(i.target, "importlib.resources") for i in module.imports):
            readers.setdefault(module.package, []).append(module.where)
    found += [
        f"{listed(places)} both read shipped files; one place is enough."
        for places in readers.values()
        if len(places) > 1
    ]
    return found + list(cycles(house))


def questions(root: Path) -> list[str]:
    """What is allowed but asks why, as sentences."""
    return [sentence for module in modules(root) for sentence in growing(module)]
