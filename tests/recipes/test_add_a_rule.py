"""The steps of the guide, "Add a number to the grading" and "Add a rule", in a copy of the project."""

import json

import pypdf

from tests.simple_workbook import GOOD, write_workbook

POLICY, SCHEMA = "templates/grading-policy.json", "schemas/grading-policy.schema.json"
RECORD, NUMBERS = "intake/policy/grading_policy.py", "tests/policy/test_grading_policy.py"
RULES, STRENGTH = "intake/model/rules.py", "intake/grading/strength_tests.py"
WORDING, PROBES, GUIDE = "templates/wording.json", "tests/grading/test_strength_tests.py", "DEVELOPERS.md"

NUMBER = {"value": 0.4, "unit": "1", "source": "Made up for this test", "status": "site choice"}
MEMBER = """    CHARGE_SHORT = (
        "charge-short",
        "Charge short",
        "The charge took back too small a share of the rated capacity to have been a full one.",
        Remedy.RECOVER_AND_REPEAT,
    )
"""
CALL = "    yield from _returned_charge(battery, policy)\n"
STEP = """

def _returned_charge(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    if battery.charge_returned_ah is None or battery.rated_capacity_ah is None:
        return
    limit = policy.capacity.returned_below
    ratio = battery.charge_returned_ah / battery.rated_capacity_ah
    yield Step(
        rule=Rule.CHARGE_SHORT,
        fired=not at_least(ratio, limit.value, policy=policy),
        effect=Effect.CAP_RECONDITIONABLE,
        text=f"It took back {ratio:.4f} of its rated capacity; the limit is {limit.value:g}.",
        measured=ratio,
        limit=limit.value,
        unit="1",
        next_step=REPEAT_TEST,
        source=limit.source,
        status=limit.status,
    )
"""
PROBE = """

@pytest.mark.parametrize(("returned_ah", "fires"), [(23.99, True), (24.0, False), (24.01, False)])
def test_a_charge_is_short_below_two_fifths_of_the_rated_capacity(returned_ah, fires):
    one = battery("flooded", charge_returned_ah=returned_ah, rated_capacity_ah=60.0)
    step = step_of(steps(one), "charge-short")
    assert (fires, Effect.CAP_RECONDITIONABLE, 0.4) == (step.fired, step.effect, step.limit)
"""


def add_number(copy):
    with copy.json(POLICY) as policy:
        policy["capacity"]["returned_below"] = NUMBER
    with copy.json(SCHEMA) as schema:
        group = schema["properties"]["capacity"]
        group["required"].append("returned_below")
        group["properties"]["returned_below"] = {"$ref": "#/$defs/share"}
    copy.add_after(RECORD, 'against the label."""\n\n', "    returned_below: CitedValue\n")
    copy.add_after(NUMBERS, "CONTRACT = {\n", '    "capacity/returned_below": (0.4, "1"),\n')


def add_rule(copy):
    remedy = 'The measured cranking current is too small a share of the rated one.",\n'
    copy.add_after(RULES, f"{remedy}        Remedy.RECOVER_AND_REPEAT,\n    )\n", MEMBER)
    copy.add_after(STRENGTH, "    yield from _cranking(battery, policy)\n", CALL)
    copy.append(STRENGTH, STEP)
    with copy.json(WORDING) as wording:
        wording["reasons"]["charge-short"] = "took back {measured_percent} % of its capacity"
    copy.append(PROBES, PROBE)
    written = copy.run("-m", "tests.guide")
    assert 0 == written.returncode, written.stderr


def test_a_number_is_four_files_and_is_checked_like_all_others(copy, named_files):
    add_number(copy)

    printed = copy.run("-m", "intake", "policy").stdout
    assert NUMBER == json.loads(printed)["capacity"]["returned_below"]
    refused = json.loads(printed)
    refused["capacity"]["returned_below"]["unit"] = "V"
    (copy.root / "own.json").write_text(json.dumps(refused))
    said = copy.run("-m", "intake", "policy", "--check", "own.json")
    (copy.root / "own.json").unlink()
    assert 0 != said.returncode
    assert "capacity/returned_below/unit" in said.stdout + said.stderr
    assert named_files("Add a number to the grading") == copy.touched() == {POLICY, SCHEMA, RECORD, NUMBERS}
    copy.test("tests/policy", "tests/architecture")


def test_a_rule_is_three_files_with_its_test_and_its_line_in_the_guide(copy, tmp_path, named_files):
    add_number(copy)
    before = copy.touched()
    add_rule(copy)
    short = {**GOOD, "Tag": "B-2", "Rated capacity (Ah)": 60, "Charge returned (Ah)": 10}
    enough = {**short, "Tag": "B-3", "Charge returned (Ah)": 30}
    pallet = write_workbook(tmp_path / "pallet.xlsx", [GOOD, short, enough])

    copy.grade(pallet, tmp_path / "graded")
    catalogue = copy.run("-m", "intake", "explain", "--rules").stdout

    graded = json.loads((tmp_path / "graded" / "T-1" / "T-1-results.json").read_text())["batteries"]
    assert ["resale-after-charge", "reconditionable", "resale-after-charge"] == [
        one["grade"] for one in graded
    ]
    (reason,) = [one for one in graded[1]["reasons"] if one["rule"] == "charge-short"]
    assert ("Made up for this test", 0.4) == (reason["source"], reason["limit"])
    assert "charge-short" in catalogue
    pages = pypdf.PdfReader(tmp_path / "graded" / "T-1" / "T-1-manifest.pdf").pages
    assert "took back 17 % of its capacity" in " ".join(" ".join(one.extract_text() for one in pages).split())
    assert named_files("Add a rule") == copy.touched() - before == {RULES, STRENGTH, WORDING, PROBES, GUIDE}
    copy.test(
        "tests/grading",
        "tests/bench/test_jobs.py",
        "tests/policy",
        "tests/architecture",
        "tests/test_guide.py",
    )
