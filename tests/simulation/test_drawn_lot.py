"""The lot statement as the command makes it: the draw, the limit after it, the range likely unfit."""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from scipy.stats import binom

from tests.simulation.drawn_lot import Drawn, draw_and_test, range_answers
from tests.simulation.graded import Graded, Study, grade_study
from tests.simulation.intake_workbook import HOLD_96, REST
from tests.simulation.lot import most_unfit, sample_for
from tests.simulation.meter import FINE
from tests.simulation.population import RETURNS

DRAWN = 5
Told = tuple[dict[str, list[Graded]], dict[str, list[dict[str, Any]]], list[Drawn]]


@pytest.fixture(
    scope="module", params=["short", pytest.param("long", marks=pytest.mark.long)], ids=lambda name: name
)
def study(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Return pallets on a rest and on a hold, their files, and what is said after five tests of each kind."""
    what = Study(RETURNS, FINE, 150 if request.param == "short" else 2000)
    folder = tmp_path_factory.mktemp("lot")
    sets, files = grade_study(what, (REST, HOLD_96), folder / "before")
    return sets, files, draw_and_test(what, sets[HOLD_96.name], folder / "after", drawn=DRAWN)


def test_the_command_draws_as_it_is_told_to_and_counts_what_was_offered(study: Told) -> None:
    found = study[2]
    assert len(found) >= 15
    assert {one.kind for one in found} == {"lead-acid starter", "lead-acid other", "LFP"}
    for one in found:
        assert one.said["offered"] == one.offered
        assert one.said["drawn"] == len(one.tags) == min(DRAWN, one.offered)
        common = min(len(one.said["draw"]), len(one.tags))
        assert tuple(one.said["draw"][:common]) == one.tags[:common]


def test_limit_and_sample_are_those_of_the_referee(study: Told) -> None:
    for one in study[2]:
        assert one.said["unfit_at_most"] == most_unfit(one.offered, one.said["drawn"], one.said["failed"])
        assert one.said["sample"] == sample_for(one.offered, 0.10)


def test_the_printed_limit_holds_in_95_of_a_hundred(study: Told) -> None:
    answers = [one.holds for one in study[2]]
    assert sum(answers) >= binom.ppf(0.001, len(answers), 0.95)


@pytest.mark.parametrize("name", [REST.name, HOLD_96.name])
def test_the_printed_range_holds_in_eight_pallets_of_ten(study: Told, name: str) -> None:
    sets, files, _ = study
    answers = range_answers(sets[name], files[name])
    assert len(answers) >= 3
    assert sum(answers) >= binom.ppf(0.001, len(answers), 0.80)


def ranges(files: Mapping[str, Sequence[Mapping[str, Any]]], name: str) -> list[tuple[int, int]]:
    return [(one["lot"]["unfit_low"], one["lot"]["unfit_high"]) for one in files[name]]


def test_a_hold_narrows_what_a_rest_leaves_open(study: Told) -> None:
    """By share of what is offered, at its upper end."""
    _, files, _ = study
    at_rest, held = (
        sum(high for _, high in ranges(files, name)) / sum(one["lot"]["offered"] for one in files[name])
        for name in (REST.name, HOLD_96.name)
    )
    assert held < at_rest
