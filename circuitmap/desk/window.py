"""The window: stages at the left, the plan in the middle, the board below it, what the stage is about at the right."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMainWindow, QVBoxLayout, QWidget

from circuitmap.desk.actions import Actions
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.below import Below
from circuitmap.desk.board import BoardStrip
from circuitmap.desk.building_acts import Building
from circuitmap.desk.canvas.content import Content
from circuitmap.desk.canvas.gestures import Outcome
from circuitmap.desk.canvas.joining import DrawRun
from circuitmap.desk.canvas.promised import PromiseGhost
from circuitmap.desk.canvas.view import PlanView
from circuitmap.desk.cautions import CAUTIONS
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.files import Files
from circuitmap.desk.findings import FindingsPanel
from circuitmap.desk.frame import Frame, scrolled_tab
from circuitmap.desk.go_round import GoRound
from circuitmap.desk.handing.over import HandingOver
from circuitmap.desk.inspector import Inspector
from circuitmap.desk.message import Message
from circuitmap.desk.parts import Label
from circuitmap.desk.photo_work import Source
from circuitmap.desk.rail import StageRail
from circuitmap.desk.reading import ReadingPage
from circuitmap.desk.search import Find
from circuitmap.desk.sketch_acts import Sketching
from circuitmap.desk.stages.bring_in import has_scale
from circuitmap.desk.stages.draw import DrawStage
from circuitmap.desk.stages.extend import ExtendStage
from circuitmap.desk.stages.readings import ReadingsStage
from circuitmap.desk.stages.survey import SurveyStage
from circuitmap.desk.stages.wiring import WiringStage
from circuitmap.desk.storeys import StoreyStack
from circuitmap.desk.table import PointTable
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.tools import gesture_for
from circuitmap.desk.top_bar import TopBar
from circuitmap.desk.trace_acts import Tracing
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_plan import SURVEYS
from circuitmap.desk.wall_view_acts import WallDesk
from circuitmap.desk.window_acts import window_acts
from circuitmap.home import Home, verbs
from circuitmap.home.records import Sheet

_SHARES, _SHARES_TALL = (390, 410), (560, 240)  # of the stage's panel and of what is selected, in height


class Window(QMainWindow):
    """One home on screen."""

    def __init__(self, adapter: Adapter, look: Look) -> None:
        super().__init__()
        self.adapter, self.look = adapter, look
        self.setObjectName("window")
        self.resize(1280, 800)
        self.setMinimumSize(QSize(900, 600))

        self.cursor_ = SurveyCursor(adapter, self, SURVEYS)
        frame = self._frame = Frame(self)
        self.view = PlanView(adapter, look, frame.middle)
        self.extend = ExtendState(adapter, self)
        self.content = Content(adapter, look, self.view, self.cursor_)
        self.table = PointTable(adapter, look, frame.middle)
        self.board = BoardStrip(adapter, look, frame.centre)
        self.storeys = StoreyStack(adapter, look, self.view)
        self.draw_stage = frame.stage(partial(DrawStage, adapter, look))
        self.survey_stage = frame.stage(partial(SurveyStage, adapter, look, self.cursor_))
        self.wiring_stage = frame.stage(partial(WiringStage, adapter, look))
        self.readings_stage = frame.stage(partial(ReadingsStage, adapter, look))
        self.extend_stage = frame.stage(partial(ExtendStage, adapter, look, self.extend))
        self.hand_over = HandingOver(self, frame)
        self.tabs = frame.add_tabs()
        self.inspector = scrolled_tab(self.tabs, "Selected", partial(Inspector, adapter, look))
        self.findings = FindingsPanel(adapter, look, self.tabs)
        self.actions_ = Actions(self)
        self.find_field = Find(adapter, self.actions_, frame.bar)
        self.files = Files(self)

        self._build()
        self.tracing = Tracing(self)
        self.wall = WallDesk(self, frame)
        self.actions_.add(window_acts(self), key_owner=(self.view,))
        self.actions_.add(
            self.survey_stage.acts(), key_owner=(self.view, self.table.view, *self.survey_stage.key_owners())
        )
        self.actions_.add(self.readings_stage.acts())
        self.actions_.add(self.extend_stage.acts())
        self.actions_.add(Building(self).acts(), key_owner=(self.view,))
        self.actions_.add(self.wall.acts())
        self.actions_.add(Sketching(self).acts(), key_owner=(self.view, self.draw_stage.sketch))
        self.actions_.add(self.hand_over.acts())
        self._build_menus()
        self._connect()
        self._on_storey_changed(adapter.storey)
        self._on_stage_changed(adapter.stage)
        self._on_changed(None)
        QTimer.singleShot(0, self.fit)

    # -- building -----------------------------------------------------------------------------------------------

    def _build(self) -> None:
        frame = self._frame
        bar, centre, side = frame.bar, frame.centre, frame.side
        self.rail = StageRail(self.look, frame.whole)
        self._top = TopBar(bar, self.find_field)

        self._middle = frame.middle
        self._middle.addWidget(self.view)
        self._middle.addWidget(self.table)
        self._middle.addWidget(self.hand_over.preview_page)

        self._notice = QLabel(centre)
        self._notice.setTextFormat(Qt.TextFormat.PlainText)
        self._notice.setWordWrap(True)
        self._notice.setMargin(8)
        self._notice.hide()
        self._message = Message(self.look, self.view)
        self._hint = Label("", centre, role="faint")
        self._hint.setContentsMargins(GAP_PX, 2, GAP_PX, 2)

        centre_layout = QVBoxLayout(centre)
        centre_layout.setContentsMargins(0, 0, 0, 0)
        centre_layout.setSpacing(0)
        centre_layout.addWidget(bar)
        centre_layout.addWidget(self._notice)
        centre_layout.addWidget(self._middle, 1)
        centre_layout.addWidget(self._hint)
        centre_layout.addWidget(self.board)

        self._stage_pages: dict[str, QWidget] = {
            "draw": self.draw_stage,
            "survey": self.survey_stage,
            "wiring": self.wiring_stage,
            "readings": self.readings_stage,
            "extend": self.extend_stage,
            "hand over": self.hand_over.page,
        }
        self._page = ReadingPage(frame.stages)
        frame.stages.addWidget(self._page)
        self.tabs.setObjectName("below")
        self.tabs.addTab(self.findings, "Findings")

        row = QHBoxLayout(frame.whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        left, right = _rule(frame.whole), _rule(frame.whole)
        for widget in (self.rail, left, centre, right, side):
            row.addWidget(widget, 1 if widget is centre else 0)
        self.below = Below(self.adapter, self.cursor_, self.tabs)
        in_the_way = (self.menuBar(), self.rail, left, bar, self._hint, self.board)
        self.go_round = GoRound(self, in_the_way, side)

    def _build_menus(self) -> None:
        bar = self.menuBar()
        for title in ("&Home", "&Edit", "&Go", "&Plan", "&Survey", "&Readings", "&Extend", "Hand &over", "&Help"):
            actions = self.actions_.in_menu(title.replace("&", ""))
            if not actions:
                continue
            menu = bar.addMenu(title)
            menu.setAccessibleName(title.replace("&", ""))
            for action in actions:
                menu.addAction(action)
            menu.aboutToShow.connect(self.actions_.refresh)
        self._top.connect(self.actions_)

    def _connect(self) -> None:
        adapter = self.adapter
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_storey_changed)
        adapter.stage_changed.connect(self._on_stage_changed)
        adapter.tool_changed.connect(self._on_tool_changed)
        adapter.selected.connect(self._on_selected)
        adapter.shown.connect(self._on_shown)
        adapter.said.connect(self.say)
        self.view.done.connect(self._on_done)
        self.view.space_tapped.connect(self._on_space)
        self.view.file_dropped.connect(self._on_file_dropped)
        self.view.photos_dropped.connect(self._on_photos_dropped)
        self.draw_stage.tool_wanted.connect(self.take_tool)
        self.draw_stage.sketch.ghosted.connect(self.view.set_ghost)
        self.draw_stage.sketch.placed.connect(self.view.keep_whole_in_sight)
        self.draw_stage.picture_brought.connect(self._on_picture_brought)
        self.wiring_stage.tool_wanted.connect(self.take_tool)
        self.extend_stage.tool_wanted.connect(self.take_tool)
        self.extend_stage.asked.changed.connect(self.actions_.refresh)
        self.extend_stage.writing_changed.connect(self.actions_.refresh)
        self.extend.changed.connect(self.actions_.refresh)
        PromiseGhost(adapter, self.extend, self.view)
        self.readings_stage.order.ghosted.connect(self.view.set_ghost)
        self.readings_stage.point_wanted.connect(self.view.keep_in_sight)
        self.readings_stage.recorder.changed.connect(self.actions_.refresh)
        self.cursor_.point_changed.connect(self._on_point_changed)
        self.cursor_.changed.connect(self.actions_.refresh)
        self.board.toggled.connect(self._on_toggled)
        self.cursor_.off_changed.connect(self._on_off_changed)
        self.board.add_way.connect(self._on_add_way)
        self.board.add_board.connect(self._on_add_board)
        self.table.inspect.connect(self._on_inspect)
        self.storeys.resized.connect(self._place_overlays)
        self.rail.chosen.connect(adapter.set_stage)
        self._page.done.connect(self.close_page)

    # -- what actions call --------------------------------------------------------------------------------------

    def fit(self) -> None:
        """Fit the whole storey into the view."""
        self.view.fit()

    def show_plan(self) -> None:
        """Put the plan in the middle."""
        self._middle.setCurrentWidget(self.view)
        self._hint.show()
        self.view.setFocus()
        self.actions_.refresh()

    def show_list(self) -> None:
        """Put the list of points in the middle: the plan's twin, all of it reachable by keys."""
        self._middle.setCurrentWidget(self.table)
        self._hint.hide()
        self.table.setFocus()
        self.actions_.refresh()

    def put_in_middle(self, page: QWidget) -> None:
        """Put a page in place of the plan."""
        self._middle.setCurrentWidget(page)
        self._hint.hide()
        self.actions_.refresh()

    @property
    def middle(self) -> QWidget:
        """What is in the middle: the plan, or what is in its place."""
        return self._middle.currentWidget() or self.view

    @property
    def is_listing(self) -> bool:
        """Whether the list of points is in the middle."""
        return self._middle.currentWidget() is self.table

    def take_tool(self, tool: str) -> None:
        """Take a tool in hand on the plan."""
        if tool in ("room", "sized room", "point", "insert", "board", "run", "wall") and not self.adapter.storey:
            added = self.adapter.do(lambda home: verbs.add_storey(home, "Ground"))
            if added is None:
                self._on_tool_changed(self.adapter.tool)
                return
        if (self.is_listing or self.wall.is_shown) and tool != "select":
            self.show_plan()
        if tool == self.adapter.tool:
            self._on_tool_changed(tool)
        else:
            self.adapter.set_tool(tool)
        self.view.setFocus()

    def show_hint(self, words: str) -> None:
        """Say under the middle what can be done there; "" for what the tool in hand says."""
        is_quiet = self.adapter.tool == "select" and self.adapter.stage == "survey"
        self._hint.setText(words or ("" if is_quiet else self.view.gesture.hint))

    def show_findings(self) -> None:
        """Bring the list of findings to the front."""
        self.below.ask()
        self.tabs.setCurrentWidget(self.findings)
        self.findings.setFocus()

    def focus_find(self) -> None:
        """Put the cursor into the find field."""
        self.find_field.setFocus()
        self.find_field.selectAll()

    def focus_stage(self) -> None:
        """Put the focus on the stage's panel."""
        page = self._stage_pages[self.adapter.stage]
        page.setFocus()
        page.focusNextChild()

    def focus_inspector(self) -> None:
        """Put the focus on what is selected."""
        self.below.ask()
        self.tabs.setCurrentIndex(0)
        self.inspector.setFocus()

    def show_shortcuts(self) -> None:
        """Show every action with its key, in place of the stage's panel, until the next stage is chosen."""
        lines = [
            f"{action.text().replace('&', '')}\t{act.key.replace(' | ', ', ')}"
            for act, action in self.actions_.all()
            if act.key
        ]
        self._show_page("Keys and actions", "\n".join(lines))

    def show_cautions(self) -> None:
        """Show the cautions."""
        self._show_page("Before you touch anything", "\n\n".join(CAUTIONS))

    def _show_page(self, title: str, text: str) -> None:
        self._frame.stages.setCurrentWidget(self._page)
        self.below.give_way_to_page(is_on=True)
        self._page.show_text(title, text)

    def show_side(self, page: QWidget) -> None:
        """Show a page in place of the stage's panel, until it is closed or a stage is chosen."""
        self._frame.stages.addWidget(page)
        self._frame.stages.setCurrentWidget(page)
        self.below.give_way_to_page(is_on=True)
        self._frame.side.setSizes(_SHARES_TALL)

    def close_page(self) -> None:
        """Go back from a page to read to the stage's panel."""
        self._on_stage_changed(self.adapter.stage)

    def say(self, sentence: str, refused: bool = False) -> None:
        """Say something over the foot of the plan; a click puts it away."""
        over = self._middle.currentWidget()
        if over is not None:
            self._message.say(sentence, over, refused=refused)

    @property
    def message(self) -> str:
        """The sentence on show, empty when there is none."""
        return self._message.sentence

    # -- slots --------------------------------------------------------------------------------------------------

    def _on_changed(self, change: object) -> None:
        home = self.adapter.home
        name = home.details.name or "Unnamed home"
        self._top.show_home(name, self.adapter.document)
        self.setWindowTitle(f"{name[:60]} — circuitmap")
        if self.adapter.document.read_only:
            self._notice.setText(self.adapter.document.read_only_why)
            self._notice.setStyleSheet(f"background: {self.look.colour('warn/tint').name()};")
            self._notice.show()
        else:
            self._notice.hide()
        findings = sum(1 for finding in self.adapter.findings if not finding.aside and finding.code != "note")
        self.tabs.setTabText(1, f"Findings {findings}" if findings else "Findings")
        self.actions_.refresh()
        if change is None:
            QTimer.singleShot(0, self.fit)
            QTimer.singleShot(0, self.cursor_.say_left_open)

    def _on_storey_changed(self, _storey: str) -> None:
        self.actions_.refresh()

    def _on_stage_changed(self, stage: str) -> None:
        self.rail.show_stage(stage)
        self._frame.side.setSizes(_SHARES if stage in ("draw", "wiring") else _SHARES_TALL)
        self._frame.show_stage(self._stage_pages[stage])
        self.below.give_way_to_page(is_on=False)
        self._on_tool_changed(self.adapter.tool)
        self._on_point_changed(self.cursor_.point)
        self._on_off_changed(self.cursor_.shown_off)
        self.actions_.refresh()

    def _on_tool_changed(self, tool: str) -> None:
        gesture = gesture_for(self, tool)
        self.view.set_gesture(gesture)
        self.show_hint("")
        self.draw_stage.show_tool(tool)
        self.actions_.refresh()

    def _on_done(self, outcome: Outcome) -> None:
        if outcome.refuse:
            self.adapter.refuse(outcome.refuse)
        if outcome.say:
            self.adapter.say(outcome.say)
        if outcome.over:
            self.adapter.set_tool("select")
        added: tuple[str, ...] = ()
        if outcome.make is not None:
            made = self.adapter.do(outcome.make)
            if made is None:
                return
            added = made
        if outcome.select_added and added:
            self.adapter.select(added[0])
        elif outcome.select is not None:
            self.adapter.select(*outcome.select)
        if outcome.picked:
            self.draw_stage.take_picked(outcome.picked)

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if self.adapter.tool == "run" and len(ids) == 1 and ids[0].startswith("D"):
            gesture = self.view.gesture
            if isinstance(gesture, DrawRun) and gesture.begun_at != ids[0]:
                self.view.carry_out(gesture.taken(ids[0]))
        elif ids and self.tabs.currentWidget() is self.findings and not self.findings.isAncestorOf(_focus(self)):
            self.tabs.setCurrentIndex(0)
        self.actions_.refresh()

    def _on_shown(self, _ids: tuple[str, ...]) -> None:
        if self.is_listing and not self.table.isAncestorOf(_focus(self)):
            self.show_plan()

    def _on_space(self) -> None:
        if self.adapter.stage == "survey":
            self.actions_["check-next"].trigger()

    def _on_point_changed(self, point: str) -> None:
        self.view.pulse(point if self.adapter.stage == "survey" else "")
        if point and self.adapter.stage == "survey":
            self.view.keep_in_sight(point)

    def _on_off_changed(self, devices: frozenset[str]) -> None:
        in_survey = self.adapter.stage == "survey"
        self.board.set_off(
            devices if in_survey else frozenset(), frozenset(self.cursor_.pending) if in_survey else frozenset()
        )

    def _on_toggled(self, device: str) -> None:
        if self.adapter.stage == "survey":
            self.cursor_.toggle(device)
        else:
            self.adapter.select(device)

    def _on_add_way(self, board: str) -> None:
        added = self.adapter.do(
            lambda home: verbs.add_device(home, board, "MCB", verbs.next_way(home, board), upstream=_over(home, board))
        )
        if added:
            self.adapter.select(*added)

    def _on_add_board(self) -> None:
        added = self.adapter.do(lambda home: verbs.add_board(home))
        if added:
            self.adapter.select(*added)

    def _on_inspect(self) -> None:
        self.focus_inspector()

    def _on_file_dropped(self, name: str) -> None:
        self.adapter.set_stage("draw")
        self.draw_stage.bring(Path(name))

    def _on_photos_dropped(self, sources: list[Source], target: str) -> None:
        self.adapter.select(target)
        self.inspector.notes.bring(sources, target)

    def _on_picture_brought(self, sheet: str) -> None:
        QTimer.singleShot(0, self.fit)
        if not has_scale(self.adapter.home.take(Sheet, sheet)):
            self.take_tool("scale")

    # -- overlays -----------------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep what floats over the plan in its place."""
        super().resizeEvent(event)
        self._place_overlays()

    def _place_overlays(self) -> None:
        self.storeys.move(12, 12)
        self._message.settle()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Let go of the home; everything is saved already."""
        self.extend_stage.stop()
        self.hand_over.close()
        self.adapter.close()
        super().closeEvent(event)


def _over(home: Home, board: str) -> str | None:
    """Give the device that the last way of a board stands under, as the likeliest for the next one."""
    devices = home.devices_on(board)
    return devices[-1].upstream if devices else None


def _rule(parent: QWidget) -> QWidget:
    line = QWidget(parent)
    line.setFixedWidth(1)
    line.setProperty("rule", True)
    line.setStyleSheet("background: palette(mid);")
    return line


def _focus(window: QWidget) -> QWidget:
    return window.focusWidget() or window
