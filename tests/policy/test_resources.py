import json

import pytest

from intake.policy import resources
from intake.policy.resources import resource, resource_text


@pytest.mark.parametrize(
    ("folder", "name"),
    [
        ("schemas", "batch.schema.json"),
        ("schemas", "grading-policy.schema.json"),
        ("templates", "grading-policy.json"),
        ("templates", "jurisdictions"),
    ],
)
def test_shipped_files_and_folders_are_found(folder, name):
    assert name == resource(folder, name).name


def test_a_missing_file_is_named():
    with pytest.raises(
        FileNotFoundError, match=r"^templates/nowhere\.json is missing from this installation of intake$"
    ):
        resource("templates", "nowhere.json")


def test_text_is_read_as_utf_8():
    text = resource_text("schemas", "batch.schema.json")
    assert "°C" in text
    assert "https://json-schema.org/draft/2020-12/schema" == json.loads(text)["$schema"]


def test_what_stands_inside_the_package_comes_before_what_stands_beside_it(tmp_path, monkeypatch):
    """An installed wheel holds its files inside; a checkout holds them beside the package."""
    inside, beside = tmp_path / "intake" / "schemas", tmp_path / "schemas"
    for folder, text in ((inside, "inside"), (beside, "beside")):
        folder.mkdir(parents=True)
        (folder / "both.json").write_text(text, encoding="utf-8")
    (beside / "only.json").write_text("only beside", encoding="utf-8")
    monkeypatch.setattr(resources, "files", lambda _: tmp_path / "intake")
    assert "inside" == resource_text("schemas", "both.json")
    assert "only beside" == resource_text("schemas", "only.json")
