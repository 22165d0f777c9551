"""Words on labels and what is likely: every row usable, nothing said twice, a person's rows layered over."""

from collections import Counter
from pathlib import Path

import pytest

from circuitmap.errors import OurError, TradeError
from circuitmap.trade import Trade, load
from circuitmap.trade.spelling import spelled
from circuitmap.words import POINT_KINDS, PointKind

SOURCE = 'source = "labels of our own firm, 2025"\nedition = "any"\nsure = "low"\n'


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def test_no_spelling_stands_in_two_rows(trade: Trade) -> None:
    spellings = Counter(text for row in trade.synonyms() for text in {spelled(w) for w in (row.word, *row.also)})
    assert [text for text, count in spellings.items() if count > 1] == []


def test_every_synonym_says_something(trade: Trade) -> None:
    for row in trade.synonyms():
        said = row.rooms or row.storeys or row.sides or row.families or row.kinds or row.perhaps or row.spare
        assert said, row.word
        assert not (row.spare and (row.rooms or row.kinds or row.families)), row.word


@pytest.mark.parametrize(
    ("text", "word"),
    [("skts", "sockets"), ("1st floor", "first floor"), ("u/s", "upstairs"), ("IMM. HTR", "immersion heater"),
     ("rfc", "sockets"), ("S/P", None), ("sofa", None), ("rad", None)],
)  # fmt: skip
def test_a_spelling_finds_its_row_and_an_ambiguous_one_none(trade: Trade, text: str, word: str | None) -> None:
    row = trade.synonym(spelled(text))
    assert (row.word if row else None) == word


def test_a_person_adds_a_word_and_changes_one(tmp_path: Path) -> None:
    added = '[[synonym]]\nword = "glory hole"\nrooms = ["cupboard"]\n' + SOURCE
    changed = '[[synonym]]\nword = "radial"\nfamilies = ["sockets"]\n' + SOURCE
    (tmp_path / "synonyms.toml").write_text(added + changed, encoding="utf-8")
    own = load(tmp_path)
    hole, radial = own.synonym("glory hole"), own.synonym("radial")
    assert hole is not None
    assert hole.rooms == ("cupboard",)
    assert radial is not None
    assert radial.families == ("sockets",)
    assert radial.perhaps, "what the own row doesn't say stays"
    assert load().synonym("glory hole") is None


def test_a_persons_spelling_wins_over_ours(tmp_path: Path) -> None:
    own = '[[synonym]]\nword = "cellar light"\nalso = ["kit"]\nrooms = ["cellar"]\n' + SOURCE
    (tmp_path / "synonyms.toml").write_text(own, encoding="utf-8")
    row = load(tmp_path).synonym("kit")
    assert row is not None
    assert row.rooms == ("cellar",)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("synonyms.toml", '[[synonym]]\nword = "a b c d e"\nrooms = ["x"]\n', "one to 4 words"),
        ("synonyms.toml", '[[synonym]]\nword = "!!"\nrooms = ["x"]\n', "one to 4 words"),
        ("synonyms.toml", '[[synonym]]\nword = "sofa"\nkinds = ["sofa socket"]\n', "sofa socket"),
        ("synonyms.toml", '[[synonym]]\nword = "sofa"\nstoreys = ["ninth"]\n', "ninth"),
        ("likely.toml", '[[likely]]\nname = "a black cat"\ntimes = 2\n', "is no likely this program knows"),
        ("likely.toml", '[[likely]]\nname = "least"\ntimes = 0\n', ">= 0.0001"),
        ("likely.toml", '[[likely]]\nname = "tag seen"\ntimes = 1e9\n', "<= 10000"),
        ("likely.toml", '[[suits]]\nname = "lights"\nat_a = [6, 3]\ntimes = [1, 1]\n', "must rise"),
        ("likely.toml", '[[suits]]\nname = "lights"\nfamilies = []\n', "no row for “light”, by kind or by family"),
    ],
)
def test_a_bad_row_is_named(tmp_path: Path, name: str, text: str, says: str) -> None:
    (tmp_path / name).write_text(text + SOURCE, encoding="utf-8")
    with pytest.raises(TradeError) as caught:
        load(tmp_path)
    assert says in str(caught.value)


@pytest.mark.parametrize("kind", POINT_KINDS)
def test_every_kind_is_weighed_against_ratings_by_one_row(trade: Trade, kind: PointKind) -> None:
    rows = {row.name: row for row in trade.suits_rows.values()}
    family = trade.point(kind).family
    by_kind = [row for row in rows.values() if kind in row.kinds]
    by_family = [row for row in rows.values() if family in row.families]
    assert len(by_kind) <= 1
    assert len(by_family) <= 1
    assert trade.suits(kind) is (by_kind or by_family)[0]


def test_a_rating_takes_the_step_it_is_under_and_the_last_beyond(trade: Trade) -> None:
    lights = trade.suits("light")
    assert [lights.at(a) for a in (5, 6, 6.5, 32, 63, 125)] == [1, 1, 0.5, 0.02, 0.005, 0.005]
    assert lights.at(None) == 0.3


@pytest.mark.parametrize(
    ("kind", "best_a"),
    [("light", 6), ("socket", 32), ("cooker connection unit", 32), ("shower", 40), ("immersion heater", 16),
     ("smoke alarm", 6), ("storage heater", 16)],
)  # fmt: skip
def test_the_customary_rating_suits_best(trade: Trade, kind: PointKind, best_a: float) -> None:
    """Customary ratings of final circuits: common practice, no source."""
    suits = trade.suits(kind)
    assert suits.at(best_a) == max(suits.times)


def test_alarms_stand_in_on_lighting_ways_and_not_on_cookers(trade: Trade) -> None:
    assert trade.stand_in("heat alarm", "lights") is not None
    assert trade.stand_in("heat alarm", "cooker connection unit") is None


def test_something_likely_that_nobody_knows_is_our_mistake(trade: Trade) -> None:
    with pytest.raises(OurError):
        trade.likely("a black cat")
