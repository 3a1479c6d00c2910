"""Plans the seeded benches of unlike stations, and compares each plan with the moment no plan can beat.

``python -m tests.benchmarks.planner [--cases 200] [--first 0]`` prints a line a case and then the table of
the guide. Nothing here passes or fails. Seeds come in a mixed order, so that a part of them is a sample.
"""

import argparse
import time
from statistics import median

from intake.bench.schedule import solve
from tests.bench.generated import unlike_task

CASES = 200
_STRIDE = 77
"""Shares no factor with the number of cases, so each seed comes once."""
NEAR_PERCENT = 3.0
MISSED_MIN = 600
"""A plan that ends so much after its bound has missed a day."""


def main() -> None:
    """Print a line a case, and what they come to."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--first", type=int, default=0)
    told = parser.parse_args()
    gaps, missed, seconds = [], 0, []
    for place in range(told.first, told.first + told.cases):
        seed = _STRIDE * place % CASES
        task = unlike_task(seed)
        began = time.process_time()
        solution = solve(task)
        seconds.append(time.process_time() - began)
        end, bound = solution.layout.score.makespan, solution.bound
        gaps.append((end / bound - 1) * 100)
        missed += end >= bound + MISSED_MIN
        print(
            f"{seed:4} {len(task.works):3} jobs {task.stations} stations {task.time.shifts[0].text} "
            f"{len(task.time.days)} days: {end} min, bound {bound}, {gaps[-1]:.2f} %, {seconds[-1]:.1f} s",
            flush=True,
        )
    near = sum(gap <= NEAR_PERCENT for gap in gaps)
    print(
        f"{len(gaps)} cases: {near} within {NEAR_PERCENT:g} %, {missed} a day late or more; gap median "
        f"{median(gaps):.2f} %, worst {max(gaps):.1f} %; processor time median {median(seconds):.1f} s, "
        f"worst {max(seconds):.1f} s"
    )


if __name__ == "__main__":
    main()
