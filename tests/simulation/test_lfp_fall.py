"""LFP: a larger fall never grades better, over all series of blocks that differ in nothing else."""

from collections.abc import Mapping, Sequence

import pytest

from tests.simulation.lfp_fall import ALL, FALLS_V, Series, grade_falls, rises


@pytest.fixture(scope="module")
def grades(tmp_path_factory: pytest.TempPathFactory) -> Mapping[Series, Sequence[str]]:
    return grade_falls(tmp_path_factory.mktemp("falls"))


def test_every_block_is_graded_and_falls_make_a_difference(grades: Mapping[Series, Sequence[str]]) -> None:
    assert {len(series) for series in grades.values()} == {len(FALLS_V)}
    assert sum(len(set(series)) > 1 for series in grades.values()) > len(ALL) / 2


def test_a_larger_fall_never_grades_better(grades: Mapping[Series, Sequence[str]]) -> None:
    assert {series.name: rises(found) for series, found in grades.items() if rises(found)} == {}
