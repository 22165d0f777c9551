"""Every verb in one place: the one way that the desk, the command line and the tests alter a home.

Each takes a home and facts and gives a Change; none of them changes anything by itself.
"""

from circuitmap.home.verbs_board import (
    add_board,
    add_device,
    label_way,
    next_way,
    set_supply,
    supply_of,
    tag,
    tags_of,
    untag,
)
from circuitmap.home.verbs_common import describe, edit, edit_many, now_text, remove, today_text
from circuitmap.home.verbs_extend import add_extension, add_wish, drop_wish, is_planned, pick, set_method, set_wish
from circuitmap.home.verbs_notes import (
    MOST_PHOTOS,
    add_photos,
    all_notes_of,
    clear,
    note,
    note_said,
    notes_of,
    remove_photos,
    reopen,
    set_conditions,
    write_note,
)
from circuitmap.home.verbs_plan import add_fixture, add_room, add_sheet, add_storey, add_wall, reshape_room, set_scale
from circuitmap.home.verbs_points import add_point, move, share_plate
from circuitmap.home.verbs_readings import (
    add_meter,
    is_meter_proved,
    null_leads,
    prove_meter,
    record_reading,
    set_copper_temperature,
    set_meter,
    subtract_leads,
    why_unproved,
)
from circuitmap.home.verbs_runs import count_cables, cut, end_at, follow, join, runs_at, set_end, split
from circuitmap.home.verbs_survey import (
    add_instrument,
    add_limitation,
    is_open,
    open_round,
    record_check,
    record_event,
    record_isolation,
    rule_on,
    start_visit,
)
from circuitmap.home.verbs_walls import add_opening, move_opening, remove_opening, set_build, set_heights, set_thickness

__all__ = [
    "MOST_PHOTOS", "add_board", "add_device", "add_extension", "add_fixture", "add_instrument", "add_limitation",
    "add_meter", "add_opening", "add_photos", "add_point", "add_room", "add_sheet", "add_storey", "add_wall",
    "add_wish", "all_notes_of", "clear", "count_cables", "cut", "describe", "drop_wish", "edit", "edit_many",
    "end_at", "follow", "is_meter_proved", "is_open", "is_planned", "join", "label_way", "move", "move_opening",
    "next_way", "note", "note_said", "notes_of", "now_text", "null_leads", "open_round", "pick", "prove_meter",
    "record_check", "record_event", "record_isolation", "record_reading", "remove", "remove_opening", "remove_photos",
    "reopen", "reshape_room", "rule_on", "runs_at", "set_build", "set_conditions", "set_copper_temperature",
    "set_end", "set_heights", "set_meter", "set_method", "set_scale", "set_supply", "set_thickness", "set_wish",
    "share_plate",
    "split", "start_visit", "subtract_leads", "supply_of", "tag", "tags_of", "today_text", "untag", "why_unproved",
    "write_note",
]  # fmt: skip
