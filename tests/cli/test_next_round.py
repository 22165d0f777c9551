"""``circuitmap next-round``: the planner's own proposal, in words and as JSON."""

import json
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.home import verbs
from circuitmap.home.exchange import write_folder
from circuitmap.home.records import Device, Load, Point
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.impact import NOT_PROOF
from circuitmap.survey.method import METHODS, Method, MethodKind
from circuitmap.survey.planner import propose
from circuitmap.trade import load
from tests.build import Builder


class Looked(Builder):
    """Two rooms on four ways under one RCD, all seen with the power on, nothing switched off yet."""

    def __init__(self, phases: int = 1) -> None:
        super().__init__("Two rooms")
        ground = self.storey()
        self.room("Kitchen", ground, (0, 0, 4000, 3000))
        self.room("Living room", ground, (4000, 0, 9000, 3000))
        board = self.board("A")
        main_switch = self.device(board, "", "main switch", 100)
        rcd = self.device(board, "", "RCD", 63, upstream=main_switch)
        for way, label in enumerate(("Ring", "Kitchen\nsockets", "Lights", ""), start=1):
            self.device(board, str(way), "MCB", 6 if label == "Lights" else 32, upstream=rcd, label=label)
        self.do(verbs.set_supply(self.home, phases=phases, sources=(), sources_asked=True))
        sockets = [self.point("socket", (ground, x, 100)) for x in (500, 2500, 4500, 6500, 8000)]
        lamps = [self.point("light", (ground, x, 1500)) for x in (2000, 6500)]
        look = self.round(self.visit())
        for point in (*sockets, *lamps):
            self.check(look, point, "still on")


@pytest.fixture
def looked() -> Looked:
    return Looked()


@pytest.fixture
def folder(looked: Looked, tmp_path: Path) -> Path:
    write_folder(tmp_path / "home", looked.home)
    return tmp_path / "home"


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert main(["next-round", *arguments, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


def test_json_is_the_planners_proposal_with_the_keys_that_are_promised(
    looked: Looked, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = asked(capsys, str(folder))
    assert list(answer) == [
        "home", "manner", "kind", "says", "off", "sources_off", "points", "witnesses", "settles", "rounds_left",
        "minutes", "minutes_left", "operations", "why", "cautions",
    ]  # fmt: skip
    home, made = looked.home, propose(looked.home, Memo(), load(), Method())
    assert made.off
    assert answer["off"] == [{"id": i, "code": home.code(i), "label": home.take(Device, i).label} for i in made.off]
    rooms = rooms_of_points(home, Memo())
    points = answer["points"]
    assert isinstance(points, list)
    assert [point["id"] for point in points] == list(made.points)
    for point in points:
        room = rooms[point["id"]]
        assert room is not None
        assert point["room"].startswith(room.name)
        assert point["id"] in point["words"]
    assert (answer["kind"], answer["says"], answer["rounds_left"]) == (made.kind, made.says, made.rounds_left)
    assert NOT_PROOF in answer["cautions"]  # type: ignore[operator]  # a list, by the key's promise


def test_words_name_the_devices_the_rooms_in_walk_order_and_that_off_is_no_proof(
    looked: Looked, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["next-round", str(folder), "--manner", "single", "--keep-on", "A1"]) == 0
    said = capsys.readouterr().out
    made = propose(
        looked.home, Memo(), load(), Method("one at a time", keep_on=frozenset({looked.home.sorted(Device)[2].id}))
    )
    assert "A1" not in [looked.home.code(i) for i in made.off]
    assert made.says in " ".join(said.split())
    assert "A2  MCB, “Kitchen sockets”" in said
    rooms = [line.strip() for line in said.splitlines() if line.startswith("  ") and line.endswith(", Ground")]
    assert sorted(rooms) == ["Kitchen, Ground", "Living room, Ground"]
    assert NOT_PROOF in " ".join(said.split())


def test_a_load_is_named_once_with_its_number_and_an_rcd_by_its_board(
    looked: Looked, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    point = looked.home.sorted(Point)[3].id
    looked.do(verbs.edit(looked.home, point, loads=(Load(what="freezer", if_off="spoils"),)))
    write_folder(tmp_path / "home", looked.home)
    assert main(["next-round", str(tmp_path / "home")]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "tells of the RCD of board A (D2)" in said
    assert f"Likely to go off: freezer ({point}) " in said


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        *((kind, kind) for kind in METHODS),
        ("fewest", "fewest rounds"), ("single", "one at a time"), ("one-on", "all off, one on"),
        ("ALL-OFF-ONE-ON", "all off, one on"), ("one-at-a-time", "one at a time"),
    ],
)  # fmt: skip
def test_a_manner_goes_by_its_name_or_in_short(
    typed: str, kind: MethodKind, looked: Looked, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = asked(capsys, str(folder), "--manner", typed)
    made = propose(looked.home, Memo(), load(), Method(kind))
    assert answer["manner"] == kind
    assert [each["id"] for each in answer["off"]] == list(made.off)  # type: ignore[attr-defined]  # a list of objects


def test_gentle_takes_how_many_may_be_off(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wide = asked(capsys, str(folder), "--manner", "gentle", "--most", "3")
    narrow = asked(capsys, str(folder), "--manner", "gentle", "--most", "1")
    assert len(wide["off"]) > len(narrow["off"]) == 1  # type: ignore[arg-type]  # lists


def test_what_is_kept_on_is_never_proposed_by_code_or_id_in_any_letters(
    folder: Path, looked: Looked, capsys: pytest.CaptureFixture[str]
) -> None:
    ids = {looked.home.code(device.id): device.id for device in looked.home.sorted(Device)}
    answer = asked(capsys, str(folder), "--keep-on", f"a1, {ids['A3'].lower()} ")
    off = {each["id"] for each in answer["off"]}  # type: ignore[attr-defined]  # a list of objects
    assert off
    assert not off & {ids["A1"], ids["A3"]}


def test_a_survey_that_is_over_says_so(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    write_folder(tmp_path / "bare", Builder("Bare").home)
    answer = asked(capsys, str(tmp_path / "bare"))
    assert (answer["kind"], answer["off"], answer["cautions"]) == ("done", [], [])
    assert answer["says"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--keep-on", "A1,Z9"], "No device is called “Z9”; there are: A1, A2, A3, A4."),
        (["--manner", "quick"], "“quick” is no method; there are: “fewest switch-offs” (fewest), gentle,"),
        (["--most", "2"], "--most goes with --method gentle only"),
        (["--manner", "gentle", "--most", "0"], "--most is how many devices may be off at once, 1 or more, not 0."),
    ],
)
def test_what_is_meant_wrongly_is_one_sentence_and_2(
    arguments: list[str], says: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["next-round", str(folder), *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith(f"circuitmap: {says}")
    assert captured.err.count("\n") == 1


def test_a_home_that_isnt_there_is_3_and_one_that_cant_be_surveyed_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["next-round", str(tmp_path / "nowhere")]) == 3
    assert "is not there" in capsys.readouterr().err
    write_folder(tmp_path / "three", Looked(phases=3).home)
    assert main(["next-round", str(tmp_path / "three")]) == 2
    assert "phase" in capsys.readouterr().err
