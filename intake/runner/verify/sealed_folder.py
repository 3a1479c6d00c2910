"""A folder of documents beside its ``SHA256SUMS``: what can be said of each without computing it again."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from intake.runner.sums import SUMS, read_sums, standing_by
from intake.runner.verify.compare_documents import Comparison, Standing


def all_alike(folder: Path, names: Sequence[str], standing: Standing, remark: str) -> Iterator[Comparison]:
    """Say the same of each document that is there; a missing one differs."""
    for name in names:
        there = (folder / name).exists()
        yield Comparison(
            name, standing if there else Standing.DIFFERS, remark if there else "the file is missing"
        )


def by_sums(folder: Path, names: Sequence[str], remark: str) -> Iterator[Comparison]:
    """Hold each document against its digest: what differs from it is named, the rest cannot be checked."""
    try:
        same = standing_by(folder, read_sums(folder))
    except (OSError, ValueError) as problem:
        yield Comparison(SUMS, Standing.DIFFERS, str(problem))
        same = {}
    for one in all_alike(folder, names, Standing.UNCHECKED, remark):
        changed = not same.get(one.name, True)
        yield Comparison(one.name, Standing.DIFFERS, f"{SUMS} gives another digest of it") if changed else one
