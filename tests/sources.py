"""The program's own sources, parsed: once for all tests of a file that looks through them."""

import ast
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "watcher"
MODULES = sorted(PACKAGE.rglob("*.py"))


@cache
def parsed(file: Path) -> ast.Module:
    """Give the syntax tree of a source file."""
    return ast.parse(file.read_text("utf-8"), str(file))


@cache
def nodes_of(file: Path) -> tuple[ast.AST, ...]:
    """Give all nodes of a source file, as `ast.walk` does."""
    return tuple(ast.walk(parsed(file)))


def forget() -> None:
    """Let go of all trees, which take 90 MB: called by a file of tests when it is done."""
    parsed.cache_clear()
    nodes_of.cache_clear()
