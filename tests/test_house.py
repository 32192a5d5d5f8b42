"""The walls of the house (design section 10): who may import whom, what stands where, and what no file says."""

import ast
import re
import shutil
import subprocess
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

HERE = Path(__file__).parent.parent
PACKAGE = HERE / "watcher"
MODULES = sorted(PACKAGE.rglob("*.py"))

STAGES = ("inbox", "intake", "orders", "art", "layout", "sheet", "outbox")  # the way of an order, upstream first

# What each room may import beside itself. A name stands for the module and everything in it.
COMMON = {"terms", "units", "errors"}
ROOMS: dict[str, set[str]] = {
    "terms": set(),
    "units": set(),
    "errors": set(),
    "disk": set(),
    "steps": set(),
    "screen": set(),
    "layout": COMMON,
    "settings": COMMON | {"layout.geometry"},
    "inbox": COMMON | {"settings", "records.plain_text"},
    "intake": COMMON | {"settings", "records.plain_text", "inbox"},
    "orders": COMMON | {"disk", "steps", "settings", "records.plain_text", "inbox", "intake"},
    # art knows points and sizes, not where a card lies; the layout knows nothing of art
    "art": COMMON
    | {"settings", "records.plain_text", "intake.readable_pdf", "intake.tiff_pages", "orders", "layout.geometry"},
    "sheet": COMMON | {"settings", "records.plain_text", "layout", "art"},
    "outbox": COMMON | {"disk", "steps", "settings", "records", *STAGES[:-1]},
    # written to by all; of the stages it knows the records that it writes down
    "records": COMMON
    | {
        "disk",
        "settings",
        "inbox.file_names",
        "intake.unpack",
        "orders.model",
        "orders.quantity",
        "orders.held_note",
        "art.model",
        "layout.model",
        "layout.alignment",
    },
    # what a repeat comes to; between the queue and the pipeline, and of the stages it hands on findings alone
    "repeat": COMMON | {"disk", "steps", "in_force", "settings", "records", "inbox", "intake", "orders", "art.model"},
    # gang runs: the service's side, which knows orders alone, and the worker's, `runs.pipeline`, which sees every stage
    "runs": COMMON
    | {"disk", "steps", "shop", "job", "answer", "arrange", "order_art", "order_sheets", "pipeline"}
    | {"settings", "records", *STAGES},
    # between the line and the folders: what the service shares and the outer stages; a worker alone sees the inner ones
    "floor": COMMON
    | {"disk", "steps", "in_force", "in_line", "job", "answer", "pauses", "shop", "trouble", "cluster", "workers"}
    | {"settings", "records", "repeat", "runs", "inbox", "intake", "orders", "outbox"},
    # side rooms: no order passes through them
    "demo": COMMON | {"settings", "layout.geometry"},
    "shelf": COMMON | {"disk", "screen", "settings", "records", "inbox.file_names", "orders", "repeat"},
    "status": COMMON | {"screen", "settings", "records", "overview", "shop", "inbox", "intake", "orders", "outbox"},
    "align": COMMON
    | {"disk", "settings", "records", "art", "layout", "sheet", "outbox.instruction_words", "outbox.instruction_style"},
}

# Of the modules at the top, `pipeline` alone sees every stage; these see one of the inner stages, for this reason.
SEE_AN_INNER_STAGE = {
    "pipeline": {"art", "layout", "sheet"},
    "order_art": {"art"},  # what the pipeline begins with: the art opened and checked
    "order_sheets": {"sheet"},  # and what it goes on with: the sheets drawn and looked at
    "job": {"art", "layout"},  # findings, which a worker sends back; the printer's correction
    "in_force": {"layout"},  # the printer's correction, handed on
    "arrange": {"layout"},  # what `make` and `check` both lay out
    "checking": {"art", "layout"},  # `check` describes a layout, and what a card's art will not be able to tell
}

ARITHMETIC = {"bisect", "collections", "dataclasses", "enum", "fractions", "functools", "heapq", "itertools", "math"}
ARITHMETIC |= {"numpy", "operator", "string", "typing"}

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "config", "systemd", "tests", "watcher"}


def _name(file: Path) -> str:
    """Dotted, without the package: `orders.claim`; empty for the package itself."""
    parts = file.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _imported(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name the whole way"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _ours(tree: ast.AST) -> set[str]:
    """What of this house a piece of code imports, without the package's name."""
    return {name.removeprefix("watcher.") for name in _imported(tree) if name.startswith("watcher.")} - {"__version__"}


def _parsed(file: Path) -> ast.Module:
    return ast.parse(file.read_text("utf-8"), str(file))


def _is_within(name: str, allowed: set[str]) -> bool:
    return any(name == one or name.startswith(f"{one}.") for one in allowed)


ROOM_FILES = [file for file in MODULES if _name(file).partition(".")[0] in ROOMS]
GLUE_FILES = [file for file in MODULES if file not in ROOM_FILES and _name(file)]
_by_name = pytest.mark.parametrize("file", ROOM_FILES, ids=_name)


# -- imports -----------------------------------------------------------------------------------------------------------


def test_the_stages_import_upstream_only():
    """The table itself keeps the rule: no room of the way may see one that comes later, but for two shared records."""
    exceptions = {("art", "layout.geometry")}
    for place, stage in enumerate(STAGES):
        seen = {name for name in ROOMS[stage] if name.partition(".")[0] in STAGES}
        downstream = {name for name in seen if STAGES.index(name.partition(".")[0]) >= place}
        assert {(stage, name) for name in downstream} <= exceptions


@_by_name
def test_a_room_imports_what_it_may(file):
    room = _name(file).partition(".")[0]
    strange = {name for name in _ours(_parsed(file)) if not _is_within(name, ROOMS[room] | {room})}
    assert strange == set(), f"{_name(file)} must not import these"


def test_every_room_is_in_the_table():
    assert {path.parent.name for path in PACKAGE.glob("*/__init__.py")} <= ROOMS.keys()


def test_the_layout_is_arithmetic():
    """No file, no pixel, no PDF, no clock."""
    for file in (PACKAGE / "layout").glob("*.py"):
        foreign = {name.partition(".")[0] for name in _imported(_parsed(file))} - {"watcher"}
        assert foreign <= ARITHMETIC, file.name


@pytest.mark.parametrize("file", GLUE_FILES, ids=_name)
def test_the_pipeline_alone_sees_the_inner_stages(file):
    seen = {name.partition(".")[0] for name in _ours(_parsed(file))} & {"art", "layout", "sheet"}
    assert seen <= SEE_AN_INNER_STAGE.get(_name(file), set())


def test_the_pipeline_sees_every_stage_of_making():
    files = (PACKAGE / "pipeline.py", PACKAGE / "order_art.py")  # it begins with the other
    seen = {name.partition(".")[0] for file in files for name in _ours(_parsed(file))}
    assert {"intake", "orders", "art", "layout", "sheet", "outbox", "records"} <= seen


def test_nothing_imports_itself_through_others():
    """Imports at the top of modules, as they are carried out; TopologicalSorter raises for a ring."""
    known = {_name(file) for file in MODULES}
    graph = {}
    for file in MODULES:
        at_the_top = ast.Module(
            [node for node in _parsed(file).body if isinstance(node, ast.Import | ast.ImportFrom)], []
        )
        names = {name if name in known else name.rpartition(".")[0] for name in _ours(at_the_top)}
        graph[_name(file)] = names - {_name(file), ""}
    tuple(TopologicalSorter(graph).static_order())


def test_making_alone_puts_the_floor_together():
    seeing = {_name(file) for file in GLUE_FILES if any(name.startswith("floor.") for name in _ours(_parsed(file)))}
    assert seeing == {"making"}


# -- units -------------------------------------------------------------------------------------------------------------


def _numbers(file: Path) -> Iterator[float]:
    for node in ast.walk(_parsed(file)):
        if isinstance(node, ast.Constant) and not isinstance(node.value, bool | bytes):
            try:
                yield float(node.value)  # also `Fraction("25.4")`
            except (TypeError, ValueError):
                continue


def test_inches_and_points_are_converted_in_one_place():
    """25.4 mm an inch, 72 points an inch, or the one by the other, stand in units.py and nowhere else.

    The demo draws by coordinates; there a 72 is a place in a picture.
    """
    factors = (25.4, 72.0, 72 / 25.4, 25.4 / 72, 1 / 25.4, 1 / 72)
    for file in MODULES:
        if _name(file) == "units" or _name(file).startswith("demo"):
            continue
        found = [number for number in _numbers(file) if any(abs(number - one) < one * 1e-3 for one in factors)]
        assert found == [], _name(file)


# -- docstrings --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", sorted(PACKAGE.glob("*/__init__.py")), ids=_name)
def test_a_room_says_what_comes_in_what_goes_out_and_what_it_may_import(file):
    said = " ".join((ast.get_docstring(_parsed(file)) or "").casefold().split())
    assert re.search(r"\bin:|comes in", said)
    assert re.search(r"\bout:|goes out", said)
    assert "may import" in said


@pytest.mark.parametrize("file", MODULES, ids=lambda file: _name(file) or "watcher")
def test_every_file_says_what_it_is(file):
    assert ast.get_docstring(_parsed(file))


# -- the top of the tree -----------------------------------------------------------------------------------------------


def _kept_files() -> list[Path]:
    """What git keeps; without a checkout, what lies there."""
    git = shutil.which("git")
    if git and (HERE / ".git").exists():
        listed = subprocess.run([git, "ls-files", "-z"], cwd=HERE, capture_output=True, check=True).stdout
        return [HERE / name for name in listed.decode().split("\0") if name]
    return [path for top in TOP for path in [HERE / top, *(HERE / top).rglob("*")] if path.is_file()]


def test_nothing_else_lies_at_the_top():
    top = {path.relative_to(HERE).parts[0] for path in _kept_files()}
    assert {name for name in top if not name.startswith(".")} <= TOP


def test_everything_that_belongs_there_does():
    assert all((HERE / name).exists() for name in TOP)


# -- what no file says -------------------------------------------------------------------------------------------------

# Made-up names stand in examples; put together here, so that this file does not say them either.
_HOMES = ("anna", "NAME", "%i", "YOU")
_PLACES = re.compile(
    "|".join(
        [
            rf"/(?:home|Users)/(?!(?:{'|'.join(_HOMES)})\b)\w+/",
            *(rf"(?<![\w.~/%-])/{place}/\w" for place in ("work", "root", "tmp", "workspace")),
        ]
    )
)


def test_no_file_names_a_place_on_somebodys_machine():
    for file in _kept_files():
        if file.suffix in {".py", ".toml", ".md", ".service", ".csv", ".yml", ".cfg", ""} and file.is_file():
            found = _PLACES.search(file.read_text("utf-8"))
            assert found is None, f"{file.relative_to(HERE)}: {found}"
