"""The steps of the guide, "Add a jurisdiction", in a copy of the project: one file, and all is green."""

import json

from tests.recipes.conftest import ROOT
from tests.simple_workbook import BATCH, CRACKED, GOOD, write_workbook

NEW = {"key": "Ruritania", "name": "Ruritania", "order": 50, "synonyms": ["Kingdom of Ruritania"]}


def document():
    """Return the rule data of a country of fiction, made from those that claim least."""
    known_least = json.loads((ROOT / "templates/jurisdictions/other.json").read_text())
    return known_least | NEW


def test_a_jurisdiction_is_one_file(copy, tmp_path):
    (copy.root / "templates/jurisdictions/ruritania.json").write_text(json.dumps(document()))
    pallet = write_workbook(
        tmp_path / "pallet.xlsx", [GOOD, CRACKED], batch={**BATCH, "Jurisdiction": "kingdom of ruritania"}
    )

    copy.grade(pallet, tmp_path / "graded")

    results = json.loads((tmp_path / "graded/T-1/T-1-results.json").read_text())
    assert "Ruritania" == results["batch"]["jurisdiction"]
    assert "Reminders of the rules: Ruritania" == results["compliance"]["data_name"]
    assert {"templates/jurisdictions/ruritania.json"} == copy.touched()
    copy.test("-m", "not long", "tests/policy/test_jurisdictions.py", "tests/compliance")
