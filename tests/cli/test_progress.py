"""Progress shows on a terminal only."""

import io

import pytest

from intake.cli import progress


class Screen(io.StringIO):
    def __init__(self, *, terminal: bool) -> None:
        super().__init__()
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal


@pytest.mark.parametrize(
    ("terminal", "total", "quiet", "shown"),
    [(True, 3, False, True), (False, 3, False, False), (True, 1, False, False), (True, 3, True, False)],
)
def test_progress_shows_on_a_terminal_with_several_workbooks(monkeypatch, terminal, total, quiet, shown):
    screen = Screen(terminal=terminal)
    monkeypatch.setattr(progress.sys, "stderr", screen)

    items = list(progress.with_progress(range(total), total=total, quiet=quiet))

    assert list(range(total)) == items
    assert shown is ("Workbooks" in screen.getvalue())


def test_results_go_to_standard_output_even_while_the_bar_shows(monkeypatch, capsys):
    screen = Screen(terminal=True)
    monkeypatch.setattr(progress.sys, "stderr", screen)

    for item in progress.with_progress(["a", "b"], total=2, quiet=False):
        print(f"result {item}")

    assert "result a\nresult b\n" == capsys.readouterr().out
    assert "result" not in screen.getvalue()
    assert "2/2" in screen.getvalue()
