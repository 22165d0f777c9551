"""Sockets and switches near water: by edition, at heights known or not, and healthy rooms stay quiet.

Figures: BS 7671 Section 701 as quoted (0.60 m, 2.25 m, 3 m), 2.5 m from A2:2022 from memory; 0.30 m beside a sink is
custom, from memory.
"""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Place
from circuitmap.words import FixtureKind, PointKind
from tests.findings.ask import Wired, one, only, said


class Wet(Wired):
    """A room of 6 × 4 m with a drawn bath (1.7 × 0.7 m) in its corner; points are put on its walls."""

    def __init__(self, *, bath: bool = True) -> None:
        super().__init__()
        self.bathroom = self.room("Bathroom", self.ground, (0, 0, 6000, 4000))
        if bath:
            self.stand("bath", 0, 0, 1700, 700)

    def stand(self, kind: FixtureKind, x0: int, y0: int, x1: int, y1: int, drawn: bool = True) -> str:
        outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1)) if drawn else ()
        place = Place(storey=self.ground, x_mm=(x0 + x1) // 2, y_mm=y0, faces_deg=90.0)
        return self.do(verbs.add_fixture(self.home, kind, place, outline))

    def on_wall(self, kind: PointKind, x: int, y: int, height: int | None = None, **facts: object) -> str:
        faces = {0: 90.0, 4000: 270.0}.get(y, 0.0 if x == 0 else 180.0)
        place = Place(storey=self.ground, x_mm=x, y_mm=y, height_mm=height, faces_deg=faces)
        point = self.do(verbs.add_point(self.home, kind, place))
        if facts:
            self.say(point, **facts)
        return point


WATER = ("zone-socket", "zone-switch", "socket-sink")


def wet_codes(b: Wet) -> list[str]:
    return [f"{f.code} {f.rule}" for f in said(b.home) if f.rule in WATER]


def test_a_socket_a_metre_from_the_bath_is_told_with_its_distance_and_edition() -> None:
    b = Wet()
    socket = b.on_wall("socket", 2700, 0, 300)
    found = one(b.home, "zone-socket")
    assert (found.code, found.subjects, found.evidence) == ("C2", (socket,), "seen")
    assert found.says.endswith("too near the bath, 1.00 m from zone 1: edition 18th+A2 keeps sockets 2.5 m away.")


def test_the_distance_is_that_of_the_edition() -> None:
    b = Wet()
    b.on_wall("socket", 1700 + 2600, 0, 300)
    assert only(b.home, "zone-socket") == []
    b.do(verbs.edit(b.home, "home", edition="18th"))
    found = one(b.home, "zone-socket")
    assert found.code == "C2"
    assert "3 m away" in found.says
    b.do(verbs.edit(b.home, "home", choices=(("socket from zone 1 m", "2.5"),)))
    assert only(b.home, "zone-socket") == []


def test_near_the_limit_a_plan_cannot_tell_and_only_a_note_is_made() -> None:
    b = Wet()
    b.on_wall("socket", 1700 + 2400, 0, 300)
    found = one(b.home, "zone-socket")
    assert found.code == "note"
    assert "too near to tell from a plan" in found.says


def test_several_sockets_of_one_room_are_one_finding() -> None:
    b = Wet()
    b.on_wall("socket", 2700, 0)
    b.on_wall("socket", 0, 600)
    found = one(b.home, "zone-socket")
    assert len(found.subjects) == 2
    assert " are too near the bath, the nearest in zone 1 itself: " in found.says


def test_a_bath_that_nobody_drew_is_a_guess_that_asks_for_a_look() -> None:
    b = Wet(bath=False)
    b.stand("bath", 0, 0, 1700, 700, drawn=False)
    b.on_wall("socket", 2700, 0)
    found = one(b.home, "zone-socket")
    assert (found.code, found.evidence) == ("FI", "inferred")
    assert "about 1.00 m" in found.says


def test_behind_the_wall_is_another_room() -> None:
    b = Wet()
    b.room("Bedroom", b.ground, (0, -3100, 6000, -100))
    place = Place(storey=b.ground, x_mm=800, y_mm=-100, height_mm=300, faces_deg=270.0)
    b.do(verbs.add_point(b.home, "socket", place))
    b.do(verbs.add_point(b.home, "switch", place))
    assert wet_codes(b) == []


@pytest.mark.parametrize(
    ("x", "height", "facts", "code", "says"),
    [
        (800, 1200, {"switching": "one way"}, "C2", "in zone 1 of the bath."),
        (2100, 1200, {"switching": "one way"}, "C3", "in zone 2 of the bath."),
        (800, None, {"switching": "one way"}, "FI", "in zone 1 of the bath, if it is below 2.25 m."),
        (800, 1200, {}, "FI", "in zone 1 of the bath, unless it is worked by a cord."),
        (2100, None, {}, "note", "if it is below 2.25 m, unless it is worked by a cord."),
        # 0.59 m on a plan is 0.60 m, or is not.
        (2290, 1200, {"switching": "one way"}, "note", "in zone 2 of the bath."),
    ],
)
def test_a_switch_in_a_zone_is_told_with_what_is_not_known(x, height, facts, code: str, says: str) -> None:
    b = Wet()
    b.on_wall("switch", x, 0, height, **facts)
    found = one(b.home, "zone-switch")
    assert found.code == code
    assert found.says.endswith(says)


@pytest.mark.parametrize(
    ("kind", "x", "height", "facts"),
    [
        ("switch", 800, 2300, {"switching": "cord"}), ("switch", 800, 1200, {"switching": "cord"}),
        ("switch", 800, 2300, {"switching": "one way"}), ("switch", 2320, 1200, {"switching": "one way"}),
        ("shaver unit", 2100, 1500, {}), ("fused unit", 2320, 300, {}), ("light", 800, 2000, {}),
        ("shower", 100, 1500, {}), ("socket", 1700 + 2500, 300, {}), ("extractor fan", 800, 2100, {}),
    ],
)  # fmt: skip
def test_what_belongs_there_is_not_told(kind: PointKind, x: int, height: int, facts: dict[str, object]) -> None:
    b = Wet()
    b.on_wall(kind, x, 0, height, **facts)
    assert wet_codes(b) == []


def test_a_shaver_unit_over_the_bath_and_a_fused_unit_in_zone_2_are_told() -> None:
    b = Wet()
    b.on_wall("shaver unit", 800, 0, 1500)
    b.on_wall("fused unit", 2100, 0, 300)
    assert sorted((f.code, "zone 1" in f.says) for f in only(b.home, "zone-switch")) == [("C2", True), ("C3", False)]


def test_a_shower_without_a_tray_has_no_zone_2() -> None:
    b = Wet(bath=False)
    place = Place(storey=b.ground, x_mm=3000, y_mm=0, height_mm=2100, faces_deg=90.0)
    b.do(verbs.add_fixture(b.home, "shower head", place))
    b.on_wall("switch", 3000 + 1300, 0, 1200, switching="one way")
    assert wet_codes(b) == []
    b.on_wall("switch", 3000 + 1100, 0, 1200, switching="one way")
    assert one(b.home, "zone-switch").says.endswith("in zone 1 of the shower.")


def test_a_socket_close_to_a_sink_is_a_note_of_custom() -> None:
    b = Wet(bath=False)
    b.stand("sink", 2000, 0, 3000, 500)
    socket = b.on_wall("socket", 3200, 0, 1100)
    found = one(b.home, "socket-sink")
    assert (found.code, found.subjects, found.aside) == ("note", (socket,), False)
    assert "200 mm from the edge of the sink, nearer than the customary 0.3 m." in found.says
    b.do(verbs.edit(b.home, "home", choices=(("socket from sink m", "0.15"),)))
    assert only(b.home, "socket-sink") == []


def test_at_an_unknown_height_a_socket_by_a_sink_is_told_on_a_condition_and_below_the_top_not_at_all() -> None:
    b = Wet(bath=False)
    b.stand("hob", 2000, 0, 2580, 510)
    unknown = b.on_wall("socket", 2700, 0)
    assert one(b.home, "socket-sink").says.endswith("if above its top.")
    b.say(unknown, place=Place(storey=b.ground, x_mm=2700, y_mm=0, height_mm=450, faces_deg=90.0))
    assert only(b.home, "socket-sink") == []
    b.on_wall("appliance outlet", 2300, 0)
    assert only(b.home, "socket-sink") == []


def test_a_cooker_switch_belongs_beside_the_hob_and_not_over_it() -> None:
    b = Wet(bath=False)
    b.stand("hob", 2000, 0, 2580, 510)
    b.on_wall("cooker control unit", 2700, 0, 1100)
    assert only(b.home, "socket-sink") == []
    over = b.on_wall("cooker control unit", 2300, 0, 1100)
    assert one(b.home, "socket-sink").subjects == (over,)


def test_a_healthy_bathroom_and_kitchen_are_quiet() -> None:
    b = Wet()
    b.stand("basin", 2200, 0, 2750, 450)
    b.on_wall("shaver unit", 2900, 0, 1500)
    b.on_wall("light", 3000, 2000, 2400)
    b.on_wall("switch", 1000, 700, 2200, switching="cord")
    b.on_wall("towel rail", 6000, 2000, 700)
    b.on_wall("fused unit", 6000, 2400, 300)
    kitchen = b.room("Kitchen", b.ground, (6100, 0, 10_000, 4000))
    b.do(verbs.add_fixture(b.home, "sink", Place(storey=b.ground, x_mm=8000, y_mm=0, faces_deg=90.0)))
    for x in (7100, 8900, 9500):
        b.on_wall("socket", x, 0, 1100)
    b.on_wall("appliance outlet", 7700, 0, 500)
    assert kitchen
    assert wet_codes(b) == []


def test_a_room_without_fixtures_or_places_says_nothing() -> None:
    b = Wet(bath=False)
    b.on_wall("switch", 800, 0)
    b.point("socket", room=b.bathroom)
    assert wet_codes(b) == []


def test_plates_and_planned_points() -> None:
    b = Wet()
    pair = [b.on_wall("switch", 800, 0, 1200, switching="one way"), b.point("switch")]
    b.say(pair[1], switching="one way")
    b.do(verbs.share_plate(b.home, pair))
    assert set(one(b.home, "zone-switch").subjects) == set(pair)
    b.say(pair[0], phase="planned")
    b.say(pair[1], phase="planned")
    assert only(b.home, "zone-switch") == []
