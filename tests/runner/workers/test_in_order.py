"""An item that ends its processes ends few of them, however many neighbours are lost with it."""

from collections import Counter
from concurrent.futures import BrokenExecutor, Executor, Future
from threading import Lock, Timer

from intake.runner.workers.in_order import Workers


class LosesAll(Executor):
    """Loses whatever it holds as soon as one of it is a certain item; what is handed out alone is done."""

    def __init__(self, begun, ends):
        self.held, self.begun, self.ends = [], begun, ends
        self.mutex = Lock()

    def submit(self, work, item):
        future = Future()
        with self.mutex:
            self.held.append((future, work, item))
        Timer(0.02, self.run).start()
        return future

    def run(self):
        with self.mutex:
            held, self.held = self.held, []
        items = [item for _, _, item in held]
        self.begun.update(items)
        for future, work, item in held:
            if self.ends in items:
                future.set_exception(BrokenExecutor("a process ended"))
            else:
                future.set_result(work(item))

    def shutdown(self, wait=True, *, cancel_futures=False):
        self.run()


class OnePlace:
    fewest = 1

    def __init__(self, ends):
        self.begun, self.ends = Counter(), ends

    def open(self, _items):
        return LosesAll(self.begun, self.ends)

    def ahead(self):
        return 6


def doubled(item):
    return 2 * item


def test_an_item_is_begun_three_times_at_most_and_its_neighbours_are_done():
    for ends in range(12):
        place = OnePlace(ends)
        with Workers(place) as workers:
            done = list(workers.each(doubled, range(12), lost=lambda item: "lost"))
        assert ["lost" if item == ends else 2 * item for item in range(12)] == done
        assert 2 <= place.begun[ends] <= 3
        assert max(place.begun.values()) <= 4
