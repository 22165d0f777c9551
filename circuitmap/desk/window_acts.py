"""The window's actions, declared as data; each names the one call that does it."""

from typing import TYPE_CHECKING

from circuitmap.desk.actions import Act
from circuitmap.desk.feeds_page import Feeding
from circuitmap.desk.practice import Practising
from circuitmap.desk.share_page import Sharing
from circuitmap.desk.shelf_acts import Shelving
from circuitmap.desk.straighten_acts import Straightening
from circuitmap.home import Change, Home, verbs

if TYPE_CHECKING:
    from circuitmap.desk.canvas.view import PlanView
    from circuitmap.desk.handing.pages import PagesView
    from circuitmap.desk.wall_view import WallView
    from circuitmap.desk.window import Window


def window_acts(window: "Window") -> list[Act]:
    """Give every action of the window itself; the stages bring their own."""
    return [
        *_home_acts(window),
        *_edit_acts(window),
        *_go_acts(window),
        *_plan_acts(window),
        *window.tracing.acts(),
        *Straightening(window).acts(),
        *Feeding(window).acts(),
        *_help_acts(window),
    ]


def _home_acts(window: "Window") -> list[Act]:
    files = window.files
    return [
        Act("new-home", "&New home…", "Home", files.new, "Ctrl+N"),
        Act("open-home", "&Open a home…", "Home", files.open, "Ctrl+O"),
        *Shelving(window).acts(),
        Act("open-sample", "Open a &sample home", "Home", files.open_sample, also=("example", "demo")),
        Practising(window).act(),
        Act("copy-home", "Save a &copy…", "Home", files.save_copy, "Ctrl+Shift+S", also=("backup", "save as")),
        *Sharing(window).acts(),
        Act("mark-home", "&Mark as found", "Home", files.mark_as_found, also=("as found",)),
        Act("draw-svg", "Save the plan as &SVG…", "Home", files.save_svg, also=("print", "export", "picture")),
        Act("close-window", "&Close", "Home", window.close, "Ctrl+W"),
    ]


def _edit_acts(window: "Window") -> list[Act]:
    adapter = window.adapter

    def undo_words() -> str:
        title = adapter.document.undo_title
        return f"&Undo {title}" if title else "&Undo"

    def redo_words() -> str:
        title = adapter.document.redo_title
        return f"&Redo {title}" if title else "&Redo"

    def remove() -> None:
        ids = adapter.selection
        if window.wall.drop_part():
            return
        part = window.view.gesture.key("Delete") if window.view.hasFocus() else None
        if part is not None:
            window.view.carry_out(part)
        elif ids:
            adapter.do(lambda home: verbs.remove(home, *ids))

    def can_change() -> bool:
        return bool(adapter.selection) and not adapter.document.read_only

    def share() -> None:
        ids = adapter.selection
        adapter.do(lambda home: verbs.share_plate(home, ids))

    def has_points() -> bool:
        return sum(1 for i in adapter.selection if i.startswith("P")) >= 2 and can_change()

    notes = window.inspector.notes

    def can_note() -> bool:
        return bool(notes.subject) and not adapter.document.read_only

    def write_note() -> None:
        window.focus_inspector()  # in a stage that keeps it out of sight one would type blindly
        notes.write()

    return [
        Act("undo", "&Undo", "Edit", adapter.undo, "Ctrl+Z", enabled=lambda: adapter.document.can_undo,
            words=undo_words),
        Act("redo", "&Redo", "Edit", adapter.redo, "Ctrl+Shift+Z | Ctrl+Y", enabled=lambda: adapter.document.can_redo,
            words=redo_words),
        Act("remove", "Re&move", "Edit", remove, "Delete", enabled=can_change, also=("delete",)),
        Act("share-plate", "Put on one &plate", "Edit", share, enabled=has_points, also=("gang", "box")),
        Act("photograph", "P&hotograph what is selected…", "Edit", notes.choose, "Ctrl+Shift+I", enabled=can_note,
            also=("picture", "image", "note", "camera")),
        Act("paste-photo", "&Paste a photograph", "Edit", notes.paste, "Ctrl+V", enabled=can_note, scope="canvas",
            also=("clipboard", "picture")),
        Act("write-note", "Write a &note", "Edit", write_note, "Ctrl+Shift+N", enabled=can_note,
            also=("remark", "seen")),
        Act("find", "&Find…", "Edit", window.focus_find, "Ctrl+F | Ctrl+K", also=("search", "command")),
    ]  # fmt: skip


def _go_acts(window: "Window") -> list[Act]:
    adapter = window.adapter

    def go(stage: str) -> None:
        adapter.set_stage(stage)

    return [
        Act("stage-draw", "&Draw", "Go", lambda: go("draw"), "F1", checked=lambda: adapter.stage == "draw"),
        Act("stage-survey", "&Survey", "Go", lambda: go("survey"), "F2", checked=lambda: adapter.stage == "survey"),
        Act("stage-wiring", "&Wiring", "Go", lambda: go("wiring"), "F3", checked=lambda: adapter.stage == "wiring"),
        Act("stage-readings", "&Readings", "Go", lambda: go("readings"), "F5",
            checked=lambda: adapter.stage == "readings", also=("meter", "test", "measure")),
        Act("stage-extend", "E&xtend", "Go", lambda: go("extend"), "F6", checked=lambda: adapter.stage == "extend",
            also=("requirement", "add", "option", "price", "quotation")),
        Act("stage-hand-over", "&Hand over", "Go", lambda: go("hand over"), "F7",
            checked=lambda: adapter.stage == "hand over", also=("paper", "print", "export", "chart", "document")),
        Act("go-round", "Go &round", "Survey", window.go_round.turn, "F9",
            "Let the plan and the answers fill the window (Esc leaves it)", window.go_round.can_turn,
            checked=lambda: window.go_round.is_on, also=("walk", "full", "screen")),
        Act("show-findings", "&Findings", "Go", window.show_findings, "F4"),
        Act("show-plan", "&Plan", "Go", window.show_plan, "Ctrl+1",
            checked=lambda: window.middle is window.view),
        Act("show-list", "&List", "Go", window.show_list, "Ctrl+2", checked=lambda: window.is_listing,
            also=("table", "points")),
        Act("focus-board", "&Board strip", "Go", window.board.setFocus, "Ctrl+3"),
        Act("focus-side", "Stage &panel", "Go", window.focus_stage, "Ctrl+4"),
        Act("focus-inspector", "Selected t&hing", "Go", window.focus_inspector, "Ctrl+5", also=("inspector",)),
        Act("storey-up", "Storey &up", "Go", lambda: adapter.step_storey(1), "PgUp"),
        Act("storey-down", "Storey d&own", "Go", lambda: adapter.step_storey(-1), "PgDown"),
    ]  # fmt: skip


def _plan_acts(window: "Window") -> list[Act]:
    adapter, view = window.adapter, window.view

    def tool(name: str) -> None:
        window.take_tool(name)

    def in_sight() -> "PlanView | WallView | PagesView":
        """Give what is zoomed: the plan, the wall or the document in its place."""
        if window.hand_over.is_shown:
            return window.hand_over.preview.pages
        return window.wall.page.view if window.wall.is_shown else view

    def add_storey() -> None:
        levels = [storey.level for storey in adapter.storeys()]
        level = max(levels) + 1 if levels else 0
        added = adapter.do(lambda home: _named_storey(home, level))
        if added:
            adapter.set_storey(added[0])

    return [
        Act("choose", "&Choose and move", "Plan", lambda: tool("select"), "V", scope="canvas",
            checked=lambda: adapter.tool == "select"),
        Act("bring-plan", "&Bring in a plan…", "Plan", window.draw_stage.choose_picture, "Ctrl+I",
            also=("picture", "image", "underlay")),
        Act("set-scale", "Set the s&cale", "Plan", lambda: tool("scale"), checked=lambda: adapter.tool == "scale"),
        Act("outline-room", "Outline a &room by its corners", "Plan", lambda: tool("room"), "Ctrl+R",
            checked=lambda: adapter.tool == "room"),
        Act("place-board", "Place the b&oard", "Plan", lambda: tool("board"), "Ctrl+B",
            checked=lambda: adapter.tool == "board"),
        Act("place-point", "Place &points", "Plan", lambda: tool("point"), "Ctrl+P",
            checked=lambda: adapter.tool == "point"),
        Act("insert-point", "&Insert a point into a run", "Plan", lambda: tool("insert"), "Ctrl+Shift+P",
            checked=lambda: adapter.tool == "insert"),
        Act("draw-run", "Draw a ru&n", "Plan", lambda: tool("run"), "Ctrl+E", checked=lambda: adapter.tool == "run",
            also=("cable", "join")),
        Act("add-storey", "Add a &storey", "Plan", add_storey),
        Act("storey-below", "Storey below shines &through", "Plan", window.content.turn_below, "Ctrl+Shift+B",
            checked=lambda: window.content.shows_below),
        Act("zoom-in", "Zoom &in", "Plan", lambda: in_sight().zoom_by(1.25), "Ctrl++ | Ctrl+="),
        Act("zoom-out", "Zoom &out", "Plan", lambda: in_sight().zoom_by(0.8), "Ctrl+-"),
        Act("fit", "&Fit the storey", "Plan", lambda: in_sight().fit(), "Ctrl+0"),
        Act("fit-selection", "Fit what is se&lected", "Plan", lambda: view.bring_into_view(adapter.selection),
            enabled=lambda: bool(adapter.selection)),
    ]  # fmt: skip


def _help_acts(window: "Window") -> list[Act]:
    return [
        Act(
            "shortcuts",
            "&Keys and actions",
            "Help",
            window.show_shortcuts,
            "Ctrl+/ | Ctrl+?",
            also=("help", "shortcut"),
        ),
        Act("theme", "&Light or dark", "Help", window.look.turn, "Ctrl+Shift+L", also=("theme", "night")),
        Act("cautions", "&Before you touch anything", "Help", window.show_cautions, also=("safety", "caution")),
    ]


def _named_storey(home: Home, level: int) -> Change:
    names = {0: "Ground", 1: "First", 2: "Second", 3: "Third"}
    return verbs.add_storey(home, names.get(level, f"Storey {level}"), level)
