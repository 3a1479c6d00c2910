"""What another version of intake judged, beside what this one does: its documents are not written again."""

from pathlib import Path
from typing import Any, NamedTuple

from intake.model.result import BatchResult
from intake.report.json.results import results_document
from intake.runner.recorded_results import recorded_results
from intake.runner.verify.compare_documents import Comparison, Standing


class _Judgement(NamedTuple):
    """How one battery was judged."""

    battery: str
    judged: tuple[Any, ...]


def compare_judgements(path: Path, result: BatchResult) -> Comparison:
    """Compare the grades and totals of the record of a batch with those that it has today."""
    old = recorded_results(path, battery=_judgement)
    new = results_document(result, each=_judgement)
    by = f"written by version {old['version']}"
    before, after = _by_battery(old.get("batteries")), _by_battery(new["batteries"])
    changed = [key for key in ("batch", "totals") if old.get(key) != new[key]]
    changed += [tag for tag in dict.fromkeys((*after, *before)) if before.get(tag) != after.get(tag)]
    if changed:
        return Comparison(path.name, Standing.DIFFERS, f"{by}; judged otherwise today: {', '.join(changed)}")
    return Comparison(path.name, Standing.STANDS, f"{by}; every grade and total is the same today")


def _judgement(one: Any) -> _Judgement | None:
    """Return how a battery of a record was judged; None: it is no battery."""
    if not isinstance(one, dict):
        return None
    judged = tuple(one.get(key) for key in ("grade", "evidence", "handling", "stream", "mass_kg"))
    return _Judgement(f"{one.get('tag')} (row {one.get('row')})", judged)


def _by_battery(judgements: Any) -> dict[str, tuple[Any, ...]]:
    listed = judgements if isinstance(judgements, list) else ()
    return dict(one for one in listed if one is not None)
