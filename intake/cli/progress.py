"""Progress on a terminal, nothing elsewhere: there the lines of each workbook tell how far a run is."""

import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

Item = TypeVar("Item")


def with_progress(
    items: Iterable[Item], *, total: int, quiet: bool, what: str = "Workbooks"
) -> Iterator[Item]:
    """Yield the items, showing count, rate and time left on standard error where that is a terminal."""
    if quiet or total == 1 or not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    progress = Progress(
        TextColumn(what),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(compact=True),
        TextColumn("left"),
        console=Console(stderr=True),
        transient=True,
        redirect_stdout=sys.stdout.isatty(),  # else results would land on standard error
    )
    with progress:
        task = progress.add_task("", total=total, rate="")
        for item in items:
            speed = progress.tasks[0].speed
            progress.update(task, advance=1, rate=f"{speed:.1f} a second" if speed else "")
            yield item
