"""Reads the data files that the external checks compare with."""

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows_of(name: str) -> list[dict[str, str]]:
    """Return the rows of one data file by column header."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def columns_of(name: str, *headers: str) -> list[tuple[float, ...]]:
    """Return some columns of one data file as numbers, row by row."""
    return [tuple(float(row[header]) for header in headers) for row in rows_of(name)]
