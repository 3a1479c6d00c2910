"""Where results files are looked for."""

from pathlib import Path

import pytest

from intake.runner import find_results as module
from intake.runner.find_results import find_results


@pytest.fixture
def tree(tmp_path) -> Path:
    for name in (
        "own-results.json",
        "b/b-results.json",
        "a/a-results.json",
        "a/a-manifest.pdf",
        "2026/q3/c/c-results.json",
        ".hidden/h-results.json",
        "a/.h-results.json",
        "register-2026/register.json",
    ):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    return tmp_path


def names(root, *, recursive):
    return [name for name, _ in find_results(root, recursive=recursive)[0]]


def test_the_folder_itself_and_the_folders_in_it(tree):
    assert ["a/a-results.json", "b/b-results.json", "own-results.json"] == names(tree, recursive=False)


def test_recursive_looks_into_all_folders(tree):
    found, closed = find_results(tree, recursive=True)

    assert ["2026/q3/c/c-results.json", "a/a-results.json", "b/b-results.json", "own-results.json"] == [
        name for name, _ in found
    ]
    assert all(path == tree / name for name, path in found)
    assert [] == closed


def test_a_loop_of_links_ends(tree):
    (tree / "a" / "loop").symlink_to(tree)
    (tree / "b" / "again").symlink_to(tree / "a")

    assert 4 == len(names(tree, recursive=True))


def test_a_folder_that_can_not_be_opened_is_named(tree, monkeypatch):
    def entries(folder, plain=module._entries):
        if folder.name == "b":
            raise PermissionError(13, "Permission denied")
        return plain(folder)

    monkeypatch.setattr(module, "_entries", entries)
    found, closed = find_results(tree, recursive=False)

    assert ["a/a-results.json", "own-results.json"] == [name for name, _ in found]
    assert [("b/", "The folder cannot be opened: permission denied.")] == [
        (one.file, one.reason) for one in closed
    ]


def test_a_folder_named_like_a_results_file_is_told_later_not_entered(tree):
    (tree / "d-results.json").mkdir()

    assert "d-results.json" in names(tree, recursive=True)
