"""The words that people read are the trade's: no window, command, page or table falls back to names of our own code.

Names in the code, fields of records and the home file keep their words; what is held here is what is shown. Which words
the trade has, and which it hasn't, is common practice, no source.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

import circuitmap
from circuitmap.places import resources, sample_homes
from circuitmap.wiring.shape import SHAPE_WORDS
from circuitmap.words import OUTCOMES, kind_said

CODE: Final = Path(circuitmap.__file__).parent
README: Final = CODE.parent / "README.md"

INSTEAD: Final = {
    r"wish": "requirement; required; asked for",
    r"shel(?:f|v)": "properties",
    r"rehears": "practice",
    r"\bmanners?\b": "method",
    r"\blevers?\b": "toggle; of a fuse, carrier",
    r"stalk": "ring fed through one cable",
    r"territor": "what it feeds",
    r"open ring|bridged ring|loop with a break": "broken ring; interconnected ring",
    r"cooker outlet": "cooker connection unit",
    r"fused unit": "fused connection unit",
    r"(?<!time/current )\bcurves?\b": "type; time/current curve",
    r"walk mode|which switch\?": "go round; what feeds this",
    r"wrong polarity|missing earth": "reversed polarity; earth not connected",
    r"survey report|\bobservations?\b": "survey record; classification code",
    r"\brounds\b|\b(?:a|each|every|last|next|no|one|proof|this) round\b|\bround \d|^round$": "switch-off",
    r"\btrac(?:e|es|ing) (?:\w+ )?(?:plan|rooms?|sheet|walls?)\b|(?:sheet|storey) to trace": "outline",
    r"\bP[19]0\b": "low; high",
    r"\bdead\b": "off, went off; dead only where it is proved",
}
_PROVED: Final = re.compile(r"(?i)\b(?:prov|proof|dead short\b|dead tests?\b)")
"""What speaks of proving dead, or of tests on a circuit that is off, may say so."""

# Names that are typed, looked up or kept in a file, and never read by anybody as words.
_IDS: Final = frozenset(
    {
        "wish", "wishes", "wish ", "Wish",
        "wish on ceiling", "wish to move", "wish-card", "wish-of-point", "wish-words",
        "extend-wishes", "extend-drop-wish", "add_wish", "drop_wish", "set_wish", "--wish",
        "shelf", "shelf-find", "shelf.sqlite", "shelving", "circuitmap.cli.shelf", "ShelfPage",
        "rehearse", "circuitmap.cli.rehearse", "circuitmap.survey.rehearsal.many",
        "manner", "manners", "--manner",
        "loop on a stalk", "ring-stalk", "territory", "Territory", "open ring", "bridged ring",
        "fused unit", "switched fused unit", "fix fused unit", "cooker outlet", "curve",
        "round", "rounds", "Round", "fewest rounds", "survey.checks by round", "survey.walk round",
        "dead",
    }
)  # fmt: skip
_AS_COLUMN: Final = frozenset({"Dead"})
"""The column of an isolation record in which each pair is ticked that was proved dead."""
# Keys of tables whose text is an id, or a word that somebody may type.
_UNREAD_KEYS: Final = frozenset(
    {"key", "of", "kind", "kinds", "perhaps", "word", "also", "each", "name", "unless", "with"}
)


def faults_of(text: str) -> list[str]:
    """Say which words of a text are not the trade's, and what is said instead."""
    found = []
    for pattern, instead in INSTEAD.items():
        hit = re.search(pattern, text, re.IGNORECASE)
        if hit is not None and not (hit[0].lower() == "dead" and _PROVED.search(text)):
            found.append(f"“{hit[0]}” in “{text[:90]}”: say {instead}")
    return found


def literals(path: Path) -> Iterator[tuple[int, str]]:
    """Give the text of a module's strings with their lines, without docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bare = {id(each.value) for each in ast.walk(tree) if isinstance(each, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in bare:
            yield node.lineno, node.value


def texts_of(table: object, key: str = "") -> Iterator[str]:
    """Give the texts of a table that are read, not looked up."""
    if isinstance(table, dict):
        for name, value in table.items():
            yield from texts_of(value, name)
    elif isinstance(table, list):
        for value in table:
            yield from texts_of(value, key)
    elif isinstance(table, str) and key not in _UNREAD_KEYS:
        yield table


def named(path: Path) -> str:
    """Name a file in a failure."""
    return str(path.relative_to(CODE.parent))


def test_strings_of_the_code() -> None:
    files = sorted(CODE.rglob("*.py"))
    assert len(files) > 300
    assert [
        f"{named(path)}:{line}: {fault}"
        for path in files
        for line, text in literals(path)
        if text not in _IDS and text not in _AS_COLUMN
        for fault in faults_of(text)
    ] == []


def test_a_shape_is_never_said_by_its_name_in_the_code() -> None:
    assert [
        f"{named(path)}:{node.lineno}"
        for path in sorted(CODE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FormattedValue) and ast.unparse(node.value).endswith("shape.kind")
    ] == []
    assert not [words for words in SHAPE_WORDS.values() if faults_of(words)]


def test_tables_that_people_read() -> None:
    files = sorted(resources().rglob("*.toml"))
    assert len(files) > 5
    assert [
        f"{path.name}: {fault}"
        for path in files
        for text in texts_of(tomllib.loads(path.read_text(encoding="utf-8")))
        if text not in _IDS
        for fault in faults_of(text)
    ] == []


def test_templates_of_documents() -> None:
    files = sorted(resources().rglob("*.typ"))
    assert len(files) > 3
    assert [
        f"{path.name}:{number}: {fault}"
        for path in files
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        for fault in faults_of(re.sub(r"//.*|\bd\.\w+", "", line))
    ] == []


def test_what_is_written_to_be_read_first() -> None:
    for path in (README, *sorted(sample_homes().glob("*/README.md"))):
        text = re.sub(r"`[^`]*`", "", path.read_text(encoding="utf-8"))  # commands and options stand in backquotes
        assert [fault for paragraph in text.split("\n\n") for fault in faults_of(" ".join(paragraph.split()))] == []


@pytest.mark.parametrize(
    "text",
    ["Add a wish", "Homes on the shelf", "3 rounds left", "the next round", "Lever A3 down", "It went dead at once",
     "a fused unit", "trace the rooms of a plan", "Walk mode", "missing earth at P4", "the curve of A3"],
)  # fmt: skip
def test_a_word_that_is_not_the_trades_is_found(text: str) -> None:
    assert faults_of(text)


@pytest.mark.parametrize(
    "text",
    ["A point that went off is not proved dead.", "Walls close round a room", "order round the ring", "Not traced yet",
     "Dead tests, then live tests", "half way round", "2.5 mm² rounded up", "its time/current curve"],
)  # fmt: skip
def test_a_word_that_the_trade_has_is_left(text: str) -> None:
    assert faults_of(text) == []


def test_outcomes_and_kinds_are_said_in_the_trades_words() -> None:
    assert not [word for word in OUTCOMES if faults_of(word)]
    assert kind_said("fused unit") == "fused connection unit"
