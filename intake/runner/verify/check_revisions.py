"""The revisions before the set that stands: a chain of records, each kept whole under its number."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from intake.model.result import BatchResult
from intake.model.revision import FIRST, Revision
from intake.policy.long_json import Reduce
from intake.register.changes import battery_changes, changes_between, texts_of
from intake.report.json.results import results_document
from intake.runner.find_results import EARLIER
from intake.runner.recorded_results import recorded_results
from intake.runner.results_file import forgotten
from intake.runner.revisions import DAMAGED, revision_of
from intake.runner.season_list import SEASON_LIST, SeasonLine
from intake.runner.sums import SUMS, digest_of, read_sums, standing_by
from intake.runner.verify.check_seals import NO_DOCUMENT
from intake.runner.verify.compare_documents import Comparison, Standing
from intake.runner.work_folder import is_passing
from intake.runner.write_documents import results_name

_MISSING_NAMED = 3
"""A record that was changed may name any number of revisions before it."""


def revision_again(folder: Path, record: Mapping[str, Any] | None, result: BatchResult) -> Revision:
    """Return the place in the chain that a set computed again has, by the set that it replaced.

    The reason and who gave it are taken from the record: nothing else knows them.
    """
    stated = _stated(record)
    if stated.number == 1:
        return FIRST
    earlier = _record(folder / EARLIER / str(stated.number - 1), result.batch.batch, battery=texts_of)
    if earlier is None:
        return stated
    try:
        changes = changes_between(earlier, results_document(result, each=texts_of))
    except DAMAGED:
        return stated
    if battery_changes(changes) == battery_changes(stated.changes):
        changes = stated.changes  # the set was written anew since, without another battery or grade
    digest = digest_of(folder / EARLIER / str(stated.number - 1) / results_name(result.batch.batch))
    return stated._replace(replaces=digest, changes=changes)


def of_earlier(folder: Path, batch: str, source_sha256: str) -> int | None:
    """Return the last revision before the one that stands whose workbook has this digest; None: none has."""
    kept = folder / EARLIER
    for number in _to_be_kept(kept, 1 + max(_numbers(kept), default=0)):
        found = _record(kept / number, batch)
        if found and found["source"]["sha256"] == source_sha256:
            return int(number)
    return None


def check_earlier(
    folder: Path, batch: str, record: Mapping[str, Any] | None, lines: Sequence[SeasonLine] | None
) -> Iterator[Comparison]:
    """Yield how each revision before the one that stands is kept, the last first."""
    stated = _stated(record)
    kept = _to_be_kept(folder / EARLIER, stated.number)
    replaced = stated.replaces
    for number in kept:
        place = folder / EARLIER / number
        problems = list(_problems(place, batch, replaced, lines))
        yield from (
            Comparison(f"{EARLIER}/{number}/{name}", Standing.DIFFERS, remark) for name, remark in problems
        )
        if not problems:
            yield Comparison(
                f"{EARLIER}/{number}", Standing.STANDS, "by its digests and its place in the chain"
            )
        found = _record(place, batch)
        replaced = _stated(found).replaces if found else None
    if (folder / EARLIER).is_dir():
        for entry in sorted((folder / EARLIER).iterdir()):
            if entry.name not in kept and not is_passing(entry.name):
                yield Comparison(f"{EARLIER}/{entry.name}", Standing.UNCHECKED, NO_DOCUMENT)


def _to_be_kept(folder: Path, number: int) -> list[str]:
    """Return the revisions before one: those that are there, and the last few of those that are not."""
    present = _numbers(folder)
    before = range(number - 1, 0, -1)
    missing = islice((one for one in before if one not in present), _MISSING_NAMED)
    return [str(one) for one in sorted({*missing, *(one for one in present if one in before)}, reverse=True)]


def _numbers(folder: Path) -> set[int]:
    there = {entry.name for entry in folder.iterdir()} if folder.is_dir() else set()
    return {int(name) for name in there if name.isascii() and name.isdecimal() and name[0] != "0"}


def _problems(
    place: Path, batch: str, replaced: str | None, lines: Sequence[SeasonLine] | None
) -> Iterator[tuple[str, str]]:
    """Yield name and remark of each document of a kept revision that is not as it was."""
    results = results_name(batch)
    digest = digest_of(place / results)
    if not digest:
        yield results, "the file is missing"
        return
    if replaced is not None and digest != replaced:
        yield results, "it is not the record that the next revision replaces"
    try:
        found = standing_by(place, read_sums(place))
    except FileNotFoundError:
        yield SUMS, "the file is missing"
        return
    except (OSError, ValueError) as problem:
        yield SUMS, str(problem)
        return
    yield from ((name, f"{SUMS} gives another digest of it") for name, stands in found.items() if not stands)
    if lines is not None and digest_of(place / SUMS) not in [line.digest for line in lines]:
        yield SUMS, f"{SEASON_LIST} does not hold its digest"


def _record(place: Path, batch: str, battery: Reduce = forgotten) -> dict[str, Any] | None:
    try:
        return recorded_results(place / results_name(batch), battery=battery)
    except (OSError, ValueError):
        return None


def _stated(record: Mapping[str, Any] | None) -> Revision:
    """Return what a record says of its place in the chain; what it says amiss makes it the first."""
    try:
        return revision_of(record) if record else FIRST
    except DAMAGED:
        return FIRST
