"""What was said, and where cables lead: each as strong as the weakest thing it rests on."""

from circuitmap.home import Home, verbs
from circuitmap.home.records import Board, Device, End, Point, Run, Tag
from circuitmap.memo import Memo
from circuitmap.survey.followed import Clue, clues
from tests.build import Builder


def found(b: Builder, *ways: str) -> dict[str, frozenset[Clue]]:
    return dict(clues(b.home, Memo(), ways))


def test_a_tag_speaks_for_its_way_as_well_as_it_is_known() -> None:
    b = Builder()
    way, other = (b.device(b.board(letter), "1") for letter in "AB")
    point = b.point()
    b.do(verbs.tag(b.home, point, way, "inferred"))
    assert found(b, way, other) == {point: {Clue(way, "tag", "inferred")}}


def test_a_tag_at_an_rcd_speaks_for_every_way_under_it() -> None:
    b = Builder()
    board = b.board()
    rcd = b.device(board, "R", "RCD")
    under, also = (b.device(board, str(n), upstream=rcd) for n in (1, 2))
    beside, point = b.device(board, "3"), b.point()
    b.do(verbs.tag(b.home, point, rcd, "seen"))
    assert found(b, under, also, beside) == {point: {Clue(under, "tag", "seen"), Clue(also, "tag", "seen")}}


def test_runs_lead_as_well_as_the_weakest_of_the_best_course() -> None:
    b = Builder()
    way = b.device(b.board(), "1")
    near, middle, far = b.point(), b.point(), b.point()
    b.run(way, near, "tested")
    b.run(near, middle, "assumed")
    b.run(middle, far, "seen")
    b.run(near, far, "inferred")
    ranks = {point: {clue.evidence for clue in each} for point, each in found(b, way).items()}
    # middle is best reached over far: seen, but no better than the inferred run on the way there.
    assert ranks == {near: {"seen"}, middle: {"inferred"}, far: {"inferred"}}


def test_a_piece_with_two_ways_speaks_for_both() -> None:
    b = Builder()
    board = b.board()
    first, second, point = b.device(board, "1"), b.device(board, "2"), b.point()
    b.run(first, point, "seen")
    b.run(second, point, "assumed")
    assert {clue.way for clue in found(b, first, second)[point]} == {first, second}


def test_what_was_said_of_one_point_of_an_island_speaks_for_all_of_it() -> None:
    b = Builder()
    way = b.device(b.board(), "1")
    one, other = b.point(), b.point()
    b.run(one, other, "assumed")
    b.do(verbs.tag(b.home, one, way, "tested"))
    assert found(b, way) == {one: {Clue(way, "tag", "seen")}, other: {Clue(way, "tag", "assumed")}}


def test_a_point_that_nothing_leads_to_has_no_clues() -> None:
    b = Builder()
    way = b.device(b.board(), "1")
    b.point()
    assert found(b, way) == {}


def test_a_run_that_is_planned_or_loose_leads_nowhere() -> None:
    home = Home.of(
        [
            Board(id="B1", letter_on_map="A"),
            Device(id="D1", board="B1", kind="MCB"),
            Point(id="P1", kind="socket"),
            Point(id="P2", kind="socket"),
            Point(id="P3", kind="socket"),
            Run(id="R1", a=End(at="D1"), b=End(at="P1")),
            Run(id="R2", a=End(at="P1"), b=End(at="P2", state="loose")),
            Run(id="R3", a=End(at="P1"), b=End(at="P3"), phase="planned"),
            Tag(id="K1", target="B1", device="D1", evidence="seen"),
        ]
    )
    assert clues(home, Memo(), ("D1",)).keys() == {"P1"}
