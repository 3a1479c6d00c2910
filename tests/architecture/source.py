"""The project's own source as syntax trees: who imports what."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "intake"
UNREADABLE = "an import that cannot be read"


class Import(NamedTuple):
    """One imported module, and where."""

    file: str
    """Relative to the checkout, with forward slashes."""
    line: int
    module: str
    """Dotted name; a relative import is resolved."""
    at_load: bool
    """Whether it runs when the file is loaded, not inside a function."""


def python_files(folder: Path = PACKAGE) -> list[Path]:
    """Return all Python files below a folder."""
    return sorted(folder.rglob("*.py"))


def tree_of(path: Path) -> ast.Module:
    """Return the syntax tree of one file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def room_of(path: Path, package: Path = PACKAGE) -> str:
    """Return the room that a file stands in; empty for the package's own files."""
    parts = path.relative_to(package).parts
    return parts[0] if len(parts) > 1 else ""


def _named_in(name: ast.expr) -> str:
    """Return the module that a call names; of a put-together name the part that is sure."""
    if isinstance(name, ast.JoinedStr):
        name = name.values[0]
    return str(name.value) if isinstance(name, ast.Constant) else UNREADABLE


def _names(node: ast.AST, path: Path, root: Path) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        base = list(path.relative_to(root).parent.parts)
        start = base[: len(base) - node.level + 1] if node.level else []
        module = ".".join([*start, *([node.module] if node.module else [])])
        yield from (f"{module}.{alias.name}" for alias in node.names)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute):
        called = node.func.id if isinstance(node.func, ast.Name) else node.func.attr
        if called in ("import_module", "__import__"):
            yield _named_in(node.args[0]) if node.args else UNREADABLE


def imports_of(path: Path, root: Path = ROOT) -> Iterator[Import]:
    """Yield every import of one file, those inside functions and under conditions too."""
    file = path.relative_to(root).as_posix()

    def visit(node: ast.AST, at_load: bool) -> Iterator[Import]:
        for name in _names(node, path, root):
            yield Import(file, getattr(node, "lineno", 0), name, at_load)
        deeper = at_load and not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.iter_child_nodes(node):
            yield from visit(child, deeper)

    yield from visit(tree_of(path), True)
