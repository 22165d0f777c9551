"""Every screen of a survey, light and dark, small and large; with ``--looks DIR`` each is saved to be looked at."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Protocol

import pytest
from PySide6.QtCore import QSize, Qt, QThreadPool
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.practice import open_practice
from circuitmap.desk.practice_desk import PracticeDesk
from circuitmap.desk.practice_wanted import Wanted
from circuitmap.desk.sight import show_whole
from circuitmap.desk.theme import Look
from circuitmap.desk.thumb import Tick
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home, verbs
from circuitmap.home.assets import Assets
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Load, Point
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey.rehearsal.truth import Fed, hide, truth_of
from circuitmap.survey.rehearsal.walker import is_on
from circuitmap.survey.taken import taken
from tests.desk.driving import click, press, settle

SAMPLE = "older-terrace"
Take = Callable[[Window, str], None]


class Shown(Protocol):
    """Shows a home in a window."""

    def __call__(self, home: Home, assets: Assets | None = None) -> Window: ...


class Hands:
    """An electrician who surveys a sample home whose wiring is hidden."""

    def __init__(self, window: Window, truth: dict[str, Fed], wall: "Wall") -> None:
        self.window, self.truth, self.wall = window, truth, wall
        self.stage, self.cursor = window.survey_stage, window.cursor_

    def answer(self, many: int = 1000) -> None:
        """Answer some points by keys, as the wiring has it, a lamp looked at whenever it is due."""
        for _ in range(many):
            if not self.cursor.point or self.cursor.step not in ("look", "walk"):
                return
            if self.cursor.step == "walk" and self.cursor.is_look_due:
                press(self.stage.panel, Qt.Key.Key_L)
            home, memo = self.window.adapter.home, self.window.adapter.memo
            fed = self.truth.get(self.cursor.point)
            live = fed is None or is_on(fed, taken(home, self.cursor.off, memo).sure)
            press(self.stage.panel, Qt.Key.Key_S if live else Qt.Key.Key_O)

    def agree(self) -> None:
        """Name who agreed, settle what is asked, give a time."""
        consent = self.stage.consent
        if consent.standing.offers:
            return
        click(self.window, consent.who.thumbs()[0])
        for tick in consent.findChildren(Tick):
            if tick.isVisibleTo(self.window) and not tick.isChecked():
                click(self.window, tick)
        for line in consent._arranged.values():
            line.setText("battery proved, carer stays")
        consent.until.setText("45 min")
        settle()

    def open(self) -> None:
        """Open the switch-off."""
        consent = self.stage.consent
        click(self.window, consent.standing.button if consent.standing.offers else consent.open_button)
        settle()

    def top(self) -> None:
        """Bring the head of the stage into sight."""
        self.stage._show_top()
        settle()


class Wall:
    """The clock on the wall and on the records: they go on together."""

    def __init__(self) -> None:
        self.at = datetime(2026, 1, 5, 9, 0, 0, tzinfo=UTC)

    def tick(self) -> str:
        self.at += timedelta(seconds=12)
        return self.text()

    def text(self) -> str:
        return self.at.strftime("%Y-%m-%dT%H:%M:%SZ")

    def now(self) -> datetime:
        return self.at


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    made = Wall()
    monkeypatch.setattr("circuitmap.home.verbs_survey.now_text", made.tick)
    monkeypatch.setattr("circuitmap.desk.visit_time.now", made.now)
    for module in ("circuitmap.desk.overdue", "circuitmap.desk.consent", "circuitmap.desk.standing"):
        monkeypatch.setattr(f"{module}.now_text", made.text)
    for module in ("circuitmap.home.verbs_survey", "circuitmap.desk.visit_state"):
        monkeypatch.setattr(f"{module}.today_text", lambda: "2026-01-05")
    return made


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Look:
    return Look(qapp, theme)


@pytest.fixture
def shown(look: Look, size: QSize) -> Iterator[Shown]:
    made: list[Window] = []

    def show(home: Home, assets: Assets | None = None) -> Window:
        window = Window(Adapter(Document.memory(home, assets or {}), trade.load()), look)
        made.append(window)
        window.resize(size)
        window.show()
        window.activateWindow()
        settle()
        window.fit()
        settle()
        return window

    yield show
    for window in made:
        window.close()
        window.deleteLater()


@pytest.fixture
def take(request: pytest.FixtureRequest, theme: Theme, size: QSize) -> Take:
    def save(window: Window, name: str) -> None:
        settle()
        shot = window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        assert image.size() == size
        across, down = range(0, image.width(), 16), range(0, image.height(), 16)
        colours = {image.pixelColor(x, y).name().upper() for x in across for y in down}
        assert len(colours) > 3
        assert colour("paper", theme) in colours
        folder = request.config.getoption("--looks")
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(folder / f"survey-{name}-{theme}-{size.width()}.png"))

    return save


def hidden(sample: str) -> tuple[Home, Assets, dict[str, Fed]]:
    """A sample home as it is before anybody surveyed it, and what really feeds its points."""
    read = read_folder(sample_homes() / sample)
    memo = Memo()
    truth = dict(truth_of(read.home, memo, trade.load()))
    home = hide(read.home, memo)
    sockets = [p for p in home.sorted(Point) if p.id in truth and trade.load().point(p.kind).is_socket_outlet]
    loads = (Load(what="freezer", if_off="spoils"), Load(what="router", if_off="phone"),
             Load(what="oxygen concentrator", if_off="medical"))  # fmt: skip
    for point, load in zip(sockets[2::3], loads, strict=False):
        home = home.apply(verbs.edit(home, point.id, loads=(load,)))
    return home.apply(verbs.set_supply(home, phases=1, sources=(), sources_asked=False)), read.assets, truth


@pytest.mark.parametrize("size", [QSize(1280, 800), QSize(1920, 1080)], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_every_screen_of_a_survey(shown: Shown, take: Take, wall: Wall) -> None:
    home, assets, truth = hidden(SAMPLE)
    window = shown(home, assets)
    hands = Hands(window, truth, wall)
    stage, cursor = hands.stage, hands.cursor
    window.adapter.set_stage("survey")
    take(window, "01-start")
    click(window, stage.start_button)
    take(window, "02-sources")
    click(window, stage.sources_button)
    take(window, "03-look-before")
    click(window, stage.look_button)
    hands.answer(3)
    take(window, "04-look")
    hands.answer()
    click(window, stage.end)
    assert cursor.planned is not None
    cursor.planned.set_method("gentle")
    settle()
    take(window, "05-proposal")
    assert stage.propose is not None
    click(window, stage.propose.method_opener)
    hands.top()
    take(window, "06-proposal-open")
    cursor.planned.set_method("fewest rounds")
    settle()
    take(window, "06b-proposal-fewest")
    cursor.put_down()
    settle()
    take(window, "07-consent-fewest")
    cursor.clear_pending()
    cursor.planned.set_method("gentle")
    settle()
    cursor.put_down()
    hands.top()
    take(window, "08-consent-first")
    hands.agree()
    show_whole(stage.consent.open_button)
    take(window, "09-consent-settled")
    hands.open()
    take(window, "10-walk-lamp-due")
    hands.answer(2)
    take(window, "11-walk")
    press(stage.panel, Qt.Key.Key_T)
    take(window, "13-what-tripped")
    click(window, stage.events.choices()[0])
    hands.top()
    take(window, "14-tripped")
    click(window, stage.tripped.again)
    take(window, "15-on-again")
    window.actions_["go-round"].trigger()
    take(window, "16-go-round")
    window.go_round.leave()
    stage.sheet.opener.setChecked(True)
    hands.top()
    take(window, "17-paper-card")
    stage.sheet.opener.setChecked(False)
    cursor.pause()
    take(window, "18-paused")
    cursor.resume()
    wall.at += timedelta(hours=30)
    cursor.changed.emit()
    take(window, "19-left-open")
    wall.at -= timedelta(hours=30)
    wall.at += timedelta(minutes=43)
    cursor.changed.emit()
    take(window, "20-time-is-up")
    hands.answer()
    take(window, "21-power-back")
    if stage.witnesses.isVisibleTo(window):
        stage.witnesses.say_good()
    click(window, stage.power.all_on)
    take(window, "22-summary")
    click(window, stage.summary.go_on)
    settle()
    cursor.put_down()
    take(window, "23-agreed-already")
    hands.agree()
    hands.open()
    hands.answer(3)
    take(window, "24-walk-in-doubt")
    press(stage.panel, Qt.Key.Key_C)
    take(window, "24b-cant-tell")
    stage.panel.hide_reasons()
    press(stage.panel, Qt.Key.Key_T)
    take(window, "24c-what-tripped")
    click(window, stage.events.choices()[0])
    take(window, "24d-tripped")
    click(window, stage.tripped.again)
    stage.sheet.opener.setChecked(True)
    show_whole(stage.sheet.print_button)
    take(window, "24e-list")
    stage.sheet.opener.setChecked(False)
    window.adapter.select(cursor.point)
    take(window, "25-inspector-in-doubt")
    window.adapter.select()
    hands.answer()
    stage.witnesses.say_good()
    click(window, stage.power.all_on)
    click(window, stage.summary.go_on)
    settle()
    doubtful = [i for i in cursor.all_points if window.adapter.deduced[i].verdict == "in doubt"]
    window.adapter.select(doubtful[0])
    take(window, "26-choose-with-point")
    stage.start_hunt()
    take(window, "27-hunt")
    hands.agree()
    hands.open()
    take(window, "28-hunt-answer")


@pytest.mark.parametrize("size", [QSize(1280, 800), QSize(1920, 1080)], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_every_screen_of_practising(look: Look, shown: Shown, take: Take, wall: Wall, size: QSize) -> None:
    blank = shown(Home.blank())
    blank.adapter.set_stage("survey")
    take(blank, "40-blank")
    blank.actions_["practise"].trigger()
    take(blank, "41-practice-start")
    desk: PracticeDesk = open_practice(Wanted(SAMPLE, error=0.02, trips=True, seed=3), trade.load(), look)
    window, stage, cursor = desk.window, desk.window.survey_stage, desk.window.cursor_
    window.resize(size)
    settle()
    window.fit()
    click(window, stage.start_button)
    click(window, stage.look_button)
    press(stage.panel, Qt.Key.Key_K)
    take(window, "42-practice-look")
    hands = Hands(window, dict(desk.ready.truth), wall)
    hands.answer()
    click(window, stage.end)
    settle()
    cursor.put_down()
    hands.agree()
    hands.open()
    press(stage.panel, Qt.Key.Key_K)
    take(window, "43-practice-walk")
    desk.show_result()
    settle()
    take(window, "44-practice-result")
    window.close()
    settle()
    assert not isValid(window)
    QThreadPool.globalInstance().waitForDone(20_000)
