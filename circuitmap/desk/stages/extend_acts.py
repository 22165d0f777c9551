"""What can be done in the Extend stage, by key, menu and search."""

from typing import TYPE_CHECKING

from circuitmap.desk.actions import Act

if TYPE_CHECKING:
    from circuitmap.desk.stages.extend import ExtendStage


def acts_of(stage: "ExtendStage") -> list[Act]:
    """Give the actions of the stage."""
    state, wishes = stage.state, stage.wishes

    def is_on() -> bool:
        return stage.is_on

    def is_open() -> bool:
        return stage.is_on and state.is_open

    def has_point() -> bool:
        return is_open() and wishes.point is not None

    def has_wish() -> bool:
        return is_open() and state.wish >= 0

    def is_planned() -> bool:
        return stage.is_on and state.is_planned

    def has_picked() -> bool:
        return stage.is_on and state.extension is not None and bool(state.extension.picked)

    def is_busy() -> bool:
        return stage.is_on and (stage.asked.is_busy or stage.is_writing)

    return [
        Act("extend-begin", "&Begin another extension", "Extend", stage.begin, "Ctrl+Alt+N",
            "What is required, under a name of its own", is_on, also=("new", "requirement", "addition")),
        Act("extend-next", "Look at the &next extension", "Extend", stage.next_extension, "Ctrl+Alt+Right", "",
            lambda: stage.is_on and len(state.extensions) > 1, also=("choose", "other")),
        Act("extend-plant", "&Place a requirement on the plan", "Extend", wishes.plant, "Ctrl+Alt+P",
            "Click the wall where a point is required", is_open, also=("add", "socket", "point", "place")),
        Act("extend-type", "&Type a requirement", "Extend", wishes.focus_typed, "Ctrl+Alt+T",
            "Such as “twin socket, Kitchen, wall 2, 1.4 m, 1100 mm”", is_open, also=("words", "add")),
        Act("extend-move", "Have the chosen point &moved", "Extend", wishes.move_point, "Ctrl+Alt+M",
            "The next click says where it is to go", has_point, also=("move", "relocate")),
        Act("extend-remove", "Have the chosen point r&emoved", "Extend", wishes.remove_point, "Ctrl+Alt+R",
            "", has_point, also=("remove", "take out")),
        Act("extend-drop-wish", "Take the chosen requirement a&way", "Extend", wishes.drop, "Ctrl+Alt+Backspace", "",
            has_wish, also=("drop", "delete")),
        Act("extend-wishes", "&Requirements", "Extend", stage.show_wishes, "Ctrl+Alt+1", "", is_on),
        Act("extend-options", "&Options", "Extend", stage.show_options, "Ctrl+Alt+2",
            "Every sound way, side by side", is_on, also=("cards", "ways", "price")),
        Act("extend-planned", "What &changed", "Extend", stage.show_planned, "Ctrl+Alt+3",
            "What is planned, and what to read once it is done", is_on, also=("planned", "promise")),
        Act("extend-fit", "What has to be in order &first", "Extend", lambda: _fit(stage), "Ctrl+Alt+F",
            "Supply, earthing, bonding, RCD cover, dangers", is_on, also=("fit", "supply", "earthing", "bonding")),
        Act("extend-stop", "&Stop working the options out", "Extend", stage.stop, "Ctrl+Alt+S", "", is_busy),
        Act("extend-again", "Work the options out &again", "Extend", stage.asked.again, "Ctrl+Alt+G", "",
            lambda: is_open() and not stage.asked.is_busy, also=("refresh", "prices")),
        Act("extend-pick", "Pick the way that is &open", "Extend", stage.pick_opened, "Ctrl+Alt+K", "", is_open,
            also=("choose", "option")),
        Act("extend-accept", "Put what is picked on the map as p&lanned", "Extend", stage.accept, "Ctrl+Alt+Return",
            "Planned, never shown as a fact; one undo takes it back", lambda: is_open() and has_picked(),
            also=("accept", "plan")),
        Act("extend-done", "Planned work is &done", "Extend", stage.say_done, "Ctrl+Alt+D",
            "What was planned is there, what it took is gone", is_planned, also=("finished", "existing", "built")),
        Act("extend-back", "Take the plan &back", "Extend", stage.take_back, "Ctrl+Alt+B",
            "Nothing of it stays on the map", is_planned, also=("withdraw", "drop", "promise")),
        Act("extend-quote", "&Quotation…", "Extend", stage.quote, "Ctrl+Alt+Q",
            "Write what is picked as PDF or XLSX", has_picked, also=("offer", "price", "customer", "pdf", "xlsx")),
        Act("extend-estimate", "Estimator's s&heet…", "Extend", stage.estimate, "Ctrl+Alt+E",
            "Every line with its range and what makes it uncertain, as XLSX; not for the customer", has_picked,
            also=("range", "low", "likely", "high", "xlsx")),
        Act("extend-take-away", "Take the whole extension awa&y", "Extend", stage.take_away, "",
            "With all of it that is planned; work that is done stays", lambda: stage.is_on and
            state.extension is not None, also=("remove", "delete")),
    ]  # fmt: skip


def _fit(stage: "ExtendStage") -> None:
    """Show what has to be in order first, all of it."""
    stage.tabs.setCurrentIndex(1)
    stage.options.fit.unfold()
    stage.options.fit.more.setFocus()
