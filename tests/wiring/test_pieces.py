from circuitmap.home.records import End
from circuitmap.home.verbs import edit
from circuitmap.memo import Memo
from circuitmap.wiring import graph_of, pieces, pieces_of
from tests.build import Builder


def test_a_thing_without_runs_is_in_no_piece() -> None:
    h = Builder()
    board = h.board()
    h.device(board, "1")
    h.point()
    assert pieces(h.home) == ()


def test_a_piece_is_named_after_its_first_way_or_else_its_first_point() -> None:
    h = Builder()
    board = h.board()
    d = h.device(board, "1")
    p = [h.point() for _ in range(12)]
    h.chain(p[11], p[9], p[10])
    h.chain(p[2], p[1], d)
    assert [piece.name for piece in pieces(h.home)] == [d, p[9]]
    assert [point.id for point in pieces(h.home)[1].points] == [p[9], p[10], p[11]]


def test_switch_drops_and_strappers_join_nothing_that_is_not_fed_through_them() -> None:
    h = Builder()
    board = h.board()
    d = h.device(board, "1", rating_a=6)
    light, switch = h.point("light"), h.point("switch")
    h.run(d, light)
    h.run(light, switch, role="switch drop")
    (piece,) = pieces(h.home)
    assert [point.id for point in piece.points] == [light]
    assert [run.id for run in piece.drops] == ["R2"]
    assert piece.links == ()


def test_an_interlink_between_two_circuits_does_not_join_them() -> None:
    h = Builder()
    board = h.board()
    ways = [h.device(board, str(n), rating_a=6) for n in (1, 2)]
    alarms = [h.point("smoke alarm") for _ in ways]
    for way, alarm in zip(ways, alarms, strict=True):
        h.run(way, alarm)
    h.run(*alarms, role="other")
    assert [piece.name for piece in pieces(h.home)] == ways


def test_a_sub_board_is_a_leaf_and_its_own_ways_are_pieces_of_their_own() -> None:
    h = Builder()
    main, shed = h.board("A"), h.board("B", source="run")
    feed, own = h.device(main, "1"), h.device(shed, "1")
    light = h.point("light")
    h.run(feed, shed)
    h.run(own, light)
    first, second = pieces(h.home)
    assert (first.name, [board.id for board in first.boards]) == (feed, [shed])
    assert (second.name, second.boards) == (own, ())


def test_a_run_to_the_supply_side_of_a_sub_boards_switch_feeds_that_board() -> None:
    h = Builder()
    main, shed = h.board("A"), h.board("B", source="run")
    feed, switch = h.device(main, "1"), h.device(shed, "", "main switch", 40)
    h.run(feed, End(at=switch, side="supply"))
    (piece,) = pieces(h.home)
    assert [device.id for device in piece.devices] == [feed]
    assert [board.id for board in piece.boards] == [shed]
    assert set(graph_of(piece)) == {(feed, "through"), (shed, "through")}


def test_a_fused_unit_has_two_nodes_and_an_edge_inside_it() -> None:
    h = Builder()
    board = h.board()
    d, f, boiler = h.device(board, "1"), h.point("fused unit"), h.point("boiler")
    h.run(d, f)
    h.run(End(at=f, side="load"), boiler)
    (piece,) = pieces(h.home)
    graph = graph_of(piece)
    assert graph.has_edge((f, "supply"), (f, "load"), "inner")
    assert graph.has_edge((d, "through"), (f, "supply"), "R1")
    assert graph.has_edge((f, "load"), (boiler, "through"), "R2")


def test_a_cable_loose_at_both_ends_is_a_piece_of_its_own() -> None:
    h = Builder()
    stray = h.run(End(state="loose"), End(state="loose"))
    (piece,) = pieces(h.home)
    assert piece.name == stray
    assert [run.id for run in piece.runs] == [stray]


def test_a_cable_from_some_unknown_way_of_a_board_ends_there_untold() -> None:
    h = Builder()
    board, p = h.board(), h.point()
    h.run(End(at=board, side="load"), p)
    (piece,) = pieces(h.home)
    assert piece.boards == ()
    assert [point.id for point in piece.points] == [p]


def test_pieces_are_looked_for_again_only_when_the_wiring_changes() -> None:
    h = Builder()
    board = h.board()
    d, p = h.device(board, "1"), h.point()
    h.run(d, p)
    memo = Memo()
    before = pieces_of(h.home, memo)
    h.room("Kitchen")
    assert pieces_of(h.home, memo) is before
    h.do(edit(h.home, p, cables_seen=1))
    assert pieces_of(h.home, memo) is not before
