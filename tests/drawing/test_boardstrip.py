"""The board strip: every device once, in order, with type and rating as the trade writes them."""

from xml.etree import ElementTree as Tree

from circuitmap.drawing.boardstrip import board_block, board_cells, rating_words
from circuitmap.drawing.dress import circuit_dresses
from circuitmap.drawing.svg import svg_text
from circuitmap.home import verbs
from circuitmap.home.records import Device, Rcd
from circuitmap.memo import Memo
from tests.build import Builder
from tests.drawing.homes import circuits_of


def split_load() -> Builder:
    b = Builder()
    board = b.board("A", name="Hall cupboard")
    main = b.device(board, "", "main switch", 100)
    rcd = b.device(board, "", "RCD", 63, upstream=main)
    b.do(verbs.edit(b.home, rcd, "rcd", rcd=Rcd(trips_ma=30.0)))
    b.device(board, "1", "MCB", 32, curve="B", label="Sockets downstairs and in the garage <b>", upstream=rcd)
    b.device(board, "2", "MCB", 32, curve="B", label="Sockets", upstream=rcd)
    b.device(board, "3", "fuse BS 3036", 5, label="Lights", upstream=main)
    return b


def test_cells_carry_code_rating_colour_and_what_they_are_under() -> None:
    home = split_load().home
    cells = board_cells(home, "B1", circuit_dresses(circuits_of(home), Memo()))
    assert [(c.code, c.rating, c.role) for c in cells] == [
        ("", "100 A", ""),
        ("", "63 A 30 mA", ""),
        ("A1", "B32", "circuit:0"),
        ("A2", "B32", "circuit:1"),
        ("A3", "5 A", "circuit:2"),
    ]
    assert [c.over for c in cells] == ["", "", "D2", "D2", ""]
    assert [(c.carrier, c.toggle) for c in cells] == [(False, True)] * 4 + [(True, False)]


def test_a_planned_device_says_so_and_one_that_was_taken_out_is_not_there() -> None:
    b = split_load()
    b.do(verbs.edit(b.home, "D3", phase="planned"))
    b.do(verbs.edit(b.home, "D4", phase="removed"))
    b.do(verbs.edit(b.home, "D5", label="", phase="planned"))
    labels = {cell.code: cell.label for cell in board_cells(b.home, "B1", {})}
    assert labels["A1"] == "planned: Sockets downstairs and in the garage <b>"
    assert "A2" not in labels
    assert labels["A3"] == "planned"


def test_a_type_is_written_with_its_rating_only_where_it_is_one_letter() -> None:
    def words(**facts: object) -> str:
        return rating_words(Device(id="D1", board="B1", kind="MCB", **facts))  # type: ignore[arg-type]  # shorthand

    assert words(rating_a=32.0, curve="B") == "B32"
    assert words(rating_a=32.0) == "32 A"
    assert words(rating_a=15.0, curve="type 2") == "15 A"
    assert words() == ""


def test_a_strip_too_long_for_its_room_goes_on_in_another_row() -> None:
    home = split_load().home
    dresses = circuit_dresses(circuits_of(home), Memo())
    wide, narrow = board_block(home, "B1", dresses, 1000), board_block(home, "B1", dresses, 270)
    assert narrow.width_px <= 270 < wide.width_px
    assert narrow.height_px > wide.height_px
    assert all(0 <= text.x_px <= narrow.width_px for text in narrow.texts)


def test_two_devices_under_one_rcd_are_bracketed_once() -> None:
    home = split_load().home
    block = board_block(home, "B1", circuit_dresses(circuits_of(home), Memo()), 1000)
    assert [t.text for t in block.texts if t.text.startswith("under")] == ["under RCD 63 A 30 mA"]


def test_labels_stay_text_and_an_empty_board_says_so() -> None:
    home = split_load().home
    block = board_block(home, "B1", circuit_dresses(circuits_of(home), Memo()), 1000)
    root = Tree.fromstring(svg_text([], title="x", blocks=[block]))
    texts = [e.text or "" for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "Board A · Hall cupboard" in texts
    assert any("<b>" in text for text in texts)
    assert sum(text in ("A1", "A2", "A3") for text in texts) == 3
    empty = Builder()
    empty.board("A")
    assert any("Nothing is listed" in t.text for t in board_block(empty.home, "B1", {}, 500).texts)
