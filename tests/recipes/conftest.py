"""A copy of the project in which a recipe of the guide is carried out."""

import json
import re
import shutil
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COPIED = (
    "intake", "schemas", "templates", "tests", "example_batches",
    "pyproject.toml", "README.md", "DEVELOPERS.md",
)  # fmt: skip


@dataclass(frozen=True)
class Copy:
    """The copy, and what was done to it."""

    root: Path

    def replace(self, file, old, new):
        """Change the one place in a file where a text stands."""
        path = self.root / file
        text = path.read_text(encoding="utf-8")
        assert 1 == text.count(old), f"{file} holds {text.count(old)} times: {old}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def add_after(self, file, line, new):
        """Put lines after the one place where a text stands."""
        self.replace(file, line, line + new)

    def append(self, file, new):
        """Put lines at the end of a file."""
        with (self.root / file).open("a", encoding="utf-8") as opened:
            opened.write(new)

    @contextmanager
    def json(self, file):
        """Give what a JSON file holds, and write it back as it was changed."""
        path = self.root / file
        document = json.loads(path.read_text(encoding="utf-8"))
        yield document
        path.write_text(json.dumps(document, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")

    def touched(self):
        """Return the files that differ from the project's, or that it does not have."""
        return {
            path.relative_to(self.root).as_posix()
            for name in COPIED
            for path in (
                [self.root / name] if (self.root / name).is_file() else (self.root / name).rglob("*")
            )
            if path.is_file() and "__pycache__" not in path.parts and not self._as_before(path)
        }

    def _as_before(self, path):
        before = ROOT / path.relative_to(self.root)
        return before.is_file() and before.read_bytes() == path.read_bytes()

    def run(self, *arguments):
        """Run Python in the copy; the environment names nothing of the project itself."""
        return subprocess.run(
            [sys.executable, *map(str, arguments)],
            cwd=self.root,
            env={"PYTHONPATH": str(self.root), "PATH": "/usr/bin:/bin", "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            text=True,
            timeout=3600,
        )

    def test(self, *paths):
        """Run some of the copy's tests and ask that they pass."""
        quick = ("-m", "not office and not long")
        done = self.run("-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *quick, *paths)
        assert 0 == done.returncode, done.stdout[-4000:] + done.stderr[-1000:]

    def grade(self, workbook, out):
        """Grade a workbook by the copy's command; return what it printed."""
        done = self.run("-m", "intake", "grade", workbook, "--out", out)
        assert 0 == done.returncode, done.stdout + done.stderr
        return done.stdout


@pytest.fixture
def copy(tmp_path):
    left_out = shutil.ignore_patterns("__pycache__", ".*")
    for name in COPIED:
        source, target = ROOT / name, tmp_path / "copy" / name
        if source.is_dir():
            shutil.copytree(source, target, ignore=left_out)
        else:
            shutil.copy(source, target)
    return Copy(tmp_path / "copy")


@pytest.fixture
def named_files():
    """Return the files that the guide names for a recipe."""

    def named(recipe):
        guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
        files = r"((?:`[^`]+`(?:,\s+|\s+and\s+)?)+)"
        found = re.search(rf"\*\*{re.escape(recipe)}\.\*\*\s+Files:\s+{files}", guide)
        assert found, f"the guide has no recipe {recipe!r} that begins with its files"
        return set(re.findall(r"`([^`]+)`", found[1]))

    return named
