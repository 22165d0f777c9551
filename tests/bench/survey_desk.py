"""How long the window is held up by each thing that is done in a survey, on a home of 30 ways and 500 points.

Run it with ``python -m tests.bench.survey_desk [--method gentle] [--rounds 6]``. For each act stands the longest time
that it took itself, the longest that the window was held up afterwards in one go, and how often it was done. Wanted:
nothing over 100 ms.
"""

import argparse
import os
import sys
import time
from collections.abc import Callable, Sequence
from tempfile import TemporaryDirectory
from typing import Final, cast

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import circuitmap  # noqa: F401  # before numpy is loaded by anything

# isort: split
from PySide6.QtCore import QThreadPool
from PySide6.QtWidgets import QApplication

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.idle import IdleCollector
from circuitmap.desk.theme import Look
from circuitmap.desk.thumb import Tick
from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.survey.method import METHODS, MethodKind
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.rehearsal.walker import is_on
from circuitmap.survey.taken import taken
from circuitmap.trade import load
from tests.desk.driving import settle

MOST_MS: Final = 100.0
WAYS: Final = 30
POINTS: Final = 500


class Bench:
    """A window on an invented home, and what each act in it took."""

    def __init__(self, made: Invented) -> None:
        self.truth = made.truth
        app = QApplication.instance() or QApplication([])
        assert isinstance(app, QApplication)
        self.app = app
        home = made.home.apply(verbs.set_supply(made.home, phases=1, sources=(), sources_asked=True))
        self.window = Window(Adapter(Document.memory(home), load()), Look(app, "paper"))
        self.window.resize(1280, 800)
        self.window.show()
        self.window.activateWindow()
        settle()
        IdleCollector(self.window.adapter, self.window)
        self.stage, self.cursor = self.window.survey_stage, self.window.cursor_
        self.took: dict[str, list[tuple[float, float]]] = {}

    def time(self, name: str, do: Callable[[], object]) -> None:
        """Do something, and note how long it took and how long the window was held up after it."""
        began = time.perf_counter()
        do()
        itself = time.perf_counter() - began
        after = max(self._turn() for _ in range(20))
        QThreadPool.globalInstance().waitForDone(60_000)
        after = max(after, self._turn())
        settle()
        self.took.setdefault(name, []).append((1000 * itself, 1000 * after))

    def _turn(self) -> float:
        began = time.perf_counter()
        self.app.processEvents()
        return time.perf_counter() - began

    def walk(self, name: str, timed: int) -> None:
        """Answer every point as the wiring has it, the first ones timed, a lamp looked at whenever it is due."""
        panel, cursor = self.stage.panel, self.cursor
        done = 0
        while cursor.point and cursor.step in ("look", "walk"):
            watch = self.time if done < timed else self._untimed
            if cursor.step == "walk" and cursor.is_look_due:
                watch("lamp", self.stage.lamp_good)
            fed = self.truth.get(cursor.point)
            out = taken(self.window.adapter.home, cursor.off, self.window.adapter.memo).sure
            watch(name, panel.say_on if fed is None or is_on(fed, out) else panel.say_off)
            done += 1

    def _untimed(self, _name: str, do: Callable[[], object]) -> None:
        do()
        self.app.processEvents()

    def agree(self) -> None:
        """Name who agreed and settle what is asked."""
        consent = self.stage.consent
        if consent.standing.offers:
            return
        consent.who.thumbs()[0].click()
        for tick in consent.findChildren(Tick):
            if tick.isVisibleTo(self.window) and not tick.isChecked():
                tick.click()
        for line in consent._arranged.values():
            line.setText("another supply, proved")
        consent.until.setText("45 min")

    def open(self) -> None:
        """Switch off what was agreed."""
        consent = self.stage.consent
        (consent.standing.button if consent.standing.offers else consent.open_button).click()


def run(method: MethodKind, rounds: int, ways: int = WAYS, points: int = POINTS, timed: int = 12) -> Bench:
    """Survey an invented home for some switch-offs and give what was noted."""
    bench = Bench(invent(1, ways=ways, points=points))
    stage, cursor, adapter = bench.stage, bench.cursor, bench.window.adapter
    assert cursor.planned is not None
    cursor.planned.set_method(method)
    bench.time("open the stage", _call(adapter.set_stage, "survey"))
    bench.time("start the visit", stage.start_button.click)
    bench.time("begin the look", stage.look_button.click)
    bench.walk("answer in the look", timed)
    bench.time("end the look", stage.end_walk)
    for _ in range(rounds):
        proposal = cursor.proposal
        if proposal is None or not proposal.off:
            break
        bench.time("put down", cursor.put_down)
        bench.time("agree", bench.agree)
        bench.time("switch off", bench.open)
        bench.walk("answer", timed)
        if cursor.step == "walk":
            bench.time("end the walk", stage.end_walk)
        bench.time("power back", cursor.power_back)
        bench.time("go on", cursor.go_on)
        bench.time("select a point", _call(adapter.select, cursor.all_points[3]))
        adapter.select()
        settle()
    return bench


def _call(do: Callable[[str], object], what: str) -> Callable[[], object]:
    def call() -> object:
        return do(what)

    return call


def main(argv: Sequence[str] | None = None) -> int:
    """Print the table; give 1 when something held the window up for longer than is wanted."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--method", choices=METHODS, default="gentle")
    parser.add_argument("--rounds", type=int, default=6)
    parser.add_argument("--ways", type=int, default=WAYS)
    parser.add_argument("--points", type=int, default=POINTS)
    given = parser.parse_args(argv)
    with TemporaryDirectory() as folder:  # what the person prefers stays as it is
        for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = folder
        bench = run(cast(MethodKind, given.method), given.rounds, given.ways, given.points)
    worst = 0.0
    print(f"{'':22}{'itself':>10}{'after':>10}{'times':>8}")  # noqa: T201  # the answer to the command
    for name, took in bench.took.items():
        itself, after = max(each for each, _ in took), max(each for _, each in took)
        worst = max(worst, itself, after)
        print(f"{name:22}{itself:7.0f} ms{after:7.0f} ms{len(took):8}")  # noqa: T201  # the answer to the command
    print(f"worst {worst:.0f} ms, wanted at most {MOST_MS:.0f} ms")  # noqa: T201  # the answer to the command
    bench.window.close()
    return 0 if worst <= MOST_MS else 1


if __name__ == "__main__":
    sys.exit(main())
