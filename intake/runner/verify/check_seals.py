"""What the digests of a set and the season's list add to a comparison, and what they alone can tell."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from intake.runner.find_results import EARLIER
from intake.runner.season_list import SEASON_LIST, SeasonLine, read_season
from intake.runner.sums import SUMS, digest_of, read_sums
from intake.runner.verify.compare_documents import Comparison, Standing
from intake.runner.work_folder import is_passing
from intake.runner.write_documents import ENDINGS, document_names

NO_DOCUMENT = "it is no document of this batch"
_MOST_FAULTS = 5


@dataclass(frozen=True, slots=True)
class Season:
    """The season's list, as far as it can be read."""

    by_batch: Mapping[str, Sequence[SeasonLine]] | None
    """None: there is no list, or it cannot be read."""
    problem: str = ""
    standing: Standing = Standing.STANDS


def season_of(out: Path) -> Season:
    """Return the list at the top of a folder of documents."""
    try:
        found = read_season(out)
    except FileNotFoundError:
        return Season(None, "the file is missing", Standing.DIFFERS)
    except ValueError as problem:
        return Season(None, str(problem), Standing.DIFFERS)
    except OSError as problem:
        return Season(
            None, f"it cannot be read: {(problem.strerror or str(problem)).lower()}", Standing.UNCHECKED
        )
    faults = found.faults
    more = f" and {len(faults) - _MOST_FAULTS} more" if len(faults) > _MOST_FAULTS else ""
    told = "; ".join(faults[:_MOST_FAULTS]) + more
    return Season(found.by_batch, told, Standing.DIFFERS if faults else Standing.STANDS)


def documents_of(folder: Path, batch: str, standing: Standing, remark: str) -> list[Comparison]:
    """Say the same of every document of a set; name what is missing and what lies beside them."""
    try:
        names = [*read_sums(folder), SUMS]
    except (OSError, ValueError):
        names = list(document_names(batch))
    there = [entry.name for entry in sorted(folder.iterdir())]
    documents = [
        Comparison(name, standing, remark)
        if name in there
        else Comparison(name, Standing.DIFFERS, "the file is missing")
        for name in names
    ]
    return [*documents, *beside(there, names)]


def beside(there: Sequence[str], names: Sequence[str]) -> Iterator[Comparison]:
    """Yield what lies in a folder and is none of the documents of these names."""
    for name in there:
        if name not in (*names, EARLIER) and not is_passing(name):
            yield Comparison(name, Standing.UNCHECKED, NO_DOCUMENT)


def by_digests(
    folder: Path, documents: Sequence[Comparison], lines: Sequence[SeasonLine] | None, *, sealed: bool
) -> list[Comparison]:
    """Hold documents that could not be computed again against their digests.

    Parameters
    ----------
    lines
        What the season's list holds of the batch; None: there is no list.
    sealed
        Whether a document stands by its digest where the list holds it: another version wrote the set.
    """
    try:
        digests = read_sums(folder)
    except FileNotFoundError:
        return [_without_sums(one, lines) for one in documents]
    except (OSError, ValueError) as problem:
        told = Comparison(SUMS, Standing.DIFFERS, str(problem))
        return [told if one.name == SUMS else one for one in documents]
    listed = lines is not None and digest_of(folder / SUMS) in [line.digest for line in lines[-1:]]
    return [_by_digest(folder, one, digests, listed, sealed) for one in documents]


def _without_sums(one: Comparison, lines: Sequence[SeasonLine] | None) -> Comparison:
    if one.name == SUMS and not lines:
        return replace(
            one, standing=Standing.UNCHECKED, remark="the file is missing; no list says that there was one"
        )
    return one


def _by_digest(
    folder: Path, one: Comparison, digests: Mapping[str, str], listed: bool, sealed: bool
) -> Comparison:
    if one.standing is Standing.DIFFERS or (one.name != SUMS and one.name not in digests):
        return one
    if one.name != SUMS and digest_of(folder / one.name) != digests[one.name]:
        return replace(one, standing=Standing.DIFFERS, remark=f"{SUMS} gives another digest of it")
    ground = f"unchanged by {SUMS} and {SEASON_LIST}" if listed else f"unchanged by {SUMS} alone"
    standing = Standing.STANDS if listed and sealed and one.standing is Standing.UNCHECKED else one.standing
    return replace(one, standing=standing, remark=f"{one.remark}; {ground}")


def by_season(
    folder: Path, documents: Sequence[Comparison], lines: Sequence[SeasonLine] | None
) -> list[Comparison]:
    """Hold the set as a whole against the season's list: its last of the batch has to be the one there."""
    return [_in_season(folder, one, lines) if one.name == SUMS else one for one in documents]


def _in_season(folder: Path, one: Comparison, lines: Sequence[SeasonLine] | None) -> Comparison:
    if lines is None or one.standing is Standing.DIFFERS or not (folder / SUMS).is_file():
        return one
    digest = digest_of(folder / SUMS)
    places = [place for place, line in enumerate(lines, start=1) if line.digest == digest]
    if not places:
        why = "the set was changed, or comes from elsewhere, or its run was stopped before it was listed"
        return replace(
            one, standing=Standing.DIFFERS, remark=f"{SEASON_LIST} does not hold its digest: {why}"
        )
    if places[-1] != len(lines):
        why = f"{SEASON_LIST} has {len(lines)} sets of this batch, and this is its set {places[-1]}"
        return replace(one, standing=Standing.DIFFERS, remark=f"an earlier set was put back: {why}")
    if len(lines) > 1:
        told = f"set {len(lines)} that was written of this batch, revision {lines[-1].revision}"
        return replace(one, remark="; ".join(part for part in (one.remark, told) if part))
    return one


def look_around(out: Path, season: Season, batches: Sequence[str]) -> list[Comparison]:
    """Return how the list itself stands, the folders that it misses, and documents outside their folders."""
    found = [Comparison(SEASON_LIST, season.standing, season.problem)]
    for batch, lines in (season.by_batch or {}).items():
        if batch not in batches:
            sets = "1 set" if len(lines) == 1 else f"{len(lines)} sets"
            found.append(
                Comparison(batch, Standing.DIFFERS, f"its folder is missing; {SEASON_LIST} has {sets} of it")
            )
    for entry in sorted(out.iterdir()):
        if entry.name == SUMS or (entry.name.endswith(ENDINGS) and entry.is_file()):
            found.append(
                Comparison(entry.name, Standing.UNCHECKED, "it lies outside the folder of its batch")
            )
    return found
