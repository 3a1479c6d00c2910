"""What README.md and DEVELOPERS.md say is so."""

import re
import shlex
from pathlib import Path

import pytest

from intake.cli.arguments import SHORT_WAY, build_parser
from intake.cli.exit_codes import ExitCode

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def shell_blocks() -> list[str]:
    return re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)


def test_the_two_shell_blocks_hold_one_command_each():
    assert [1, 1] == [len(block.strip().splitlines()) for block in shell_blocks()]


def test_the_first_block_sets_up_and_grades_an_example_that_is_there():
    words = shlex.split(shell_blocks()[0])

    assert "venv" in words
    assert "install" in words
    assert "grade" in words
    (workbook,) = [word for word in words if word.endswith(".xlsx")]
    assert (ROOT / workbook).is_file()


def test_the_first_block_parses_as_a_command_line():
    words = shlex.split(shell_blocks()[0])
    options = build_parser().parse_args(words[words.index("grade") :])

    assert options.overwrite


def test_the_blocks_for_powershell_do_what_those_for_a_posix_shell_do():
    """Their words are the same but for the paths; that they run there is untried, and the text says so."""
    theirs = re.findall(r"```powershell\n(.*?)```", README, flags=re.DOTALL)
    assert 2 == len(theirs)
    for ours, block in zip(shell_blocks(), theirs, strict=True):
        plain = (
            block.strip()
            .replace("\\", "/")
            .replace(".exe", "")
            .replace("./.venv", ".venv")
            .replace("Scripts", "bin")
        )
        last = ours.strip().split("&& ")[-1]
        assert plain.endswith(last)
        assert [len(ours.split("&&"))] == [len(plain.split("; "))]
    assert "which nobody has\ntried yet" in README


def test_every_exit_code_stands_in_the_table():
    table = {int(code) for code in re.findall(r"^\| (\d+) \|", README, flags=re.MULTILINE)}

    assert {int(code) for code in ExitCode} == table


def test_every_command_is_named():
    parser = build_parser()
    commands = next(action for action in parser._actions if action.dest == "command").choices

    assert [] == [name for name in commands if f"`intake {name}" not in README and name != SHORT_WAY]
    assert "`intake WORKBOOK.xlsx`" in README


def test_every_command_that_is_named_exists():
    parser = build_parser()
    commands = next(action for action in parser._actions if action.dest == "command").choices

    assert [] == [name for name in re.findall(r"`intake ([a-z]+)", README) if name not in commands]


@pytest.mark.parametrize("text", [README, GUIDE], ids=["README.md", "DEVELOPERS.md"])
def test_every_path_that_is_named_exists(text):
    paths = re.findall(r"[`\"(]((?:intake|schemas|templates|tests|example_batches)/[\w./-]*)[`\")]", text)

    assert 0 < len(paths)
    assert [] == [path for path in paths if not (ROOT / path).exists()]


def test_the_top_level_holds_what_the_guide_allows():
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "intake",
        "schemas",
        "templates",
        "tests",
        "example_batches",
    }
    ignored = {"graded", "dist", "build"}

    assert (
        set()
        == {entry.name for entry in ROOT.iterdir() if not entry.name.startswith(".")} - allowed - ignored
    )
