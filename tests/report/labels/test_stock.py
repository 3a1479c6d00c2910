"""Where labels lie on a sheet and parts on a label."""

from itertools import combinations

import pytest

from intake.model.paper import Paper
from intake.report.drawing.page import POINTS_PER_MM
from intake.report.labels.stock import STOCKS, WITH_BARS, WITHOUT_BARS, furniture_sheet

LAYOUTS = pytest.mark.parametrize(
    ("paper", "layout"),
    [(paper, layouts[paper]) for layouts in (WITH_BARS, WITHOUT_BARS) for paper in Paper],
)


def boxes(layout):
    return {name: box for name, box in layout._asdict().items() if box is not None}


def overlap(one, other):
    return (
        min(one.x + one.width, other.x + other.width) - max(one.x, other.x) > 1e-6
        and min(one.y + one.height, other.y + other.height) - max(one.y, other.y) > 1e-6
    )


@LAYOUTS
def test_no_part_of_a_label_overlaps_another(paper, layout):
    """Grade and next step take a line or two; the small print stands alone on an intact battery."""
    parts = boxes(layout).items()
    for head in ({"tag", "grade"}, {"tag_low", "grade_high"}):
        for print_below in ({"handling", "facts"}, {"facts_alone"}):
            shown = head | print_below | {"strip", "qr", "bars"}
            drawn = [(name, box) for name, box in parts if name in shown]
            assert [] == [(a, b) for (a, one), (b, other) in combinations(drawn, 2) if overlap(one, other)]


@LAYOUTS
def test_every_part_stays_on_the_label_and_text_keeps_a_millimetre_clear(paper, layout):
    label = STOCKS[paper].label(0)
    for name, box in boxes(layout).items():
        clear = 0.0 if name in ("qr", "bars") else POINTS_PER_MM
        assert box.x >= clear - 1e-9
        assert box.y >= clear - 1e-9
        assert box.x + box.width <= label.width - clear + 1e-9
        assert box.y + box.height <= label.height - clear + 1e-9


@pytest.mark.parametrize("paper", list(Paper))
def test_labels_fill_the_sheet_without_overlap_and_evenly(paper):
    stock, sheet = STOCKS[paper], furniture_sheet(paper)
    labels = [stock.label(place) for place in range(stock.labels)]
    assert [] == [1 for one, other in combinations(labels, 2) if overlap(one, other)]
    last = labels[-1]
    assert pytest.approx(labels[0].x, abs=0.3 * POINTS_PER_MM) == sheet.width - last.x - last.width
    assert pytest.approx(labels[0].y, abs=0.3 * POINTS_PER_MM) == sheet.height - last.y - last.height


def test_labels_are_counted_row_by_row():
    stock = STOCKS[Paper.A4]
    assert pytest.approx(7.2 * POINTS_PER_MM) == stock.label(0).x
    assert pytest.approx((7.2 + 66.0) * POINTS_PER_MM) == stock.label(1).x
    assert pytest.approx((15.1 + 38.1) * POINTS_PER_MM) == stock.label(3).y
