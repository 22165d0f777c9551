"""What can be done in the Survey stage, by key, menu and search."""

from typing import TYPE_CHECKING

from circuitmap.desk.actions import Act

if TYPE_CHECKING:
    from circuitmap.desk.stages.survey import SurveyStage


def acts_of(stage: "SurveyStage") -> list[Act]:
    """Give the actions of the stage; "check-next" has no key here, Space is the plan's and the panel's own."""
    panel, cursor = stage.panel, stage.visit
    walks = stage.can_answer
    return [
        Act("check-off", "Went off", "Survey", panel.say_off, "O", "Record: it went off", walks, scope="canvas",
            also=("check", "answer")),
        Act("check-on", "Still on", "Survey", panel.say_on, "S", "Record: it is still on", walks, scope="canvas",
            also=("check", "answer")),
        Act("check-glow", "Faint glow", "Survey", panel.say_glow, "G", "Record: a faint glow", walks,
            scope="canvas", also=("check", "answer")),
        Act("check-unknown", "Can't tell…", "Survey", panel.ask_why, "C", "Record that it can't be told, and why",
            walks, scope="canvas", also=("check", "answer", "not reached")),
        Act("check-next", "Next point", "Survey", panel.go_next, "", "Go on without an answer (Space)", walks,
            scope="canvas", also=("skip",)),
        Act("check-back", "Take back the last answer", "Survey", panel.take_back, "Backspace",
            "Take the last answer of this walk back", stage.can_take_back, scope="canvas", also=("undo",)),
        Act("check-trip", "Something tripped…", "Survey", stage.events.ask_what_tripped, "T",
            "Record what tripped during this switch-off", stage.can_say_tripped, scope="canvas", also=("rcd",)),
        Act("check-again", "What tripped is on again", "Survey", stage.put_on_again, "R",
            "Record that what tripped was put on again, and go on", stage.can_put_on_again, scope="canvas",
            also=("rcd", "tripped", "reset")),
        Act("check-lamp", "The lamp is still alight", "Survey", stage.lamp_good, "L",
            "Record that the lamp left on was looked at", stage.is_walking, scope="canvas", also=("witness",)),
        Act("check-end", "End the walk", "Survey", stage.end_walk, "E", "Go on to the power back on",
            stage.can_end, scope="canvas", also=("done",)),
        Act("visit-start", "Start a visit", "Survey", stage.start.start_visit, "", "", stage.can_start),
        Act("visit-look", "Look at everything with the power on", "Survey", cursor.start_look, "", "",
            stage.can_choose, also=("baseline",)),
        Act("visit-all-off", "Choose everything off", "Survey", cursor.choose_everything, "", "", stage.can_choose),
        Act("visit-power", "The power is back on", "Survey", cursor.power_back, "", "", stage.can_close),
        Act("visit-pause", "Pause or go on", "Survey", stage.turn_pause, "Ctrl+.",
            "Let the walk wait, or go on with it", stage.can_pause, also=("resume", "wait")),
        Act("visit-put-down", "Put down what is proposed", "Survey", cursor.put_down, "Ctrl+Return",
            "Choose the switch-off that is proposed", stage.can_put_down, also=("propose", "next switch-off")),
        Act("visit-hunt", "Find its way: one stands here, the other switches", "Survey", stage.start_hunt, "",
            "Search for the way of the point that is selected, two persons", stage.can_hunt,
            also=("search", "hunt", "two persons")),
        Act("visit-entry", "Quick entry of answers", "Survey", stage.open_entry, "Ctrl+T",
            "Type answers by number, as on the paper sheet", stage.can_type, also=("sheet", "paper")),
        Act("visit-sheet", "Print sheet to a file…", "Survey", stage.sheet.ask_where, "Ctrl+Shift+T",
            "Write the survey's sheet to a text or table file", None, also=("paper", "csv")),
    ]  # fmt: skip
