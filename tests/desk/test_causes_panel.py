"""The panel of likely causes: odds never surer than they are, light on the plan, keys, and the newest answer only."""

import itertools
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import inf

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_list import RowList
from circuitmap.desk.causes_panel import NO_CIRCUIT, NOTHING_YET, STOPPED, WEIGHING, CausesPanel
from circuitmap.desk.causes_said import CAUTION, fit_words, head_words, odds_words, percent, read_at, size_words
from circuitmap.desk.causes_work import Weigh
from circuitmap.desk.theme import TARGET_PX, Look
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.memo import Memo
from circuitmap.readings.causes import Cause, Compared, Diagnosis, NextReading, Stop
from circuitmap.readings.entries import Side
from circuitmap.readings.faults import OpenCore
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import predict
from circuitmap.trade import Trade, load
from tests.desk.driving import press, settle, show
from tests.drawing.swept import Swept

Made = Callable[[Weigh], CausesPanel]
OPEN = Cause(
    "open core", 0.76, "Line open between P4 and P5 (R5).", "P8 reads open.", ("L",), ("P4", "P5"), ("R5",),
    compared=(
        Compared("Q1", "linked", "cross", ("L", "N"), "P1", 0.27, 0.26, 0.01, 0.7),
        Compared("Q2", "linked", "one leg", ("L", "E"), "P5", inf, inf, 0.0, 0.0),
        Compared("Q3", "ring end to end", "end to end", ("L", "L"), "D1", 0.9, 0.5, 0.02, 20.0),
    ),
)  # fmt: skip
JOINT = Cause(
    "bad joint", 0.2, "A poor joint at P4.", "", ("N",), ("P4",), ("R4",), size=0.42, unit="Ω", low=0.31, high=0.55
)  # fmt: skip
NONE = Cause("none of these", 0.04, "None of these explains all the readings.")
NEXT = (
    NextReading(
        "ring end to end", "end to end", ("L", "L"), "D1", 0.8, "Read the line end to end.", "It tells them apart."
    ),
    NextReading("linked", "cross", ("L", "E"), "P2", 0.5, "Cross-link line–cpc and read at P2."),
)
FOUND = Diagnosis("D1", "A1", None, (OPEN, JOINT, NONE), NEXT, ("R7 has no length on the map.",), others=0.02)


class Fixed:
    """Weighs by handing out what it was given, and keeps what it was asked."""

    def __init__(self, answer: Diagnosis | Exception) -> None:
        self.answer = answer
        self.asked: list[Home] = []

    def __call__(self, home: Home, _v: CircuitView, _t: Trade, _m: Memo, side: Side | None, stop: Stop) -> Diagnosis:
        self.asked.append(home)
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


@pytest.fixture
def swept() -> Swept:
    return Swept(8, named=True)


@pytest.fixture
def readings(swept: Swept) -> Iterator[Adapter]:
    made = Adapter(Document.memory(swept.home), trade.load())
    yield made
    made.close()


@pytest.fixture
def panel(qtbot: QtBot, readings: Adapter, look: Look, swept: Swept) -> Made:
    def make(weigher: Weigh) -> CausesPanel:
        made = CausesPanel(readings, look, weigher=weigher)
        qtbot.addWidget(made)
        made.resize(380, 900)
        show(made)
        made.show_view(readings.view_of(swept.way_id))
        settle()
        return made

    return make


def enter(listed: RowList) -> None:
    """Come to a list by the keyboard: it stands on its first row."""
    listed.setFocus(Qt.FocusReason.TabFocusReason)
    settle()


def rows(panel: CausesPanel) -> list[str]:
    return [panel.causes.row_at(n).sentence for n in range(panel.causes.count())]


# -- words -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "figure", "words"),
    [
        (1.0, ">99 %", "very likely"), (0.996, ">99 %", "very likely"), (0.97, "97 %", "very likely"),
        (0.8, "80 %", "likely"), (0.55, "55 %", "more likely than not"), (0.3, "30 %", "possible"),
        (0.1, "10 %", "less likely"), (0.02, "2 %", "unlikely"), (0.0001, "<1 %", "unlikely"),
    ],
)  # fmt: skip
def test_odds_are_never_certain_and_never_impossible(share: float, figure: str, words: str) -> None:
    assert percent(share) == figure
    assert odds_words(share) == words


def test_no_word_is_surer_than_its_odds(panel: Made) -> None:
    sure = Diagnosis("D1", "A1", None, (Cause("open core", 1.0, "Line open in R5.", at=("P4",)),), ())
    made = panel(Fixed(sure))
    enter(made.causes)
    said = " ".join((made.says.text(), made.detail_words.text(), *rows(made))).lower()
    for word in ("certain", "definitely", "proven", "is safe", "100 %", "dead."):
        assert word not in said, word
    assert "proves nothing" in CAUTION
    assert "dead or safe to touch" in CAUTION


def test_how_far_it_is_settled_is_one_sentence() -> None:
    assert head_words(FOUND) == "The readings don’t settle it yet: see below what to read next."
    alone = Diagnosis("D1", "A1", None, (Cause("healthy", 0.99, "As drawn."),), ())
    assert head_words(alone) == "One cause stands clear of the others."
    none = Diagnosis("D1", "A1", None, (Cause("none of these", 0.9, "None of these."), OPEN), ())
    assert head_words(none) == "None of the causes known here explains the readings well: look wider."


def test_a_size_has_its_spread_and_a_reading_its_place() -> None:
    assert size_words(JOINT) == "Size: about 0.42 Ω, likely between 0.31 and 0.55 Ω."
    assert size_words(OPEN) == ""
    longer = Cause("other length", 0.5, "R3 is longer.", size=1.4, unit="×")
    assert size_words(longer) == "Size: about 1.40 times."
    assert [read_at(each, "A1") for each in OPEN.compared] == [
        "P1: line–neutral, cross-linked", "P5: line–cpc, linked on one leg", "line end to end",
    ]  # fmt: skip
    assert [fit_words(each) for each in OPEN.compared] == ["fits", "fits", "off"]


# -- the list ----------------------------------------------------------------------------------------------------------


def test_causes_stand_with_odds_in_per_cent_and_in_words_and_none_of_these_plainly(panel: Made) -> None:
    made = panel(Fixed(FOUND))
    assert rows(made) == [
        "76 %. Line open between P4 and P5 (R5). likely.",
        "20 %. A poor joint at P4. less likely.",
        "4 %. None of these explains all the readings. unlikely.",
    ]
    assert made.others.text() == "Others, each too unlikely to be listed: 2 % together."
    assert made.notes.text() == "R7 has no length on the map."
    assert made._caution.isVisible()
    assert not made.detail.isVisible()


def test_keys_walk_the_causes_light_their_places_and_escape_puts_the_light_out(panel: Made, readings: Adapter) -> None:
    made = panel(Fixed(FOUND))
    chosen: list[Cause | None] = []
    made.cause_chosen.connect(chosen.append)
    enter(made.causes)
    assert made.cause is OPEN
    assert readings.lit_ids == {"P4", "P5", "R5"}
    press(made.causes, Qt.Key.Key_Down)
    assert readings.lit_ids == {"P4", "R4"}
    press(made.causes, Qt.Key.Key_Escape)
    assert readings.lit_ids == frozenset()
    assert chosen == [OPEN, JOINT, None]
    assert not made.detail.isVisible()


def test_a_click_chooses_and_brings_the_place_into_view(panel: Made, readings: Adapter) -> None:
    made = panel(Fixed(FOUND))
    shown: list[tuple[str, ...]] = []
    readings.shown.connect(shown.append)
    spot = made.causes.visualItemRect(made.causes.item(1)).center()
    QTest.mouseClick(made.causes.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    assert made.cause is JOINT
    assert shown == [("P4", "R4")]


def test_the_light_comes_back_when_nothing_else_is_pointed_at_and_goes_with_the_panel(
    panel: Made, readings: Adapter
) -> None:
    made = panel(Fixed(FOUND))
    enter(made.causes)
    readings.light(frozenset({"P7"}))
    settle()
    assert readings.lit_ids == {"P7"}
    readings.light()
    settle()
    assert readings.lit_ids == {"P4", "P5", "R5"}
    made.hide()
    settle()
    assert readings.lit_ids == frozenset()


def test_a_place_on_another_storey_takes_the_plan_there(qtbot: QtBot, look: Look) -> None:
    swept = Swept(8)
    ground, first = swept.storey(), swept.storey("First", 1)
    swept.do(verbs.move(swept.home, "P4", swept.place(first, 1000, 1000)))
    adapter = Adapter(Document.memory(swept.home), trade.load())
    made = CausesPanel(adapter, look, weigher=Fixed(FOUND))
    qtbot.addWidget(made)
    show(made)
    made.show_view(adapter.view_of(swept.way_id))
    settle()
    assert adapter.storey == ground
    enter(made.causes)
    assert adapter.storey == first
    adapter.close()


def test_the_chosen_cause_stands_against_each_reading_the_worst_first(panel: Made) -> None:
    made = panel(Fixed(FOUND))
    enter(made.causes)
    table = made.table
    told = [[table.item(n, c).text() for c in range(4)] for n in range(table.rowCount())]  # type: ignore[union-attr]  # filled
    assert told == [
        ["line end to end", "0.90 Ω", "0.50 Ω", "off"],
        ["P1: line–neutral, cross-linked", "0.27 Ω", "0.26 Ω", "fits"],
        ["P5: line–cpc, linked on one leg", "open", "open", "fits"],
    ]
    assert made.detail_words.text().startswith("Likely (76 %): Line open between P4 and P5 (R5).\nP8 reads open.")
    press(made.causes, Qt.Key.Key_Down)
    assert "likely between 0.31 and 0.55 Ω" in made.detail_words.text()


# -- what to read next -------------------------------------------------------------------------------------------------


def test_choosing_what_to_read_next_says_which_line_of_the_sheet_it_is(panel: Made) -> None:
    made = panel(Fixed(FOUND))
    told: list[tuple[object, ...]] = []
    made.reading_chosen.connect(lambda *each: told.append(each))
    enter(made.next)
    assert told == []  # walking the list moves no cursor
    press(made.next, Qt.Key.Key_Return)
    spot = made.next.visualItemRect(made.next.item(1)).center()
    QTest.mouseClick(made.next.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spot)
    assert told == [
        ("ring end to end", "end to end", ("L", "L"), "D1"),
        ("linked", "cross", ("L", "E"), "P2"),
    ]
    assert made.next.row_at(0).below == "Most telling. It tells them apart."


# -- work beside the window --------------------------------------------------------------------------------------------


def test_an_older_answer_never_takes_the_place_of_a_newer_one(
    qtbot: QtBot, readings: Adapter, look: Look, swept: Swept
) -> None:
    begun, go_on = threading.Event(), threading.Event()
    count = 0

    def slow_then_quick(h: Home, v: CircuitView, t: Trade, m: Memo, s: Side | None, stop: Stop) -> Diagnosis:
        nonlocal count
        count += 1
        if count == 1:
            begun.set()
            go_on.wait(10)  # and never looks whether it was stopped
            return Diagnosis("D1", "A1", None, (JOINT,), ())
        return FOUND

    made = CausesPanel(readings, look, weigher=slow_then_quick)
    qtbot.addWidget(made)
    show(made)
    came: list[Diagnosis] = []
    made.weighed.connect(came.append)
    made.show_view(readings.view_of(swept.way_id))
    assert begun.wait(5)
    readings.do(verbs.edit(readings.home, swept.sockets[0], "name", name="By the door"))
    go_on.set()
    qtbot.waitUntil(lambda: made.diagnosis is FOUND)
    settle()
    assert came == [FOUND]


def test_while_it_weighs_the_old_result_stays_dimmed_and_can_be_stopped(
    qtbot: QtBot, readings: Adapter, look: Look, swept: Swept
) -> None:
    release = threading.Event()
    begun = threading.Event()
    first = True

    def endless(h: Home, v: CircuitView, t: Trade, m: Memo, s: Side | None, stop: Stop) -> Diagnosis:
        nonlocal first
        if first:
            first = False
            return FOUND
        begun.set()
        while not release.is_set():
            stop()
        return Diagnosis("D1", "A1", None, (JOINT,), ())

    made = CausesPanel(readings, look, weigher=endless)
    qtbot.addWidget(made)
    show(made)
    made.show_view(readings.view_of(swept.way_id))
    qtbot.waitUntil(lambda: made.diagnosis is FOUND)
    assert not made.stop_button.isVisible()
    readings.do(verbs.edit(readings.home, swept.sockets[0], "name", name="By the door"))
    assert begun.wait(5)
    qtbot.waitUntil(made.stop_button.isVisible)
    assert made.status.text() == WEIGHING
    assert made._effect.isEnabled()
    assert made.causes.count() == 3
    QTest.mouseClick(made.stop_button, Qt.MouseButton.LeftButton)
    assert made.status.text() == STOPPED
    assert not made._effect.isEnabled()
    assert made.diagnosis is FOUND
    release.set()
    settle()
    press(made.again_button, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: made.diagnosis is not FOUND)
    assert not made.again_button.isVisible()


def test_what_changes_nothing_is_not_weighed_again(panel: Made, readings: Adapter) -> None:
    weigher = Fixed(FOUND)
    made = panel(weigher)
    made.refresh()
    readings.do(verbs.add_room(readings.home, "Attic"))
    settle()
    assert len(weigher.asked) == 1


def test_while_nobody_looks_nothing_is_weighed(panel: Made, readings: Adapter, swept: Swept) -> None:
    weigher = Fixed(FOUND)
    made = panel(weigher)
    made.hide()
    readings.do(verbs.edit(readings.home, swept.sockets[0], "name", name="By the door"))
    settle()
    assert len(weigher.asked) == 1
    made.show()
    settle()
    assert len(weigher.asked) == 2


def test_a_cause_stays_chosen_when_the_odds_change(panel: Made, readings: Adapter, swept: Swept) -> None:
    weigher = Fixed(FOUND)
    made = panel(weigher)
    enter(made.causes)
    weigher.answer = replace(FOUND, causes=(JOINT, replace(OPEN, probability=0.1)))
    readings.do(verbs.edit(readings.home, swept.sockets[0], "name", name="By the door"))
    settle()
    assert made.causes.currentRow() == 1
    assert made.cause is not None
    assert made.cause.probability == 0.1
    assert "10 %" in made.detail_words.text()
    assert readings.lit_ids == {"P4", "P5", "R5"}


def test_what_a_person_caused_is_a_sentence_in_the_panel(panel: Made) -> None:
    made = panel(Fixed(ReadingError("A1 has one cable at the board.")))
    assert made.says.text() == "A1 has one cable at the board."
    assert made.says.isVisible()
    assert not made.causes.isVisible()
    assert not made._caution.isVisible()


def test_nothing_chosen_and_nothing_read_say_what_to_do(panel: Made) -> None:
    made = panel(Fixed(Diagnosis("D1", "A1", None, (), ())))
    assert made.says.text() == NOTHING_YET
    made.show_view(None)
    assert made.says.text() == NO_CIRCUIT


def test_all_can_be_hit_and_heard(panel: Made) -> None:
    made = panel(Fixed(FOUND))
    enter(made.causes)
    for listed in (made.causes, made.next):
        assert listed.accessibleName()
        for n in range(listed.count()):
            assert listed.visualItemRect(listed.item(n)).height() >= TARGET_PX
            assert listed.item(n).data(Qt.ItemDataRole.AccessibleTextRole) == listed.row_at(n).sentence
        assert listed.verticalScrollBar().maximum() == 0  # all rows in sight
    assert made.table.accessibleName()
    assert made.table.rowHeight(0) >= TARGET_PX


@pytest.mark.parametrize("wide", [300, 380, 700])
def test_rows_are_as_high_as_their_words_at_any_width(panel: Made, wide: int) -> None:
    made = panel(Fixed(FOUND))
    made.resize(wide, 900)
    settle()
    bottoms = [made.causes.visualItemRect(made.causes.item(n)) for n in range(made.causes.count())]
    assert all(one.bottom() < other.top() + 1 for one, other in itertools.pairwise(bottoms))
    assert bottoms[-1].bottom() <= made.causes.viewport().height()
    assert made.causes.mapTo(made, QPoint(0, 0)).x() + made.causes.width() <= wide


def test_an_open_line_is_found_and_lit_up(qtbot: QtBot, look: Look) -> None:
    swept = Swept(8)
    for link, cores in (("cross", ("L", "N")), ("one leg", ("L", "E"))):
        told = predict(
            swept.on_way, load(), link, cores, faults=[OpenCore(swept.loop_runs[4], ("L",))], home=swept.home  # type: ignore[arg-type]  # words
        )  # fmt: skip
        for place, each in told.items():
            if each.ohm is not None:
                swept.read(place, ">200" if each.is_open else f"{each.ohm:.2f}", link, cores)  # type: ignore[arg-type]  # words
    adapter = Adapter(Document.memory(swept.home), trade.load())
    made = CausesPanel(adapter, look)
    qtbot.addWidget(made)
    show(made)
    made.show_view(adapter.view_of(swept.way_id))
    qtbot.waitUntil(lambda: made.diagnosis is not None)
    enter(made.causes)
    assert made.cause is not None
    assert made.cause.kind == "open core"
    assert swept.loop_runs[4] in adapter.lit_ids
    adapter.close()
