"""What another version of intake judged, beside what this one does: its documents are not written again."""

from typing import Any

from intake.runner.verify.compare_documents import Comparison, Standing


def compare_judgements(name: str, old: dict[str, Any], new: dict[str, Any]) -> Comparison:
    """Compare the grades and totals of two records of one batch; ``name`` is the record's file name."""
    by = f"written by version {old['version']}"
    before, after = _judgements(old), _judgements(new)
    changed = [key for key in ("batch", "totals") if old.get(key) != new[key]]
    changed += [tag for tag in dict.fromkeys((*after, *before)) if before.get(tag) != after.get(tag)]
    if changed:
        return Comparison(name, Standing.DIFFERS, f"{by}; judged otherwise today: {', '.join(changed)}")
    return Comparison(name, Standing.STANDS, f"{by}; every grade and total is the same today")


def _judgements(document: dict[str, Any]) -> dict[str, tuple[Any, ...]]:
    batteries = document.get("batteries")
    return {
        f"{one.get('tag')} (row {one.get('row')})": tuple(
            one.get(key) for key in ("grade", "evidence", "handling", "stream", "mass_kg")
        )
        for one in (batteries if isinstance(batteries, list) else [])
        if isinstance(one, dict)
    }
