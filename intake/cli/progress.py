"""Progress on a terminal, nothing elsewhere."""

import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

Item = TypeVar("Item")


def with_progress(items: Iterable[Item], *, total: int, quiet: bool) -> Iterator[Item]:
    """Yield the items, showing count and time on standard error where that is a terminal."""
    if quiet or total == 1 or not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(
        items, total=total, description="Workbooks", console=Console(stderr=True), transient=True
    )
