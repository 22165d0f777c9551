"""The Survey stage by mouse and keys: a whole visit, and what goes wrong on the way."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QCheckBox, QComboBox, QDialog, QLabel, QLineEdit

from circuitmap.desk.theme import THUMB_PX
from circuitmap.home.records import Check, Load, Round, Tag
from circuitmap.home.verbs import edit

from .survey_home import SmallHome, Survey

pytestmark = pytest.mark.usefixtures("moving_clock")


@pytest.fixture
def small() -> SmallHome:
    return SmallHome()


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home)
    made.show()
    yield made
    made.close()


def begin(survey: Survey) -> None:
    """From the first card to the look with everything on, by mouse."""
    stage = survey.stage
    survey.click(stage.start_button)
    if survey.cursor.step == "phases":
        survey.click(stage.phase_choice[1])
        survey.click(stage.sources_button)


def look_round(survey: Survey) -> None:
    """See everything on, by key."""
    survey.click(survey.stage.look_button)
    for _ in survey.cursor.points:
        if survey.cursor.point:  # lights of one switch are answered together
            survey.press(Qt.Key.Key_S)
    assert survey.cursor.point == ""
    survey.click(survey.stage.end)


def walk_by_keys(survey: Survey, small: SmallHome) -> None:
    for _ in survey.cursor.left:
        if survey.cursor.point:  # lights of one switch are answered together
            live = small.is_live(survey.cursor.point, survey.cursor.off)
            survey.press(Qt.Key.Key_S if live else Qt.Key.Key_O)
    assert survey.cursor.point == ""


def switch_off(survey: Survey, *devices: str) -> None:
    for device in devices:
        survey.cursor.toggle(device)
    survey.agree()


def checks(survey: Survey) -> list[tuple[str, str]]:
    return [(c.point, c.outcome) for c in survey.home.sorted(Check)]


def text_of(survey: Survey) -> str:
    QApplication.processEvents()
    labels = survey.stage.findChildren(QLabel)
    return "\n".join(label.text() for label in labels if label.isVisibleTo(survey.stage))


def test_three_switch_offs_by_mouse_and_keys_settle_every_point(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    for n, way in enumerate((small.sockets, small.kitchen_way, small.lights), 1):
        switch_off(survey, way)
        assert survey.stage.where.text().startswith(f"Switch-off {n} of this visit: A{n} off")
        walk_by_keys(survey, small)
        assert survey.cursor.step == "power"
        survey.click(survey.stage.power.all_on)
        assert survey.cursor.step == "summary"
        settled = {p for p, feed in small.feeds.items() if feed == way}
        assert f"A{n} feeds" in survey.stage.summary.settled.text()
        assert all(point in survey.stage.summary.settled.text() for point in settled)
        survey.click(survey.stage.summary.go_on)
    for point, way in small.feeds.items():
        found = survey.adapter.deduced[point]
        assert (found.verdict, found.candidates) == ("settled", (way,)), point
    assert "6 of 6 points settled" in survey.stage.where.text()


def test_an_all_off_walk_first_shows_that_nothing_else_feeds_the_home(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    survey.click(survey.stage.everything)
    assert survey.cursor.pending == (small.main,)
    survey.agree()
    walk_by_keys(survey, small)
    assert {outcome for _, outcome in checks(survey)[6:]} == {"off"}
    survey.click(survey.stage.power.all_on)
    assert survey.cursor.has_all_been_off


def test_backspace_takes_the_last_answer_back(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    first = survey.cursor.point
    survey.press(Qt.Key.Key_O)
    assert survey.cursor.point != first
    survey.press(Qt.Key.Key_Backspace)
    assert survey.cursor.point == first
    assert first not in survey.cursor.outcomes


def test_space_goes_on_without_an_answer_and_presses_the_button_that_was_tabbed_to(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    first, second = survey.cursor.points[:2]
    survey.press(Qt.Key.Key_Space)
    assert survey.cursor.point == second
    assert len(checks(survey)) == 6
    survey.stage.panel.off.setFocus()
    survey.press(Qt.Key.Key_Space)
    assert checks(survey)[6:] == [(second, "off")]
    assert first not in survey.cursor.outcomes


@pytest.mark.parametrize(("key", "outcome"), [("O", "off"), ("S", "still on"), ("G", "faint glow")])
def test_single_keys_answer(survey: Survey, small: SmallHome, key: str, outcome: str) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    survey.press(getattr(Qt.Key, f"Key_{key}"))
    assert checks(survey)[-1][1] == outcome


def test_single_keys_only_type_while_somebody_types(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    survey.press(Qt.Key.Key_C)
    survey.click(survey.stage.panel.reasons[-1])
    QTest.keyClicks(survey.stage.panel.other, "so cold")
    assert survey.stage.panel.other.text() == "so cold"
    assert len(checks(survey)) == 6
    survey.press(Qt.Key.Key_Return)
    last = survey.home.sorted(Check)[-1]
    assert (last.outcome, last.why) == ("can't tell", "so cold")


def test_cant_tell_asks_for_a_reason_and_escape_goes_back(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    point = survey.cursor.point
    survey.press(Qt.Key.Key_C)
    assert not survey.stage.panel.off.isVisible()
    survey.press(Qt.Key.Key_Escape)
    assert survey.stage.panel.off.isVisible()
    survey.click(survey.stage.panel.cant)
    survey.click(survey.stage.panel.reasons[1])
    last = survey.home.sorted(Check)[-1]
    assert (last.point, last.outcome, last.why) == (point, "can't tell", "lamp out or missing")
    assert survey.stage.panel.off.isVisible()


def test_one_tap_answers_for_all_lights_of_a_switch_unless_it_is_unticked(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.lights)
    survey.cursor.go_to(small.lamp)
    assert survey.stage.panel.together.text() == "For both lights of its switch"
    survey.click(survey.stage.panel.off)
    assert checks(survey)[6:] == [(small.lamp, "off"), (small.lamp2, "off")]
    survey.press(Qt.Key.Key_Backspace)
    assert len(checks(survey)) == 6
    survey.click(survey.stage.panel.together)
    survey.click(survey.stage.panel.off)
    assert len(checks(survey)) == 7


def test_its_own_switch_and_where_it_was_told_belong_to_the_next_answer_only(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    survey.cursor.go_to(small.k1)
    panel = survey.stage.panel
    survey.click(panel.more)
    survey.click(panel.local.thumbs()[1])
    panel.via.setCurrentIndex(panel.via.findData(small.k2))
    survey.click(panel.off)
    survey.click(panel.off)
    first, second = survey.home.sorted(Check)[-2:]
    assert (first.local_switch, first.via) == ("off", small.k2)
    assert (second.local_switch, second.via) == ("", None)


def test_a_way_seen_to_feed_the_point_is_tagged_from_the_panel(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    panel, point = survey.stage.panel, survey.cursor.point
    survey.click(panel.more)
    panel.feeder.setCurrentIndex(panel.feeder.findData(small.kitchen_way))
    survey.click(panel.tag_button)
    (made,) = survey.home.sorted(Tag)
    assert (made.target, made.device, made.evidence) == (point, small.kitchen_way, "seen")
    assert panel.tags.text() == "A2 feeds it, seen."


def test_something_that_tripped_just_now_keeps_the_answers_and_may_stay_off(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    survey.press(Qt.Key.Key_S)
    survey.press(Qt.Key.Key_T)
    names = [thumb.accessibleName() for thumb in survey.stage.events.choices()]
    assert names == ["RCD tripped", "A2 Kitchen tripped", "A3 Lights tripped"], "a main switch doesn't trip"
    assert "asked again" in survey.stage.events.tells.text(), "nobody said since when"
    survey.click(survey.stage.events.just_now)
    assert survey.stage.events.tells.text() == "Answers so far are kept."
    survey.click(survey.stage.events.choices()[0])
    assert survey.cursor.off == (small.sockets, small.rcd)
    assert len(checks(survey)) == 7
    assert not survey.cursor.asked_again
    assert survey.stage.tripped.isVisible()
    assert not survey.stage.panel.isVisible()
    survey.cursor.answer("off")
    assert survey.said[-1] == "Say first whether RCD is on again."
    survey.click(survey.stage.tripped.without)
    assert survey.cursor.step == "walk"
    assert "Tripped: RCD; off from then on." in text_of(survey)
    walk_by_keys(survey, small)
    rows = list(survey.stage.power.rows)
    assert rows == [small.rcd, small.sockets, small.kitchen_way], "the RCD first, then its ways"


def test_the_lamp_found_out_is_said_until_it_is_good_again(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    assert "Leave a lamp" in text_of(survey)
    survey.click(survey.stage.witnesses.out)
    assert "set aside" in text_of(survey)
    survey.press(Qt.Key.Key_L)
    assert "set aside" not in text_of(survey)
    survey.click(survey.stage.events.others)
    assert "Somebody outside this home lost power" in text_of(survey)


def test_the_walk_asks_for_the_power_before_anything_else(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets, small.kitchen_way)
    survey.press(Qt.Key.Key_E)
    stage = survey.stage
    assert stage.power.isVisible()
    for page in (stage.choose, stage.consent, stage.summary, stage.panel, stage.begin_look):
        assert not page.isVisible()
    survey.click(stage.power.to_walk)
    assert stage.panel.isVisible()
    survey.press(Qt.Key.Key_E)
    survey.click(stage.power.rows[small.sockets][0])
    assert not stage.power.to_walk.isVisible(), "with some of it on again there is no way back"
    survey.click(stage.power.rows[small.kitchen_way][1])
    assert "left off: A2" in stage.power.tripped.text()
    survey.click(stage.power.all_on)
    assert "A2 tripped when put on" in stage.summary.look_at.text()


def test_a_freezer_is_looked_at_when_the_power_is_back(qapp: object, small: SmallHome) -> None:
    small.do(edit(small.home, small.k2, loads=(Load(what="freezer", if_off="spoils"),)))
    survey = Survey(small.home)
    survey.show()
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    walk_by_keys(survey, small)
    survey.click(survey.stage.power.all_on)
    assert f"Freezer, Kitchen ({small.k2}): is it running?" in survey.stage.summary.look_at.text()
    survey.close()


def test_what_is_odd_is_named_and_can_be_shown(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    for way in (small.sockets, small.lights):
        switch_off(survey, way)
        survey.cursor.go_to(small.k1)
        survey.press(Qt.Key.Key_O)
        survey.press(Qt.Key.Key_E)
        survey.click(survey.stage.power.all_on)
    assert survey.adapter.deduced[small.k1].verdict == "contradiction"
    assert survey.adapter.deduced[small.k1].says in text_of(survey)
    buttons = survey.stage.summary.findChildren(QAbstractButton)
    survey.click(next(b for b in buttons if b.text().startswith("Show P1") and b.isVisible()))
    assert survey.adapter.selection == (small.k1,)


def test_the_visit_goes_on_after_a_restart_in_the_middle_of_a_walk(
    qapp: object, small: SmallHome, tmp_path: Path
) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path)
    survey.show()
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    survey.press(Qt.Key.Key_S)
    turn = survey.cursor.point
    survey.restart(path)
    survey.show()
    assert survey.stage.panel.isVisible()
    assert survey.cursor.point == turn
    assert survey.stage.where.text() == "Switch-off 1 of this visit: A1 off · 1 of 6"
    survey.stage.panel.setFocus()
    walk_by_keys(survey, small)
    survey.click(survey.stage.power.all_on)
    assert survey.adapter.deduced[small.l1].verdict == "settled"
    survey.close()


def test_a_restart_in_the_look_with_everything_on_goes_on_with_it(
    qapp: object, small: SmallHome, tmp_path: Path
) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path)
    survey.show()
    begin(survey)
    survey.click(survey.stage.look_button)
    survey.press(Qt.Key.Key_S)
    survey.restart(path)
    assert survey.cursor.step == "look"
    assert survey.stage.where.text() == "Everything on · 1 of 6 seen"
    survey.close()


def test_quick_entry_answers_by_the_numbers_of_the_sheet_in_one_change(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    sheet = survey.stage.sheet
    survey.click(sheet.opener)
    QTest.keyClicks(sheet.entry, "all off except 1, 2, 4")
    QTest.keyClick(sheet.entry, Qt.Key.Key_Return)
    assert {point for point, _ in checks(survey)[6:]} == {small.l1, small.l2}
    assert sheet.entry.text() == ""
    survey.adapter.undo()
    assert len(checks(survey)) == 6


def test_quick_entry_that_cant_be_read_takes_nothing_and_says_why(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    sheet = survey.stage.sheet
    survey.click(sheet.opener)
    QTest.keyClicks(sheet.entry, "1 off; 99 off")
    QTest.keyClick(sheet.entry, Qt.Key.Key_Return)
    assert len(checks(survey)) == 6
    assert "there is no 99 on the sheet" in sheet.problem.text()
    assert sheet.entry.text() == "1 off; 99 off"


def test_the_sheet_is_written_as_text_or_as_a_table(survey: Survey, small: SmallHome, tmp_path: Path) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    survey.cursor.go_to(small.k1)
    survey.press(Qt.Key.Key_O)
    assert survey.stage.sheet.write(tmp_path / "sheet.txt")
    assert "twin socket P1" in (tmp_path / "sheet.txt").read_text(encoding="utf-8")
    assert survey.stage.sheet.write(tmp_path / "sheet.csv")
    rows = (tmp_path / "sheet.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0] == "number,room,point,went off,still on,faint glow,can't tell,why"
    assert rows[1] == '1,"Kitchen, Ground","twin socket P1, Worktop left",x,,,,'
    assert not survey.stage.sheet.write(tmp_path / "no" / "sheet.csv")
    assert "can't be written" in survey.said[-1]


def test_the_numbered_list_shows_the_answers_and_a_row_has_its_turn(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    survey.click(survey.stage.sheet.opener)
    rows = [b for b in survey.stage.sheet.findChildren(QAbstractButton) if "socket P4" in b.accessibleName()]
    survey.click(rows[0])
    assert survey.cursor.point == small.l2
    survey.press(Qt.Key.Key_S)
    assert rows[0].accessibleName().endswith(": on")


def test_typed_words_are_shown_as_they_were_typed(qapp: object, small: SmallHome) -> None:
    small.do(edit(small.home, small.k1, name="<b>Fish & chips</b>"))
    small.do(edit(small.home, small.sockets, label="<i>S&ockets</i>"))
    survey = Survey(small.home)
    survey.show()
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    survey.cursor.go_to(small.k1)
    assert "<b>Fish & chips</b>" in survey.stage.panel.where.text()
    for label in survey.stage.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText
    survey.press(Qt.Key.Key_E)
    assert "S&&ockets" in survey.stage.power.rows[small.sockets][0].text()
    survey.close()


def test_everything_to_be_hit_is_a_thumb_wide_and_has_a_name_in_every_step(survey: Survey, small: SmallHome) -> None:
    seen: set[str] = set()

    def look_at_all() -> None:
        QTest.qWait(0)
        seen.add(survey.cursor.step)
        for kind in (QAbstractButton, QLineEdit, QComboBox, QCheckBox):
            for widget in survey.stage.findChildren(kind):
                if widget.isVisibleTo(survey.stage) and not widget.objectName().startswith("qt_"):
                    assert widget.height() >= THUMB_PX, (survey.cursor.step, widget.accessibleName())
                    assert widget.width() >= THUMB_PX, (survey.cursor.step, widget.accessibleName())
                    assert widget.accessibleName().strip(), (survey.cursor.step, widget)
        assert survey.stage.width() <= 356
        assert not survey.stage.findChildren(QDialog)

    look_at_all()
    survey.click(survey.stage.start_button)
    look_at_all()
    survey.click(survey.stage.phase_choice[1])
    look_at_all()
    survey.click(survey.stage.sources_button)
    look_at_all()
    survey.click(survey.stage.look_button)
    survey.click(survey.stage.panel.more)
    survey.click(survey.stage.sheet.opener)
    look_at_all()
    survey.click(survey.stage.sheet.opener)
    survey.stage.panel.setFocus()
    walk_by_keys(survey, small)
    survey.click(survey.stage.end)
    look_at_all()
    survey.cursor.toggle(small.rcd)
    look_at_all()
    survey.agree()
    survey.press(Qt.Key.Key_C)
    survey.press(Qt.Key.Key_T)
    look_at_all()
    survey.press(Qt.Key.Key_Escape)
    survey.press(Qt.Key.Key_E)
    look_at_all()
    survey.click(survey.stage.power.all_on)
    survey.click(survey.stage.open_isolation)
    survey.adapter.select(small.k1)
    look_at_all()
    assert seen == {"start", "phases", "sources", "look", "choose", "walk", "power", "summary"}


def test_nothing_on_the_stage_calls_a_point_dead(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    walk_by_keys(survey, small)
    survey.click(survey.stage.power.all_on)
    said = text_of(survey).lower().replace("prove dead", "").replace("proved dead", "")
    assert "dead" not in said


def test_a_home_without_points_says_so(qapp: object) -> None:
    from tests.build import Builder

    bare = Builder()
    way = bare.device(bare.board(), "1")
    survey = Survey(bare.home)
    survey.show()
    begin(survey)
    survey.click(survey.stage.skip_look)
    switch_off(survey, way)
    assert survey.stage.panel.title.text() == "No point to walk to"
    survey.click(survey.stage.end)
    survey.click(survey.stage.power.all_on)
    assert [r.off for r in survey.home.sorted(Round)] == [(way,)]
    survey.close()


def test_a_document_that_can_only_be_looked_at_says_why_nothing_starts(qapp: object, small: SmallHome) -> None:
    survey = Survey(small.home)
    survey.show()
    survey.document._read_only_why = "Another window has it."
    survey.click(survey.stage.start_button)
    assert survey.said == ["This home: Another window has it."] or "Another window has it." in survey.said[0]
    assert survey.cursor.step == "start"
    survey.close()


def test_a_switch_off_that_tells_nothing_new_says_how_to_look_again(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    for off in (small.sockets, small.kitchen_way, small.lights, small.lights):
        switch_off(survey, off)
        if survey.cursor.point:
            walk_by_keys(survey, small)
            survey.click(survey.stage.power.all_on)
            survey.click(survey.stage.summary.go_on)
    panel = survey.stage.panel
    assert panel.title.text() == "Nothing new to walk to"
    assert survey.stage.all_points.text() in panel.where.text()
    assert "Place points" not in text_of(survey)
    survey.click(survey.stage.all_points)
    assert survey.cursor.point
