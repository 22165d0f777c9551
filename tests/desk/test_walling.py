"""Gestures on a wall without a window: whatever the hand does, nothing changes before it lets go, and ends stay."""

import random
from dataclasses import dataclass

import pytest

from circuitmap.desk.canvas.walling import (
    DrawCable,
    Handle,
    WallCable,
    WallOutcome,
    WallThing,
    WallTouch,
    held_at,
    nudged,
    with_new_bend,
    without_bend,
)
from circuitmap.errors import PersonError
from circuitmap.extension.on_wall import with_wishes
from circuitmap.home import Home
from circuitmap.home.records import Run
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on, standing_on
from circuitmap.trade import Trade
from tests.desk.wall_home import HOOP, wall_home, wish
from tests.extension.routed import TRADE


@dataclass
class Surface:
    """A wall without a window."""

    home: Home
    chosen: str = ""
    bend: int = -1
    extension: str = "X1"

    def __post_init__(self) -> None:
        self.memo = Memo()
        self.refused: list[str] = []

    @property
    def trade(self) -> Trade:
        return TRADE

    @property
    def face(self) -> Face:
        return next(each for each in faces_on(self.home, self.memo, TRADE, "G1") if each.id == "M1/0")

    @property
    def things(self) -> tuple[WallThing, ...]:
        wanted = with_wishes(self.home, self.extension)
        stood = standing_on(wanted.home, self.memo, TRADE, "G1")["M1/0"]
        return tuple(WallThing(each.record, each.record, each, wanted.wishes.get(each.record, -1)) for each in stood)

    @property
    def cables(self) -> tuple[WallCable, ...]:
        return tuple(WallCable(run.id, run.path_mm) for run in self.home.sorted(Run) if run.path_mm)

    def carry_out(self, outcome: WallOutcome | None) -> None:
        if outcome is None:
            return
        if outcome.choose is not None:
            self.chosen, self.bend = outcome.choose, outcome.bend
        if outcome.make is not None:
            try:
                self.home = self.home.apply(outcome.make(self.home))
            except PersonError as error:
                self.refused.append(str(error))


def touch(u: float, v: float, *, shift: bool = False) -> WallTouch:
    return WallTouch(u, v, 8.0, shift)


def test_what_is_under_the_pointer_is_the_chosen_cables_bend_then_a_thing_then_a_cable() -> None:
    surface = Surface(wall_home(), chosen="R1")
    assert held_at(surface, touch(610, 2320)) == ("bend", "R1", 1)
    assert held_at(surface, touch(600, 450)) == ("thing", "P1", -1)
    assert held_at(surface, touch(600, 1500)) == ("stretch", "R1", 0)
    assert held_at(surface, touch(2002, 900)) == ("thing", "P6", -1)  # its height isn't known: anywhere on its line
    assert held_at(surface, touch(2600, 300)) is None
    surface.chosen = ""
    assert held_at(surface, touch(610, 2320)) == ("stretch", "R1", 0)


def test_nothing_changes_before_the_hand_lets_go() -> None:
    surface = Surface(wall_home(wishes=[wish(2100)]))
    gesture = Handle(surface)
    before = surface.home
    surface.carry_out(gesture.press(touch(600, 450)))
    for n in range(20):
        gesture.move(touch(600 + 30 * n, 450 + 20 * n))
        assert surface.home is before
    assert gesture.trial is not None
    assert gesture.cancel()
    assert gesture.release(touch(1200, 850)) is None
    assert surface.home is before


@pytest.mark.parametrize("seed", range(12))
def test_whatever_the_hand_does_paths_keep_their_ends_at_what_they_join(seed: int) -> None:
    chance = random.Random(seed)
    surface = Surface(wall_home(wishes=[wish(2100), wish(1300, 450)]))
    handle: Handle = Handle(surface)
    for _ in range(60):
        u, v = chance.uniform(-200, 4200), chance.uniform(-200, 2600)
        act = chance.choice(("drag", "drag", "drag", "twice", "nudge", "in", "out", "choose"))
        if act == "drag":
            things = [(each.stood.u, each.stood.v or 900.0) for each in surface.things]
            bends = [(surface.face.at(x, y)[0], float(z)) for _, x, y, z in surface.cables[0].path]
            u, v = chance.choice((*things, *bends, (u, v)))
            surface.carry_out(handle.press(touch(u, v)))
            for _ in range(3):
                u, v = u + chance.uniform(-500, 500), v + chance.uniform(-500, 500)
                handle.move(touch(u, v, shift=chance.random() < 0.3))
            surface.carry_out(handle.release(touch(u, v)))
        elif act == "twice":
            surface.carry_out(handle.twice(touch(u, v)))
        elif act == "nudge":
            surface.carry_out(nudged(surface, chance.choice((-10, 100)), chance.choice((-100, 10))))
        elif act == "in":
            surface.carry_out(with_new_bend(surface))
        elif act == "out":
            surface.carry_out(without_bend(surface))
        else:
            surface.chosen, surface.bend = chance.choice(("R1", "P1", "P2", "")), chance.choice((-1, 1, 2))
        run = surface.home.take(Run, "R1")
        assert len(run.path_mm) >= 2
        standing = {each.record: each.stood for each in surface.things}
        for at, spot in ((run.a.at, run.path_mm[0]), (run.b.at, run.path_mm[-1])):
            stood = standing[str(at)]
            assert abs(surface.face.at(spot[1], spot[2])[0] - stood.u) <= 1
            assert stood.v is not None
            assert abs(spot[3] - stood.v) <= 1
        assert all(0 <= each.stood.u <= 4000 for each in surface.things)
    assert all("\n" not in said and said.strip() for said in surface.refused)


def test_drawing_snaps_to_things_and_in_line_and_shift_lets_go_of_that() -> None:
    surface = Surface(wall_home())
    pen = DrawCable(surface)
    pen.press(touch(640, 480))
    pen.press(touch(630, 2330))
    pen.press(touch(1900, 2300, shift=True))
    assert pen.path == (("G1", 600, 0, 450), ("G1", 600, 0, 2325), ("G1", 1900, 0, 2300))
    pen.press(touch(1900, 2300, shift=True))
    assert len(pen.path) == 3  # the same spot twice is one corner
    finished = pen.key("Return")
    assert finished is not None
    assert finished.finished is not None
    assert len(finished.finished) == 3
    assert not pen.path


def test_a_bend_let_in_twice_is_two_bends_and_taking_them_out_gives_the_path_back() -> None:
    surface = Surface(wall_home(), chosen="R1")
    for _ in range(2):
        surface.carry_out(with_new_bend(surface))
    assert len(surface.home.take(Run, "R1").path_mm) == 6
    while (out := without_bend(surface)) is not None:
        surface.carry_out(out)
        surface.bend = next((n for n, spot in enumerate(surface.home.take(Run, "R1").path_mm[1:-1], 1)
                             if spot not in HOOP), -1)  # fmt: skip
    assert surface.home.take(Run, "R1").path_mm == HOOP
