"""What labels say: a table of labels of our own invention with what each must and must not say."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home.records import Room, Storey
from circuitmap.survey.labels import LabelWords, fits_room, fits_storey, read_label, read_room
from circuitmap.trade import Trade, load
from circuitmap.words import POINT_KINDS

TRADE = load()


@dataclass(frozen=True)
class Case:
    """A label, what it must say (all of it, of these), and what it must not say."""

    label: str
    rooms: tuple[str, ...] = ()
    storeys: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    spare: bool = False
    never: tuple[str, ...] = ()


# Readings of abbreviations on boards: common practice, no source.
CASES = (
    Case("Kit", rooms=("kitchen",), never=("sockets", "lights")),
    Case("KITCH. SKTS", rooms=("kitchen",), families=("sockets",)),
    Case("Skts", families=("sockets",), never=("lights",)),
    Case("Ring 2", families=("sockets",), never=("second", "bedroom 2")),
    Case("Ring main up", storeys=("up",), families=("sockets",), never=("down",)),
    Case("Utility/ext", rooms=("utility", "extension", "outdoors"), never=("sockets", "kitchen")),
    Case("Lts d/s", storeys=("down",), families=("lights",), never=("up",)),
    Case("Up lights", storeys=("up",), families=("lights",), never=("sockets",)),
    Case("Lights down", storeys=("down",), families=("lights",)),
    Case("LTG G/F", storeys=("ground",), families=("lights",), never=("first",)),
    Case("F/F Skts", storeys=("first",), families=("sockets",), never=("freezer",)),
    Case("1st floor ltg", storeys=("first",), families=("lights",)),
    Case("Top flr lights", storeys=("top",), families=("lights",)),
    Case("Immersion", kinds=("immersion heater",), never=("sockets", "shower")),
    Case("Imm htr", kinds=("immersion heater",), never=("panel heater", "storage heater")),
    Case("W/H", kinds=("immersion heater",)),
    Case("S/P", never=("sockets", "spare", "shaver unit")),
    Case("R/C", never=("sockets", "kitchen")),
    Case("", never=("spare",)),
    Case("???", never=("spare",)),
    Case("Spare", spare=True),
    Case("not used", spare=True, never=("sockets",)),
    Case("SPARE (was shwr)", kinds=("shower",), spare=True),
    Case("Spare room skts", rooms=("bedroom",), families=("sockets",), never=("spare",)),
    Case("Ckr", kinds=("cooker connection unit", "cooker control unit", "hob", "oven"), never=("kitchen",)),
    Case("Cooker hood", kinds=("cooker hood", "extractor fan"), never=("cooker connection unit", "oven")),
    Case("Hob + oven", kinds=("hob", "oven", "cooker connection unit", "cooker control unit")),
    Case("Shwr", kinds=("shower",), never=("shower room", "bathroom")),
    Case("Shower room lights", rooms=("shower room",), families=("lights",), never=("shower",)),
    Case("Smk alm", families=("alarms",), never=("alarm panel",)),
    Case("Lights & smokes", families=("lights", "alarms")),
    Case("Burglar alarm", kinds=("alarm panel",), never=("alarms",)),
    Case("Gar", rooms=("garage",), never=("garden", "outdoors")),
    Case("Garden skt", rooms=("outdoors",), families=("sockets",), never=("garage",)),
    Case("Bed 1, 2 & 3 plugs", rooms=("bedroom 1", "bedroom 2", "bedroom 3"), families=("sockets",)),
    Case("Beds 2-4 lts", rooms=("bedroom 2", "bedroom 3", "bedroom 4"), families=("lights",), never=("bedroom 1",)),
    Case("Lounge 32A", rooms=("living",), never=("living 32", "dining")),
    Case("Hall/landing/stairs Ltg", rooms=("hall", "landing", "stairs"), families=("lights",)),
    Case("Towel rail bathrm", rooms=("bathroom",), kinds=("towel rail", "fused unit")),
    Case("Off peak", kinds=("storage heater",)),
    Case("13A front", families=("sockets",), never=("living",)),
    Case("Front room", rooms=("living",), never=("sockets",)),
    Case("Kitten basket", never=("kitchen", "bedroom")),
    Case("Bedlam", never=("bedroom",)),
    Case("EV", kinds=("EV charging point",), never=("sockets",)),
    Case("Blr / CH", kinds=("boiler", "heating control", "fused unit", "storage heater", "panel heater",
                            "underfloor heating", "heat pump"), never=("lights",)),
)  # fmt: skip


def said(words: LabelWords) -> frozenset[str]:
    everything = words.rooms | words.storeys | words.families | words.kinds | words.things
    return everything | ({"spare"} if words.spare else set())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.label or "empty")
def test_a_label_says_what_it_must_and_nothing_that_it_must_not(case: Case) -> None:
    words = read_label(case.label, TRADE)
    assert words.rooms == set(case.rooms)
    assert words.storeys == set(case.storeys)
    assert words.families == set(case.families)
    assert words.kinds == set(case.kinds)
    assert words.spare == case.spare
    assert not said(words) & set(case.never)


def test_there_are_at_least_forty_labels_each_with_something_to_fail_on() -> None:
    assert len({case.label for case in CASES}) >= 40
    assert all(case.never or said(read_label(case.label, TRADE)) for case in CASES)


@pytest.mark.parametrize(
    "text", ["kit skts d/s", "KIT SKTS D/S", "Kit. Skts - D/S", " kit,skt & d/s ", "D/S: kit+skts"]
)
def test_case_punctuation_order_and_plural_do_not_matter(text: str) -> None:
    assert read_label(text, TRADE) == read_label("Kit skts d/s", TRADE)


@given(st.text(max_size=60))
def test_any_text_can_be_read(text: str) -> None:
    words = read_label(text, TRADE)
    assert words.kinds <= set(POINT_KINDS)
    assert words == read_label(text, TRADE)


def test_an_absurdly_long_label_is_read_by_its_beginning() -> None:
    assert read_label("Kit " + "x" * 10_000, TRADE).rooms == {"kitchen"}


@pytest.mark.parametrize(
    ("label", "name", "use", "fits"),
    [
        ("Kit", "Kitchen", "", True),
        ("Kit", "Big room", "kitchen", True),
        ("Kit", "Kitchen / diner", "", True),
        ("Kit", "Lounge", "", False),
        ("Skts", "Lounge", "living", None),
        ("", "Lounge", "living", None),
        ("Lounge skts", "Living room", "", True),
        ("Bed 2 skts", "Bedroom 2", "bedroom", True),
        ("Bed 2 skts", "Bedroom 1", "bedroom", False),
        ("Bed 2 skts", "Back bedroom", "bedroom", True),
        ("Bedrooms", "Bedroom 1", "bedroom", True),
        ("Rear bedroom", "Front bedroom", "bedroom", False),
        ("Rear bedroom", "Back bedroom", "bedroom", True),
        ("Bedroom 20A", "Bedroom 2", "bedroom", True),
        ("Front skts", "Front bedroom", "bedroom", True),
        ("Front skts", "Rear bedroom", "bedroom", False),
        ("Front skts", "Kitchen", "kitchen", None),
        ("Snug lts", "Snug", "", True),
        ("Snug + kit lts", "Snug", "", True),
        ("Snug + kit lts", "Hall", "hall", False),
        ("Snug lts", "Hall", "hall", None),
        ("Bathroom", "Ensuite", "bathroom", True),
        ("Ensuite", "Bathroom", "bathroom", False),
        ("Room lights", "Dining room", "", None),
        ("Shower", "Shower room", "bathroom", None),
        ("Ext lights", "Patio", "outdoors", True),
    ],
)
def test_a_label_names_a_room_by_use_name_number_or_side(label: str, name: str, use: str, fits: bool | None) -> None:
    room = Room(id="M1", name=name, use=use)
    assert fits_room(read_label(label, TRADE), read_room(room, TRADE)) is fits


@pytest.mark.parametrize(
    ("label", "level", "levels", "fits"),
    [
        ("Up lights", 1, (0, 1), True),
        ("Up lights", 0, (0, 1), False),
        ("Lts d/s", 0, (0, 1), True),
        ("Lts d/s", -1, (-1, 0, 1), True),
        ("Up lights", 2, (0, 1, 2), True),
        ("F/F skts", 2, (0, 1, 2), False),
        ("F/F skts", 1, (0, 1, 2), True),
        ("Top floor", 2, (0, 1, 2), True),
        ("Top floor", 1, (0, 1, 2), False),
        ("Basement", -1, (-1, 0), True),
        ("Up lights", 3, (2, 3), True),
        ("Lts d/s", 2, (2, 3), True),
        ("Kit", 0, (0, 1), None),
    ],
)
def test_a_label_names_a_storey_by_its_level(
    label: str, level: int, levels: tuple[int, ...], fits: bool | None
) -> None:
    storey = Storey(id="G1", name="", level=level)
    assert fits_storey(read_label(label, TRADE), storey, levels, LabelWords()) is fits


def test_a_label_names_a_storey_by_its_own_name() -> None:
    storey = Storey(id="G1", name="Mezzanine", level=1)
    named = read_label(storey.name, TRADE)
    assert fits_storey(read_label("mezzanine lts", TRADE), storey, (0, 1), named) is True


def test_names_kind_goes_by_kind_or_family() -> None:
    words = read_label("Skts + imm", TRADE)
    named = {kind for kind in POINT_KINDS if words.names_kind(TRADE.point(kind))}
    assert {"socket", "outdoor socket", "immersion heater"} <= named
    assert not {"light", "cooker connection unit"} & named


def test_the_persons_own_words_are_read(own_trade: Trade) -> None:
    assert read_label("Glory hole lts", own_trade).rooms == {"cupboard"}
    assert read_label("Glory hole lts", TRADE).rooms == frozenset()


@pytest.fixture
def own_trade(tmp_path_factory: pytest.TempPathFactory) -> Trade:
    folder = tmp_path_factory.mktemp("own")
    row = (
        '[[synonym]]\nword = "glory hole"\nrooms = ["cupboard"]\nsource = "said here"\nedition = "any"\nsure = "low"\n'
    )
    (folder / "synonyms.toml").write_text(row, encoding="utf-8")
    return load(folder)
