"""``--rules DIR``: a site's own rule data, beside the shipped ones."""

import json

import pytest
from openpyxl import load_workbook

from intake.cli.main import main
from intake.policy.resources import resource_text
from tests.simple_workbook import BATCH, CRACKED, GOOD, write_workbook


@pytest.fixture
def rules(tmp_path):
    """A folder with the rule data of a country of fiction."""
    folder = tmp_path / "rules"
    folder.mkdir()
    document = json.loads(resource_text("templates/jurisdictions", "other.json"))
    document |= {"key": "Ruritania", "name": "Ruritania", "synonyms": []}
    (folder / "ruritania.json").write_text(json.dumps(document))
    return folder


@pytest.fixture
def pallet(tmp_path):
    batch = {**BATCH, "Jurisdiction": "Ruritania"}
    return write_workbook(tmp_path / "pallet.xlsx", [GOOD, CRACKED], batch=batch)


def test_its_jurisdiction_can_be_graded(rules, pallet, tmp_path):
    code = main(["grade", str(pallet), "--out", str(tmp_path / "out"), "--rules", str(rules)])

    assert 0 == code
    results = json.loads((tmp_path / "out/T-1/T-1-results.json").read_text())
    assert "Reminders of the rules: Ruritania" == results["compliance"]["data_name"]


def test_without_the_option_it_is_not_known(rules, pallet, tmp_path, capsys):
    assert 3 == main(["grade", str(pallet), "--out", str(tmp_path / "out")])
    assert "is not one of US, EU, UK" in capsys.readouterr().out


def test_several_processes_know_it_too(rules, tmp_path):
    (tmp_path / "in").mkdir()
    for number in (1, 2):
        batch = {**BATCH, "Batch": f"R-{number}", "Jurisdiction": "Ruritania"}
        write_workbook(tmp_path / f"in/{number}.xlsx", [GOOD], batch=batch)

    arguments = ["grade", str(tmp_path / "in"), "--out", str(tmp_path / "out"), "--jobs", "2"]

    assert 0 == main([*arguments, "--rules", str(rules)])


def test_the_blank_workbook_offers_it(rules, tmp_path):
    assert 0 == main(["new", str(tmp_path / "blank.xlsx"), "--rules", str(rules)])

    lists = load_workbook(tmp_path / "blank.xlsx")["Batch"].data_validations.dataValidation
    assert any("Ruritania" in (rule.formula1 or "") for rule in lists)


def test_the_register_recalls_its_storage_rules(rules, pallet, tmp_path):
    out = str(tmp_path / "out")
    main(["grade", str(pallet), "--out", out, "--rules", str(rules)])

    days = ["--from", "2026-01-01", "--to", "2026-12-31"]
    assert 0 == main(["summarise", out, *days, "--rules", str(rules)])

    (register,) = (tmp_path / "out").glob("register-*/register.json")
    (reminder,) = json.loads(register.read_text())["storage_reminders"]
    assert ("Ruritania", "Storage time: local law decides") == (
        reminder["jurisdiction"],
        reminder["statements"][0]["heading"],
    )


@pytest.mark.parametrize("command", ["grade", "check", "new", "summarise", "verify"])
def test_rule_data_that_break_the_schema_are_refused_with_their_place(
    command, rules, pallet, tmp_path, capsys
):
    (rules / "broken.json").write_text('{"schema": "intake-jurisdiction/1", "key": "No such key!"}')
    targets = {"new": tmp_path / "blank.xlsx", "summarise": tmp_path, "verify": tmp_path}
    arguments = [command, str(targets.get(command, pallet)), "--rules", str(rules)]
    arguments += ["--out", str(tmp_path / "out")] if command == "grade" else []
    arguments += ["--from", "2026-01-01", "--to", "2026-12-31"] if command == "summarise" else []

    assert 2 == main(arguments)
    told = capsys.readouterr().err
    assert "broken.json: these rule data cannot be used" in told
    assert "$.key" in told


@pytest.mark.parametrize("content", [b"", b"\xff\xfe{", b"[1, 2"])
def test_what_is_no_json_is_refused(content, rules, pallet, capsys):
    (rules / "broken.json").write_bytes(content)

    assert 2 == main(["check", str(pallet), "--rules", str(rules)])
    assert "this is not a JSON file" in capsys.readouterr().err


def test_an_empty_folder_and_a_missing_one_are_refused(pallet, tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    assert 2 == main(["check", str(pallet), "--rules", str(tmp_path / "empty")])
    assert "holds no .json file" in capsys.readouterr().err
    assert 2 == main(["check", str(pallet), "--rules", str(tmp_path / "missing")])
    assert "cannot be read" in capsys.readouterr().err
