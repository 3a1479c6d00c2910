"""One results file read, judged and reduced to what the period register needs of it."""

import stat
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from intake.compliance.streams import stream_to_leave_by
from intake.model.account import StockItem
from intake.model.battery import Chemistry
from intake.model.kilograms import grams, in_kg
from intake.model.register import GradedBatch, Group
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.long_json import Reduce
from intake.policy.regular_file import Unreadable
from intake.policy.results_schema import entry_problem, problem_beside_entries
from intake.policy.second_look import handled_as, which_stand_apart
from intake.policy.strict_json import read_strict_json
from intake.policy.waste_streams import stream_titles
from intake.runner.results_file import RESULTS_BYTES_MOST, ResultsFile, forgotten, read_results_file

LARGEST_BYTES = 64 * 1024 * 1024
"""Of a file that is read whole; a larger one would fill the memory."""
_HEAVIEST_KG = 1000.0
"""No 12 V battery comes near; a mass beyond it is no reading."""
_LONGEST_TEXT = 500
"""Signs; a workbook's own fields hold fewer."""
_ROUNDING_G = 1
"""By so much for each battery a total may differ: each mass is rounded by itself."""


_COUNTED = (
    *("tag", "row", "chemistry", "grade", "evidence", "handling"),
    *("case", "note", "stream", "mass_kg", "mass_estimated"),
)
"""What the register needs of a battery."""
_Listed = tuple[Mapping[str, Any], bool]
"""A battery of the list, and whether it stands apart."""


class ResultsRefused(Exception):
    """A file is no results file that can be counted. ``str()`` is the reason as a plain sentence."""


def read_results(path: Path, name: str) -> GradedBatch:
    """Return the small record of one results file.

    Parameters
    ----------
    path
        The file.
    name
        What it is called in the register.

    Raises
    ------
    ResultsRefused
        It cannot be read, is damaged, was not written by intake, or contradicts itself.
    """
    document, digest = results_document(path, battery=_counted)
    return _batch(document, name, digest)


def results_document(path: Path, *, battery: Reduce) -> ResultsFile:
    """Return what a results file holds, checked against its schema, and its SHA-256.

    Parameters
    ----------
    battery
        What is kept of each battery; of findings nothing is.

    Raises
    ------
    ResultsRefused
        It cannot be read, is damaged, or was not written by intake.
    """
    entries = {"findings": _Entries("findings", forgotten), "batteries": _Entries("batteries", battery)}
    try:
        _refuse_size(path, RESULTS_BYTES_MOST)
        found = read_results_file(path, battery=entries["batteries"].take, finding=entries["findings"].take)
    except (ValueError, RecursionError) as problem:
        raise _no_json(problem) from problem
    except Unreadable as problem:
        raise ResultsRefused(f"It cannot be read: {problem}.") from problem
    except OSError as problem:
        raise _unreadable(problem) from problem
    document = found.document
    if not isinstance(document, dict) or "schema" not in document:
        raise ResultsRefused("It was not written by intake: it names no schema.")
    problems = [one.problem for one in entries.values() if one.problem is not None]
    broken = problem_beside_entries(document) or next(iter(problems), None)
    if broken is not None:
        raise ResultsRefused(f"It does not keep to the results schema: {broken}.")
    return found


class _Entries:
    """The entries of a long list, each held against the schema before it is reduced."""

    def __init__(self, key: str, keep: Reduce) -> None:
        self.problem: str | None = None
        """The first that breaks the schema; nothing is kept of those behind it."""
        self._key, self._keep, self._number = key, keep, 0

    def take(self, entry: Any) -> Any:
        """Return what is kept of the next entry."""
        if self.problem is None:
            self.problem = entry_problem(entry, self._key, self._number)
            self._number += 1
        return self._keep(entry) if self.problem is None else None


def written_json(path: Path) -> tuple[Any, str]:
    """Return what a JSON file holds, and its SHA-256.

    Raises
    ------
    ResultsRefused
        It cannot be read, is too large, or is no JSON.
    """
    content, digest = written_bytes(path)
    try:
        return read_strict_json(content), digest
    except (ValueError, RecursionError) as problem:
        raise _no_json(problem) from problem


def written_bytes(path: Path) -> tuple[bytes, str]:
    """Return the bytes of a file that intake may have written, and their SHA-256.

    Raises
    ------
    ResultsRefused
        It cannot be read.
    """
    try:
        _refuse_size(path, LARGEST_BYTES)
        content = path.read_bytes()
    except OSError as problem:
        raise _unreadable(problem) from problem
    return content, sha256(content).hexdigest()


def _refuse_size(path: Path, most_bytes: int) -> None:
    """Refuse what is no file, is empty, or is larger than this."""
    about = path.stat()
    if not stat.S_ISREG(about.st_mode):
        raise ResultsRefused("It is no file.")
    if about.st_size > most_bytes:
        size = f"{about.st_size:,} bytes, more than the {most_bytes:,} that are read"
        raise ResultsRefused(f"It is too large: {size}.")
    if not about.st_size:
        raise ResultsRefused("It is empty.")


def _unreadable(problem: OSError) -> ResultsRefused:
    return ResultsRefused(f"It cannot be read: {(problem.strerror or str(problem)).lower()}.")


def _no_json(problem: Exception) -> ResultsRefused:
    return ResultsRefused(f"It is no readable JSON: {_first_line(problem)}.")


def _first_line(problem: Exception) -> str:
    if isinstance(problem, RecursionError):
        return "it is nested too deeply"
    return str(problem).splitlines()[0]


def _counted(battery: Mapping[str, Any]) -> dict[str, Any]:
    return {key: battery.get(key) for key in _COUNTED}


def _batch(document: Mapping[str, Any], name: str, digest: str) -> GradedBatch:
    said, batteries = document["batch"], document["batteries"]
    for place, text in _texts(document):
        if text is not None and len(text) > _LONGEST_TEXT:
            raise ResultsRefused(f"{place} is longer than {_LONGEST_TEXT} signs.")
    groups = _groups(batteries)
    for contradiction in _contradictions(document["totals"], groups):
        raise ResultsRefused(contradiction)
    return GradedBatch(
        batch=said["batch"],
        site=said["site"],
        received=_day(said, "received"),
        latest_reading=_day(said, "latest_reading" if said.get("latest_reading") else "received"),
        jurisdiction=said["jurisdiction"],
        received_from=said.get("received_from"),
        ship_date=_day(said, "ship_date") if said.get("ship_date") else None,
        meter=said.get("meter"),
        calibration_due=_day(said, "calibration_due") if said.get("calibration_due") else None,
        wrong_acceptances=_wrong_acceptances(document, len(batteries)),
        groups=groups,
        stock=tuple(_stock(said, one) for one in batteries),
        tags=tuple(one["tag"] for one in batteries if one["tag"] != f"row {one['row']}"),
        version=document["version"],
        policy_name=document["policy"]["name"],
        policy_sha256=document["policy"]["sha256"],
        source_sha256=document["source"]["sha256"],
        file=name,
        file_sha256=digest,
    )


def _stock(said: Mapping[str, Any], one: Mapping[str, Any]) -> StockItem:
    mass_kg = one["mass_kg"]
    return StockItem(
        batch=said["batch"],
        tag=one["tag"],
        received=_day(said, "received"),
        chemistry=Chemistry(one["chemistry"]),
        grade=Grade(one["grade"]),
        handling=handled_as(handling=Handling(one["handling"]), case=one.get("case"), note=one.get("note")),
        stream=stream_to_leave_by(
            chemistry=Chemistry(one["chemistry"]), grade=Grade(one["grade"]), stream=one["stream"]
        ),
        mass_g=None if mass_kg is None else grams(mass_kg),
    )


def _texts(document: Mapping[str, Any]) -> Iterator[tuple[str, str | None]]:
    """Yield the texts that the register takes over, with their places."""
    for key in ("site", "received_from", "meter"):
        yield f"batch/{key}", document["batch"].get(key)
    yield "policy/name", document["policy"]["name"]
    yield "version", document["version"]
    for number, one in enumerate(document["batteries"]):
        yield f"batteries/{number}/tag", one["tag"]


def _day(said: Mapping[str, Any], key: str) -> date:
    try:
        return date.fromisoformat(said[key])
    except ValueError as problem:
        raise ResultsRefused(f"batch/{key} is {said[key]}, which is no day of the calendar.") from problem


def _wrong_acceptances(document: Mapping[str, Any], batteries: int) -> float | None:
    if "figures" not in document:
        return None
    expected = float(document["figures"]["expected_wrong_voltage_decisions"]["in_use"]["wrong_acceptances"])
    if expected > batteries:
        raise ResultsRefused(f"It expects {expected:g} wrong acceptances among {batteries} batteries.")
    return expected


def _groups(batteries: list[Mapping[str, Any]]) -> tuple[Group, ...]:
    """Put together the batteries that are alike, in the order of the enumerations."""
    known = list(stream_titles())
    alike: dict[tuple[Chemistry, Grade, Evidence, str | None], list[_Listed]] = defaultdict(list)
    tags = [one["tag"] for one in batteries]
    found = [(Handling(one["handling"]), one.get("case"), one.get("note")) for one in batteries]
    for one, apart in zip(batteries, which_stand_apart(tags, found), strict=True):
        stream, mass = one["stream"], one["mass_kg"]
        if stream is not None and stream not in known:
            raise ResultsRefused(f"Battery {one['tag']}: the waste stream {stream!r:.60} is not known.")
        if mass is not None and mass > _HEAVIEST_KG:
            raise ResultsRefused(f"Battery {one['tag']}: {mass:g} kg is no mass of a battery.")
        key = Chemistry(one["chemistry"]), Grade(one["grade"]), Evidence(one["evidence"]), stream
        alike[key].append((one, apart))
    chemistries, grades, proofs, streams = list(Chemistry), list(Grade), list(Evidence), [None, *known]

    def place(key: tuple[Chemistry, Grade, Evidence, str | None]) -> tuple[int, ...]:
        chemistry, grade, evidence, stream = key
        return (
            chemistries.index(chemistry),
            grades.index(grade),
            proofs.index(evidence),
            streams.index(stream),
        )

    return tuple(_group(*key, alike[key]) for key in sorted(alike, key=place))


def _group(
    chemistry: Chemistry,
    grade: Grade,
    evidence: Evidence,
    stream: str | None,
    ones: list[_Listed],
) -> Group:
    weighed = [
        (grams(one["mass_kg"]), one["mass_estimated"]) for one, _ in ones if one["mass_kg"] is not None
    ]
    return Group(
        chemistry=chemistry,
        grade=grade,
        evidence=evidence,
        stream=stream,
        count=len(ones),
        mass_g=sum(mass for mass, _ in weighed),
        mass_estimated_g=sum(mass for mass, estimated in weighed if estimated),
        without_mass=len(ones) - len(weighed),
        apart=tuple(one["tag"] for one, apart in ones if apart),
    )


def _contradictions(totals: Mapping[str, Any], groups: tuple[Group, ...]) -> Iterator[str]:
    """Yield where the file's own totals are not those of its batteries."""
    counts: Counter[tuple[str, str]] = Counter()
    masses: Counter[tuple[str, str]] = Counter()
    for group in groups:
        for place in (("by_grade", group.grade.value), ("by_stream", group.stream or "")):
            counts[place] += group.count
            masses[place] += group.mass_g
    del counts["by_stream", ""]
    stated = {(part, key): total for part in ("by_grade", "by_stream") for key, total in totals[part].items()}
    for (part, key), total in stated.items():
        count, mass_g = counts.pop((part, key), 0), masses[part, key]
        if count != total["count"]:
            yield (
                f"It contradicts itself: totals/{part}/{key} counts {total['count']} batteries, "
                f"its list holds {count}."
            )
        if total["mass_kg"] > _HEAVIEST_KG * count or abs(grams(total["mass_kg"]) - mass_g) > (
            _ROUNDING_G * count
        ):
            yield (
                f"It contradicts itself: totals/{part}/{key} gives {total['mass_kg']:g} kg, "
                f"its list {in_kg(mass_g):g} kg."
            )
    for part, key in counts:
        yield f"It contradicts itself: totals/{part} lacks {key}, which stands in its list."
