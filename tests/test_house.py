"""The walls of the house: who may import whom, what stands where, and what no file says. The rules stand here alone."""

import ast
import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from tests.sources import MODULES, PACKAGE, forget, nodes_of, parsed

HERE = Path(__file__).parent.parent
TESTS = HERE / "tests"

# The rooms, upstream first, and what each may import beside itself. Data goes one way: a room may import only what
# stands above it. The first five are files of their own, but for the disk.
ROOMS: dict[str, str] = {
    "units": "",
    "terms": "",
    "errors": "",
    "disk": "",
    "steps": "",
    "layout": "units terms errors",  # arithmetic, nothing else
    "settings": "units terms errors disk layout",
    "records": "errors disk steps",  # written to by all that follow
    "inbox": "terms errors settings records",
    "orders": "terms errors disk steps settings records inbox",
    "art": "units terms errors layout settings records inbox orders",
    "sheet": "units terms errors layout settings records art",
    "instructions": "units terms layout settings orders art sheet",
    "archive": "terms errors disk steps layout settings records inbox orders art",
    "outbox": "units terms errors disk steps layout settings records inbox orders archive",
    "align": "units terms errors disk layout settings records art sheet instructions",
    "work": "units terms errors layout settings records inbox orders art sheet instructions archive outbox",
    "service": "terms errors disk steps settings records inbox orders archive outbox work",
    "status": "units terms disk settings records inbox orders instructions archive outbox service",
    "demo": "units errors layout settings",
    "commands": "units terms errors disk layout settings records inbox orders art instructions archive outbox align"
    " work service status demo",
    "__main__": "commands",
}
MOST_RELATIONS = 140  # between rooms, each pair counted once

ARITHMETIC = {"bisect", "collections", "dataclasses", "enum", "fractions", "functools", "heapq", "itertools", "math"}
ARITHMETIC |= {"numpy", "operator", "string", "typing"}

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "config", "systemd", "tests", "watcher"}


@pytest.fixture(autouse=True, scope="module")
def _forget_the_sources():
    yield
    forget()


def _name(file: Path) -> str:
    """Dotted, without the package: `orders.claim`; empty for the package itself."""
    parts = file.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _room(name: str) -> str:
    return name.partition(".")[0]


def _imported(nodes: Iterable[ast.AST]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports name the whole way"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _ours(nodes: Iterable[ast.AST]) -> set[str]:
    """What of this house a piece of code imports, without the package's name."""
    return {name.removeprefix("watcher.") for name in _imported(nodes) if name.startswith("watcher.")} - {"__version__"}


@cache
def _relations() -> dict[str, set[str]]:
    """The rooms that each room imports."""
    relations: dict[str, set[str]] = {room: set() for room in ROOMS}
    for file in MODULES:
        if room := _room(_name(file)):
            relations[room] |= {_room(name) for name in _ours(nodes_of(file))} - {room}
    return relations


# -- imports -----------------------------------------------------------------------------------------------------------


def test_every_room_is_in_the_table():
    assert {_room(_name(file)) for file in MODULES} - {""} == ROOMS.keys()


def test_the_table_lets_no_room_import_what_comes_later():
    order = list(ROOMS)
    for room, allowed in ROOMS.items():
        assert all(order.index(name) < order.index(room) for name in allowed.split()), room


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_what_it_may_and_no_more_is_allowed(room):
    assert _relations()[room] == set(ROOMS[room].split())


def test_there_are_few_relations_between_rooms():
    assert sum(map(len, _relations().values())) <= MOST_RELATIONS


def test_the_layout_is_arithmetic():
    """No file, no pixel, no PDF, no clock."""
    for file in (PACKAGE / "layout").rglob("*.py"):
        foreign = {name.partition(".")[0] for name in _imported(nodes_of(file))} - {"watcher"}
        assert foreign <= ARITHMETIC, file.name


def test_nothing_imports_itself_through_others():
    """Imports at the top of modules, as they are carried out; TopologicalSorter raises for a ring."""
    known = {_name(file) for file in MODULES}
    graph = {}
    for file in MODULES:
        at_the_top = [node for node in parsed(file).body if isinstance(node, ast.Import | ast.ImportFrom)]
        names = {name if name in known else name.rpartition(".")[0] for name in _ours(at_the_top)}
        graph[_name(file)] = names - {_name(file), ""}
    tuple(TopologicalSorter(graph).static_order())


# -- tests mirror the rooms --------------------------------------------------------------------------------------------


def test_each_folder_of_tests_is_a_room_or_a_subject():
    subjects = {"bench", "browser", "faults", "hostile", "kills", "outside", "stories", "stories/gang"}
    folders = {path.parent.relative_to(TESTS).as_posix() for path in TESTS.rglob("*.py")} - {"."}
    rooms = {path.parent.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py")}
    assert folders <= rooms | subjects


LITTLE_LOGIC = 8  # statements in functions; a module of fewer is tested with what uses it
TESTED_IN = {  # modules that are seen whole only with others
    "align.register.conversation": "align/test_conversation.py",
    "align.turn.conversation": "align/test_conversation.py",
    "commands.align_register": "align/test_command.py",
    "demo": "demo/test_art.py",
    "instructions.picture": "instructions/test_page.py",
}


def _statements(file: Path) -> int:
    functions = [node for node in nodes_of(file) if isinstance(node, ast.FunctionDef)]
    return sum(len(one.body) - (ast.get_docstring(one) is not None) for one in functions)


def _test_file(module: Path) -> Path:
    place = module.relative_to(PACKAGE)
    return TESTS / TESTED_IN.get(_name(module), place.parent / f"test_{place.name}")


def test_each_module_with_logic_of_its_own_has_its_test_file():
    with_logic = [file for file in MODULES if _statements(file) > LITTLE_LOGIC]
    assert [_name(file) for file in with_logic if not _test_file(file).is_file()] == []


# -- units -------------------------------------------------------------------------------------------------------------


def _numbers(file: Path) -> Iterator[float]:
    for node in nodes_of(file):
        if isinstance(node, ast.Constant) and not isinstance(node.value, bool | bytes):
            try:
                yield float(node.value)  # also `Fraction("25.4")`
            except (TypeError, ValueError):
                continue


def test_inches_and_points_are_converted_in_one_place():
    """25.4 mm an inch, 72 points an inch, or the one by the other, stand in units.py and nowhere else.

    The demo draws by coordinates; there a 72 is a place in a picture. The kernel numbers its calls; in the messages to
    printers 72 is a tag.
    """
    factors = (25.4, 72.0, 72 / 25.4, 25.4 / 72, 1 / 25.4, 1 / 72)
    others = ("units", "work.walls.seccomp", "outbox.printing.ipp_values")
    for file in MODULES:
        if _name(file) in others or _name(file).startswith("demo"):
            continue
        found = [number for number in _numbers(file) if any(abs(number - one) < one * 1e-3 for one in factors)]
        assert found == [], _name(file)


# -- docstrings --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", sorted(PACKAGE.rglob("*/__init__.py")), ids=_name)
def test_a_room_says_what_comes_in_and_what_goes_out(file):
    said = " ".join((ast.get_docstring(parsed(file)) or "").split())
    assert "In: " in said or _name(file) == ""
    assert "Out: " in said or _name(file) == ""


def test_every_file_says_what_it_is():
    assert [_name(file) for file in MODULES if not ast.get_docstring(parsed(file))] == []


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
