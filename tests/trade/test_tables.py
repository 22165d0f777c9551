"""A person's own tables: layered over ours, or refused with every problem named."""

from pathlib import Path

import pytest

from circuitmap.errors import TradeError
from circuitmap.trade import load

SOURCE = 'source = "measured by me, 2025"\nedition = "any"\nsure = "low"\n'


def write(folder: Path, name: str, text: str) -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def refused(folder: Path) -> str:
    with pytest.raises(TradeError) as caught:
        load(folder)
    return str(caught.value)


def test_an_own_cable_is_added_and_ours_stay(tmp_path: Path) -> None:
    row = '[[cable]]\ncode = "T&E 3/1"\ntitle = "odd twin and earth"\nkind = "flat"\n'
    trade = load(write(tmp_path, "cables.toml", row + "live_mm2 = 3\ncpc_mm2 = 1\ncores = 2\n" + SOURCE))
    own = trade.cable("T&E 3/1")
    assert own is not None
    assert own.live_mm2 == 3
    assert own.source == "measured by me, 2025"
    assert trade.cable("T&E 2.5/1.5") is not None
    assert load().cable("T&E 3/1") is None


def test_an_own_row_changes_only_what_it_says(tmp_path: Path) -> None:
    trade = load(write(tmp_path, "points.toml", '[[point]]\nkind = "towel rail"\nfixed_load_w = 150\n' + SOURCE))
    row = trade.point("towel rail")
    assert row.fixed_load_w == 150
    assert row.plural == "towel rails"
    assert row.sure == "low"


def test_an_own_limit_wins_over_both_sides_of_a_disagreement(tmp_path: Path) -> None:
    row = '[[limit]]\nname = "radial 32 area m2"\nside = "mine"\nvalue = 60\nunit = "m²"\n'
    trade = load(write(tmp_path, "limits.toml", row + SOURCE.replace("any", "17th")))
    assert trade.limit("radial 32 area m2", "18th").value == 60
    assert trade.limit("radial 32 area m2", "18th", [("radial 32 area m2", "textbook")]).value == 50
    assert load().limit("radial 32 area m2", "18th").value == 75


def test_source_edition_and_sureness_may_be_said_once_for_a_file(tmp_path: Path) -> None:
    text = "[unless_said]\n" + SOURCE + '[[device]]\nkind = "blank"\ntitle = "empty space"\n'
    assert load(write(tmp_path, "devices.toml", text)).device("blank").title == "empty space"


def test_files_with_other_names_and_a_missing_folder_are_left_alone(tmp_path: Path) -> None:
    write(tmp_path, "prices.toml", "this is [[ no TOML")
    assert load(tmp_path).cables() == load().cables()
    assert load(tmp_path / "nowhere") is load()


def test_a_row_without_source_is_refused_even_where_ours_has_one(tmp_path: Path) -> None:
    says = refused(write(tmp_path, "points.toml", '[[point]]\nkind = "socket"\ntitle = "outlet"\n'))
    assert "points.toml, point 1 (socket): “source” is missing" in says


def test_all_problems_of_all_files_come_at_once(tmp_path: Path) -> None:
    write(tmp_path, "points.toml", '[[point]]\nkind = "sofa socket"\n' + SOURCE)
    write(tmp_path, "devices.toml", '[[device]]\nkind = "MCB"\nhow_switched = "kick"\n' + SOURCE)
    write(tmp_path, "limits.toml", '[[limit]]\nname = "ring colour"\nvalue = 3\nunit = ""\n' + SOURCE)
    says = refused(tmp_path)
    assert "3 problems" in says
    assert "point 1 (sofa socket): is no point this program knows" in says
    assert "how_switched" in says
    assert "kick" in says
    assert "limit 1 (ring colour, any): is no limit that any rule asks for" in says


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("cables.toml", "cable = 3", "must be a list of rows"),
        ("cables.toml", "cable = [1, 2]", "must be a row of names and values"),
        ("cables.toml", "[[sofa]]\na = 1", "no table is called “sofa”"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\nlive_mm2 = -2\n' + SOURCE, "> 0"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\nlive_mm2 = nan\n' + SOURCE, "“live_mm2” must be a plain"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\nlive_mm2 = "2.5"\n' + SOURCE, "Expected float"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\nprice = 2\n' + SOURCE, "price"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\niz = "magic"\n' + SOURCE, "iz must be one of flat, flex"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\ndo_not_extend = true\n' + SOURCE, "needs “why_not”"),
        ("cables.toml", ('[[cable]]\ncode = "T&E 2.5/1.5"\n' + SOURCE) * 2, "is there twice"),
        ("cables.toml", '[[cable]]\ncode = "T&E 2.5/1.5"\n' + SOURCE.replace("low", "sort of"), "sort of"),
        ("ratings.toml", '[[factor]]\nname = "Ca"\nat = [1, 2]\nvalue = [1.0]\n' + SOURCE, "equally long"),
        ("ratings.toml", '[[iz]]\ntable = "flat"\nmm2 = 2.5\nby_method = { Q = 3 }\n' + SOURCE, "by_method must use"),
        ("ratings.toml", '[[iz]]\ntable = "flat"\nmm2 = 2.5\nby_method = { C = inf }\n' + SOURCE, "by_method"),
        ("limits.toml", '[[limit]]\nname = "ring area m2"\nvalue = 9\nunit = "m²"\n' + SOURCE, "“any” is no edition"),
        ("limits.toml", '[[heavy]]\nname = "x"\nkinds = ["hob"]\nover = "y"\ncode = "C3"\n' + SOURCE, "no limit is"),
        ("limits.toml", '[[edition]]\ncode = "99th"\ntitle = "x"\nyear = 2099\n', "is no edition this program"),
        ("limits.toml", "[unless_said]\nvalue = 3\n", "may only hold source, edition and sure"),
        ("conductors.toml", '[[constant]]\nname = "copper rho 20"\nvalue = 1' + "0" * 40 + "\n" + SOURCE, "<= 1000000"),
        (
            "cables.toml",
            "[[cable]]\ncode = 'x'\nlive_mm2 = 1" + "0" * 400 + "\n" + SOURCE,
            "cable x: Number out of range",
        ),
        ("cables.toml", "[[cable]]\ncode = 3\n" + SOURCE, "cable 3"),
        ("cables.toml", "[[cable]]\n" + SOURCE, "cable without a name"),
    ],
)
def test_a_bad_row_is_named_with_its_file_and_fault(tmp_path: Path, name: str, text: str, expected: str) -> None:
    says = refused(write(tmp_path, name, text))
    assert expected in says
    assert len(says) < 1500


@pytest.mark.parametrize(
    "content",
    [b"\xff\xfe\x00", b"[[cable", b"a = " + b"[" * 5000, b"a = " + b"9" * 5000, b"\x00", b"cable = [[]"],
    ids=["no UTF-8", "cut short", "nested", "absurd number", "zero byte", "unclosed"],
)
def test_a_file_that_is_no_toml_is_refused_in_one_sentence(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "cables.toml").write_bytes(content)
    says = refused(tmp_path)
    assert "cables.toml" in says
    assert len(says) < 400


def test_a_folder_in_place_of_a_file_and_a_huge_file_are_refused(tmp_path: Path) -> None:
    (tmp_path / "cables.toml").mkdir()
    assert "can't be read" in refused(tmp_path)
    (tmp_path / "cables.toml").rmdir()
    (tmp_path / "cables.toml").write_bytes(b"#" * 1_000_001)
    assert "far too long" in refused(tmp_path)


def test_a_cable_of_an_unknown_imperial_size_is_refused(tmp_path: Path) -> None:
    text = '[[cable]]\ncode = "T&E 7/.029"\nimperial = "7/.030"\n' + SOURCE
    assert "no imperial size “7/.030”" in refused(write(tmp_path, "cables.toml", text))


def test_a_disagreement_without_a_chosen_side_is_refused(tmp_path: Path) -> None:
    row = '[[limit]]\nname = "radial 32 area m2"\nside = "{}"\nvalue = 60\nunit = "m²"\nchosen = false\n'
    off = row.format("appendix 15") + SOURCE.replace("any", "17th")
    assert "0 sides are chosen" in refused(write(tmp_path, "limits.toml", off))
