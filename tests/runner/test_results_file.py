"""A standing record of many batteries takes little memory, whichever command reads it."""

import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from intake.model.result import BatchResult
from intake.report.json.results import results_parts
from intake.runner.loads.custody import custody_of
from intake.runner.loads.graded_stock import read_stock
from intake.runner.read_results import read_results
from intake.runner.recorded_results import recorded_results
from intake.runner.revisions import place_in_chain, standing_set
from intake.runner.verify.compare_judgements import compare_judgements
from intake.runner.write_documents import results_name
from tests.report.builders import battery, result_of

MOST_BYTES = 1200
"""For a battery, of which its record holds over 2,000 bytes and would take some 10,000 if it were read."""

READERS: dict[str, Callable[[Path, BatchResult], object]] = {
    "grade it again": lambda path, new: place_in_chain(new, path.parent, reason=None, by=None),
    "what stands": lambda path, new: standing_set(path.parent, new.batch.batch),
    "resume": lambda path, new: recorded_results(path),
    "another version's": compare_judgements,
    "summarise": lambda path, new: read_results(path, "x"),
    "a load": lambda path, new: read_stock(path),
    "custody": lambda path, new: custody_of("B-001", [path.parent], recursive=False),
}


def graded(folder: Path, *, batteries: int) -> tuple[Path, BatchResult]:
    """Return a record of so many batteries, and the result that it is of."""
    folder.mkdir()
    result = result_of([battery(row, rest_voltage_v=12.0 + row % 90 / 100) for row in range(batteries)])
    path = folder / results_name(result.batch.batch)
    with path.open("wb") as file:
        file.writelines(results_parts(result))
    assert path.stat().st_size > 2000 * batteries
    return path, result


@pytest.fixture(scope="module")
def sizes(tmp_path_factory: pytest.TempPathFactory) -> dict[int, tuple[Path, BatchResult]]:
    root = tmp_path_factory.mktemp("sizes")
    return {count: graded(root / str(count), batteries=count) for count in (400, 2000)}


def peak(read: Callable[[Path, BatchResult], object], path: Path, result: BatchResult) -> int:
    tracemalloc.start()
    try:
        assert read(path, result)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("reader", READERS)
def test_a_battery_more_takes_little_memory_more(
    sizes: dict[int, tuple[Path, BatchResult]], reader: str
) -> None:
    (few, small), (many, large) = sizes.items()
    peak(READERS[reader], *small)  # what is loaded once
    each = (peak(READERS[reader], *large) - peak(READERS[reader], *small)) / (many - few)
    assert each < MOST_BYTES, each
