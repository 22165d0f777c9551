"""The options beside the window in the Extend stage: worked out, stopped, laid out anew, priced and quoted for."""

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt, QThreadPool
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from circuitmap.desk.extend_options import STOPPED
from circuitmap.desk.stages.extend import OPTIONS
from circuitmap.extension.option_says import first_said
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Point
from tests.desk.conftest import Opened
from tests.desk.driving import click, type_into
from tests.desk.extend_home import (
    along,
    cards,
    extend,
    key,
    laid_out,
    over_plan,
    plant_two,
    rest,
    terrace,
)
from tests.samples import make_terrace


def test_the_work_is_stopped_and_taken_up_again(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    laid_out(window, qtbot)
    first = stage.asked.laid
    stage.tabs.setCurrentIndex(OPTIONS)
    window.adapter.do(lambda home: verbs.edit(home, "P32", "", where="by the door"))
    type_into(window, "wish-words", "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    qtbot.waitUntil(lambda: stage.asked._latest.is_busy, timeout=5000)
    click(window, stage.options.stop_button)
    rest()
    qtbot.wait(300)
    assert not stage.asked.is_busy
    assert stage.options.status.text() == STOPPED
    assert stage.asked.laid is None or stage.asked.laid is first
    assert not cards(window)
    click(window, stage.options.again_button)
    laid_out(window, qtbot)
    assert len(cards(window)) >= 3
    assert not stage.options.again_button.isVisible()


def test_a_home_that_changes_meanwhile_is_laid_out_anew(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "twin socket, Kitchen, wall 2, 1.4 m, 1100 mm")
    qtbot.waitUntil(lambda: stage.asked._latest.is_busy, timeout=5000)
    place = stage.state.wishes[0].place
    assert place is not None
    added = window.adapter.do(lambda home: verbs.add_point(home, "socket", along(place, 4000)))
    assert added is not None
    laid_out(window, qtbot)
    laid = stage.asked.laid
    assert laid is not None
    assert added[0] in laid.home.table(Point)
    assert all(added[0] not in card.option.points for card in cards(window))


def test_what_has_to_be_in_order_first_is_said_before_anything_is_wished(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    laid_out(window, qtbot)
    stage.tabs.setCurrentIndex(OPTIONS)
    fit = stage.options.fit
    assert fit.isVisible()
    assert "Not known: RCD cover" in fit.text  # what nobody saw is said, and never passed over
    assert "with 20 % tax, in no option's price" in fit.text
    key(window, Qt.Key.Key_F)
    laid = stage.asked.laid
    assert laid is not None
    for each in laid.asking.fit:
        assert each.says in fit.text
    for line in first_said(laid.asking):  # however long it all is
        assert line in fit.text
    assert "…" not in fit.text
    blank = opened(Home.blank())
    empty = extend(blank)
    laid_out(blank, qtbot)
    empty.tabs.setCurrentIndex(OPTIONS)
    assert "Not known: supply" in empty.options.fit.text


def test_failing_ways_are_folded_after_the_sound_ones_and_cannot_be_picked(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.tabs.setCurrentIndex(OPTIONS)
    failing = cards(window, sound=False)
    assert failing
    assert not failing[0].isVisible()
    fold = next(w for w in stage.options.findChildren(type(stage.new_button)) if "with the reason" in w.text())
    click(window, fold)
    assert failing[0].isVisible()
    assert (
        failing[0].y() + failing[0].mapTo(stage.options, QPoint(0, 0)).y()
        > cards(window)[0].mapTo(stage.options, QPoint(0, 0)).y()
    )
    assert failing[0].option.failed[0] in failing[0].accessibleDescription()
    failing[0].setFocus()
    QTest.keyClick(failing[0], "p")
    assert window.message == f"It is no sound way: {failing[0].option.failed[0]}"
    assert stage.asked.picked == ()


@pytest.mark.parametrize(("name", "starts"), [("quote.pdf", b"%PDF"), ("quote.xlsx", b"PK"), ("quote", b"%PDF")])
def test_a_quotation_is_written_from_here(
    opened: Opened, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, starts: bytes
) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.quote()
    assert window.message == "Nothing is picked to be quoted for; pick a way first."
    stage.pick(cards(window)[0].option)
    chosen = str(tmp_path / name), "Quotation as PDF (*.pdf)"
    monkeypatch.setattr("circuitmap.desk.stages.extend.QFileDialog.getSaveFileName", lambda *_: chosen)
    stage.tabs.setCurrentIndex(OPTIONS)
    click(window, stage.options.quote_button)
    path = tmp_path / (name if "." in name else f"{name}.pdf")
    qtbot.waitUntil(lambda: window.message.startswith("Wrote the quotation"), timeout=60_000)
    assert path.read_bytes().startswith(starts)
    assert "invented" in window.message
    chosen = str(tmp_path / "nowhere" / "quote.pdf"), ""
    stage.quote()
    qtbot.waitUntil(lambda: not window.message.startswith(("Wrote", "Writing")), timeout=60_000)
    assert "nowhere" in window.message


def test_the_estimators_sheet_is_apart_from_the_quotation(
    opened: Opened, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.pick(cards(window)[0].option)
    chosen = str(tmp_path / "mine"), ""
    monkeypatch.setattr("circuitmap.desk.stages.extend.QFileDialog.getSaveFileName", lambda *_: chosen)
    key(window, Qt.Key.Key_E)
    qtbot.waitUntil(lambda: window.message.startswith("Wrote the estimate"), timeout=60_000)
    assert "not to be sent to a customer" in window.message
    assert (tmp_path / "mine.xlsx").read_bytes().startswith(b"PK")


def test_a_quotation_is_stopped_and_nothing_is_written(
    opened: Opened, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.pick(cards(window)[0].option)
    stage.quote_to(tmp_path / "quote.pdf")
    assert stage.is_writing
    key(window, Qt.Key.Key_S)
    assert not stage.is_writing
    assert window.message == "Stopped; no quotation was written."
    qtbot.waitUntil(lambda: QThreadPool.globalInstance().activeThreadCount() == 0, timeout=60_000)
    assert list(tmp_path.iterdir()) == []


def test_prices_say_that_they_are_invented_and_cautions_stand_below(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    assert "invented for the demonstration" in stage.options.notes.text()
    assert "competent person" in stage.options.cautions.text()
    stage.options.open_option(cards(window)[0].option)
    rest()
    texts = stage.options.detail.text
    for heading in ("Route", "To be read afterwards", "Design checks", "Materials and work", "Look out for"):
        assert heading in texts


def test_a_wrong_row_of_ones_own_price_book_is_said(
    opened: Opened, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = tmp_path / "prices.toml"
    book.write_text('[[rate]]\nkey = "electrician"\nper_hour = -4\n', encoding="utf-8")
    monkeypatch.setattr("circuitmap.extension.pricebook.own_path", lambda: book)
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    assert "Your price book, rate “electrician”: " in stage.options.notes.text()
    assert cards(window)


def test_an_option_on_another_storey_is_gone_to_when_it_is_opened(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    type_into(window, "wish-words", "light, Bedroom 1, ceiling, wall 1, 1.0 m, 1.0 m")
    laid_out(window, qtbot)
    above = next(c.option for c in cards(window) if {s.storey for r in c.option.routes for s in r.path} == {"G2"})
    window.adapter.set_storey("G1")
    stage.tabs.setCurrentIndex(OPTIONS)
    stage.state.point_at(above)
    assert over_plan(window) == []  # nothing of it lies on this storey
    stage.state.point_at(None)
    stage.options.open_option(above)
    assert window.adapter.storey == "G2"
    assert "new, req. 1" in over_plan(window)


def test_what_is_picked_lies_over_the_plan_only_beside_the_options(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.show_options()
    stage.pick(cards(window)[0].option)
    window.view.setFocus()
    assert stage.state.shown_option is cards(window)[0].option
    stage.show_wishes()
    assert stage.state.shown_option is None
    assert over_plan(window) == ["req. 1", "req. 2"]
    stage.tabs.setCurrentIndex(OPTIONS)
    assert stage.state.shown_option is cards(window)[0].option
    window.adapter.set_stage("wiring")
    assert over_plan(window) == []
    assert stage.state.shown_option is None


def test_another_home_brings_no_options_of_the_last_one(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    assert cards(window)
    window.adapter.switch(Document.memory(window.adapter.home))
    assert stage.asked.laid is None
    assert not cards(window)
    laid_out(window, qtbot)
    assert cards(window)


def test_how_the_work_is_done_prices_it_anew(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    laid = stage.asked.laid
    stage.tabs.setCurrentIndex(OPTIONS)
    field = stage.options.occupied
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Down)
    QTest.keyClick(field, Qt.Key.Key_Return)
    extension = stage.state.extension
    assert extension is not None
    assert not extension.lived_in  # it is in the home, not in the window
    laid_out(window, qtbot)
    again = stage.asked.laid
    assert laid is not None
    assert again is not None
    by_key = {option.key: option for option in laid.asking.options}
    dearer = [(by_key[o.key].minutes, o.minutes) for o in again.asking.options if o.is_sound and o.key in by_key]
    assert dearer
    assert all(lived_in > empty for lived_in, empty in dearer)
    window.adapter.undo()
    laid_out(window, qtbot)
    assert stage.options.occupied.currentText() == "lived in"
    assert stage.asked.laid is not None
    assert {o.key: o.minutes for o in stage.asked.laid.asking.options} == {k: o.minutes for k, o in by_key.items()}


def test_how_the_work_is_done_is_there_when_the_home_is_opened_again(
    opened: Opened, qtbot: QtBot, tmp_path: Path
) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.tabs.setCurrentIndex(OPTIONS)
    field = stage.options.making_good
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Down)
    QTest.keyClick(field, Qt.Key.Key_Return)
    write_folder(tmp_path / "kept", window.adapter.home, assets=make_terrace.make().assets)
    again = opened(open_home(tmp_path / "kept"))
    shown = extend(again)
    laid_out(again, qtbot)
    shown.tabs.setCurrentIndex(OPTIONS)
    assert shown.options.making_good.currentText() == "made good by others"
    assert shown.options.occupied.currentText() == "lived in"
    assert shown.asked.laid is not None
    priced = [o for o in shown.asked.laid.asking.options if o.priced is not None]
    assert priced
    assert all(o.job.making_good == "by others" for o in priced)


def test_cables_on_walls_can_be_asked_for_in_trunking(opened: Opened, qtbot: QtBot) -> None:
    window = opened(terrace())
    stage = extend(window)
    plant_two(window, qtbot)
    stage.tabs.setCurrentIndex(OPTIONS)
    assert any(part.kind == "chase" for card in cards(window) for each in card.option.routes for part in each.parts)
    field = stage.options.on_surface
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Down)
    QTest.keyClick(field, Qt.Key.Key_Return)
    laid_out(window, qtbot)
    assert stage.state.extension is not None
    assert stage.state.extension.on_surface
    kinds = {part.kind for card in cards(window) for each in card.option.routes for part in each.parts}
    assert "trunking" in kinds
    assert "chase" not in kinds
    card = next(card for card in cards(window) if card.option.is_sound)
    stage.options.open_option(card.option)
    assert "stays in sight" in stage.options.detail.text
