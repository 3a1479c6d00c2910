"""Whether a period register still stands: it is computed again from the results and loads that it names."""

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from intake import __version__
from intake.model.finding import LeftOut
from intake.model.paper import Paper
from intake.model.register import Period
from intake.policy.strict_json import read_strict_json
from intake.runner.find_results import find_results
from intake.runner.loads.read_loads import LOAD_SUFFIX
from intake.runner.read_results import ResultsRefused, written_bytes
from intake.runner.summarise_batches import DOCUMENTS, fill_register, read_each, summarise
from intake.runner.sums import SUMS, digest_of
from intake.runner.verify.check_seals import beside
from intake.runner.verify.compare_documents import Comparison, Standing, compare
from intake.runner.verify.sealed_folder import all_alike, by_sums
from intake.runner.verify.verify_batches import Verification

_RESULTS = "register.json"


def find_registers(root: Path) -> list[Path]:
    """Return ``root`` itself if it is the folder of a register, else the registers in it, by name."""
    if _is_register(root):
        return [root]
    return sorted(one for one in root.iterdir() if one.is_dir() and _is_register(one))


def _is_register(folder: Path) -> bool:
    """The folder of a register has one of its documents, whatever became of the others."""
    return any(os.path.lexists(folder / name) for name in DOCUMENTS if name != SUMS)


def verify_registers(
    folders: Sequence[Path], root: Path, *, loads: Sequence[Path] = (), rules_folder: Path | None = None
) -> Iterator[Verification]:
    """Compute each register again from the files below ``root`` that have the digests it names.

    Parameters
    ----------
    loads
        Further folders in which loads are kept.
    rules_folder
        A site's own rule data, beside the shipped ones.
    """
    for folder in folders:
        yield Verification(folder, None, tuple(_verify(folder, root, loads, rules_folder)))


def _verify(
    folder: Path, root: Path, loads: Sequence[Path], rules_folder: Path | None
) -> Iterator[Comparison]:
    try:
        content, _ = written_bytes(folder / _RESULTS)
        recorded = _recorded(read_strict_json(content))
    except (ResultsRefused, ValueError, RecursionError) as problem:
        yield from all_alike(folder, DOCUMENTS, Standing.DIFFERS, _unusable(problem))
        return
    if recorded["version"] != __version__:
        yield from by_sums(folder, DOCUMENTS, f"written by version {recorded['version']}")
        return
    results = _at_hand(root, "", recorded["results"])
    sent = [entry for place in (root, *loads) for entry in _at_hand(place, LOAD_SUFFIX, recorded["loads"])]
    missing = len(recorded["results"]) - len(results) + len(recorded["loads"]) - len(dict(sent))
    if missing > 0:
        yield from by_sums(folder, DOCUMENTS, _not_at_hand(missing))
        return
    register = summarise(
        read_each(results, at=None),
        recorded["left_out"],
        recorded["period"],
        paper=recorded["paper"],
        loads=dict(sent).items(),
        rules_folder=rules_folder,
    )
    with tempfile.TemporaryDirectory() as name:
        fill_register(register, Path(name))
        for document in DOCUMENTS:
            yield compare(folder / document, Path(name) / document)
    yield from beside(sorted(one.name for one in folder.iterdir()), DOCUMENTS)


def _recorded(document: Any) -> dict[str, Any]:
    """Return what a register says of its making.

    Raises
    ------
    ValueError
        It does not say it.
    """
    try:
        period, inputs = document["period"], document["inputs"]
        first, last, closing = (date.fromisoformat(period[key]) for key in ("from", "to", "closing"))
        results = {str(one["file"]): str(one["sha256"]) for one in inputs["results"]}
        return {
            "version": str(document["version"]),
            "period": Period(first, last, closing, period["storage_limit_days"]),
            "paper": Paper(inputs["paper"]),
            "results": results,
            "loads": {str(one["file"]): str(one["sha256"]) for one in inputs["loads"]},
            "left_out": [
                LeftOut(str(one["file"]), str(one["reason"]))
                for one in inputs["left_out"]
                if one["file"] not in results
            ],
        }
    except (KeyError, TypeError) as problem:
        raise ValueError("it does not say what it was made from") from problem


def _unusable(problem: Exception) -> str:
    return f"{_RESULTS} cannot be used: {str(problem).splitlines()[0]}"


def _not_at_hand(count: int) -> str:
    files = "file that it was made from is" if count == 1 else "files that it was made from are"
    return f"{count} {files} not at hand as before; say with --loads where loads are kept"


def _at_hand(root: Path, suffix: str, wanted: Mapping[str, str]) -> list[tuple[str, Path]]:
    """Return the files below a folder that a register names and that are as they were."""
    named = {"suffix": suffix} if suffix else {}
    files, _ = find_results(root, recursive=True, **named)
    return [(name, path) for name, path in files if wanted.get(name) == digest_of(path)]
