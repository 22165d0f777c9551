"""An option's routes on the walls they run on: shown, dragged by hand, and kept as drawn when they go on the map."""

from pathlib import Path as FilePath

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from circuitmap.desk.option_card import OptionCard
from circuitmap.desk.stages.extend import ExtendStage
from circuitmap.desk.window import Window
from circuitmap.extension.by_hand import path_length_mm, stretches_on
from circuitmap.extension.money import show_money
from circuitmap.home.records import Extension, Run
from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.extend_home import cards, extend, plant_two, terrace
from tests.desk.wall_home import grab_wall, key, on


def open_with_routes(window: Window, qtbot: QtBot) -> tuple[ExtendStage, OptionCard]:
    """Open the first option for two requirements that lays a cable."""
    stage = extend(window)
    plant_two(window, qtbot)
    stage.show_options()
    card = next(each for each in cards(window) if len(each.option.routes) > 0)
    stage.options.open_option(card.option)
    settle()
    return stage, card


def on_the_wall_of_a_route(window: Window) -> tuple[str, tuple[float, float], tuple[float, float]]:
    """Look at the wall on which the longest level stretch of a shown route lies; give the route and the stretch."""
    state = window.wall.state
    found = []
    for face in state.faces():
        window.wall.open(face.id)
        for cable in state.cables:
            for _, a, b in stretches_on(face, cable.path) if cable.id.startswith("route") else ():
                if abs(a[1] - b[1]) < 1 and a[1] > 300:
                    found.append((abs(a[0] - b[0]), face.id, cable.id, a, b))
    _, wall, route, a, b = max(found)
    window.wall.open(wall)
    settle()
    return route, a, b


def test_a_route_that_is_dragged_goes_on_the_map_as_drawn_in_one_change(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage, card = open_with_routes(window, qtbot)
    stage.pick(card.option)
    assert stage.state.shown_option is card.option
    route, a, b = on_the_wall_of_a_route(window)
    middle = (a[0] + b[0]) / 2, a[1]
    number = int(route.removeprefix("route ")) - 1
    window.wall.state.choose(route)
    lower = middle[1] - 280 if middle[1] > 1500 else middle[1] + 280
    before = window.adapter.home
    grab_wall(window, middle, (middle[0], lower))
    assert on(window, middle[0], lower)
    assert window.adapter.home is before
    assert window.wall.state.is_by_hand(route)
    words = window.wall.card.words
    assert "Drawn by hand" in words
    assert "laid as drawn" in words
    drawn = next(cable.path for cable in window.wall.state.cables if cable.id == route)

    stage.accept()
    settle()
    home = window.adapter.home
    run = home.take(Run, card.option.runs[number])
    assert run.phase == "planned"
    assert [tuple(round(part) for part in spot[1:]) for spot in drawn] == [spot[1:] for spot in run.path_mm]
    assert abs((run.length_mm or 0) - path_length_mm(home, window.adapter.trade, drawn)) <= 2
    others = [each for n, each in enumerate(card.option.runs) if n != number]
    assert all(home.take(Run, each).length_from == "path" for each in others)
    window.actions_["undo"].trigger()
    assert window.adapter.home.take(Extension, "X1").puts == ()
    assert window.adapter.home.find(Run, run.id) is None


def test_a_route_that_is_dragged_is_priced_as_drawn_before_it_is_accepted(
    opened: Opened, qtbot: QtBot, tmp_path: FilePath
) -> None:
    window = opened(terrace())
    said: list[str] = []
    window.adapter.said.connect(lambda words, _bad: said.append(words))
    stage, card = open_with_routes(window, qtbot)
    before, dear, long = card.text_shown, card.option.priced, card.option.length_mm
    assert dear is not None
    route, a, b = on_the_wall_of_a_route(window)
    window.wall.state.choose(route)
    high = a[1] - 280 if a[1] > 1500 else a[1] + 280
    grab_wall(window, ((a[0] + b[0]) / 2, a[1]), ((a[0] + b[0]) / 2, high))
    drawn = window.wall.state.drawn_of(card.option)
    qtbot.waitUntil(lambda: bool(stage.asked.as_shown(card.option).by_hand), timeout=10_000)
    shown = stage.asked.as_shown(card.option)
    trade, home = window.adapter.trade, window.adapter.home
    own = {run: each.length_mm for run, each in zip(card.option.runs, card.option.routes, strict=True)}
    more = sum(path_length_mm(home, trade, path) - own[run] for run, path in drawn.items())
    assert shown.length_mm - long == pytest.approx(more, abs=1)
    assert shown.priced is not None
    assert shown.priced.total != dear.total
    assert "1 cable drawn by hand" in card.text_shown
    assert card.text_shown != before
    assert "drawn by hand" in stage.options.detail.text
    stage.pick(card.option)
    stage.quote_to(tmp_path / "drawn.xlsx")
    qtbot.waitUntil(lambda: not stage.is_writing, timeout=60_000)
    total = show_money(shown.priced.total, shown.priced.sign)
    assert any(f"Wrote the quotation ({total})" in words for words in said)
    click(window, window.wall.card.as_laid)
    assert stage.asked.as_shown(card.option) is card.option
    assert card.text_shown == before


def test_a_planned_cable_is_dragged_on_its_wall_and_stored(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.show_options()
    card = next(each for each in cards(window) if len(each.option.routes) > 0)
    stage.pick(card.option)
    stage.accept()
    settle()
    run = window.adapter.home.take(Run, card.option.runs[0])
    window.adapter.select(run.id)
    window.wall.open()
    state = window.wall.state
    assert state.chosen == run.id
    assert f"{run.id} planned" in " ".join(mark.text for mark in state.scene.drawn.marks if hasattr(mark, "text"))
    key(window, Qt.Key.Key_I)
    moved = window.adapter.home.take(Run, run.id)
    assert len(moved.path_mm) == len(run.path_mm) + 1
    assert moved.phase == "planned"
    window.adapter.undo()
    assert window.adapter.home.take(Run, run.id) == run


def test_a_route_is_laid_again_as_the_option_has_it(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    _, card = open_with_routes(window, qtbot)
    route, a, b = on_the_wall_of_a_route(window)
    window.wall.state.choose(route)
    grab_wall(window, ((a[0] + b[0]) / 2, a[1]), ((a[0] + b[0]) / 2, a[1] - 250))
    assert window.wall.state.is_by_hand(route)
    click(window, window.wall.card.as_laid)
    assert not window.wall.state.is_by_hand(route)
    assert window.extend.as_drawn((card.option,)) == (card.option,)
