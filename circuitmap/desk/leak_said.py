"""How a hunt for low insulation is put into words: the step, what each part explains, what is on record."""

from math import ceil
from typing import Final

from circuitmap.desk.causes_list import Row
from circuitmap.desk.causes_said import odds_words, percent
from circuitmap.home.records import natural_key
from circuitmap.quantities.measured import Measured, show_measured
from circuitmap.readings.entries import Entry
from circuitmap.readings.insulation import Pair
from circuitmap.readings.leak_book import OnRecord, Trail
from circuitmap.readings.leak_known import MATTERS, Explained, is_sound
from circuitmap.readings.leak_state import Asked, Hunt, Step, StepKind
from circuitmap.readings.leak_told import percent as share_percent
from circuitmap.readings.leak_told import shown
from circuitmap.readings.verdict import Span
from circuitmap.words import written_day_said

PAIR_WORDS: Final[dict[Pair, str]] = {"L+N-E": "L+N–E", "L-E": "L–E", "N-E": "N–E", "L-N": "L–N"}
END_WORDS: Final[dict[StepKind, str]] = {
    "found": "Found", "spread": "No single leak", "gone": "It went away", "nothing low": "Nothing reads low",
    "stuck": "No further here",
}  # fmt: skip
_SHARES: Final[tuple[tuple[float, str], ...]] = ((0.8, "nearly all"), (0.5, "most"))
_LITTLE: Final[tuple[tuple[float, str], ...]] = ((0.05, "next to nothing"), (0.2, "little"), (0.5, "less than half"))


def head_words(trail: Trail) -> str:
    """Give which step it is, or how the hunt ended."""
    step = trail.step
    return END_WORDS[step.kind] if step.is_end else f"Step {trail.number}: {step.kind}"


def work_words(step: Step) -> str:
    """Give how long the step takes, what is still to be expected, and what is tested with."""
    if step.is_end:
        return ""
    said = []
    if step.test_v is not None and step.asked:
        said.append(f"Test with {step.test_v:g} V, {PAIR_WORDS[step.pair]}.")
    said.append(f"About {_minutes(step.minutes)}")
    if step.left > step.minutes:
        said[-1] += f", {_minutes(step.left)} to be expected until it is found"
    return " ".join(said) + "."


def so_far_words(hunt: Hunt, done: int) -> str:
    """Give what it took until now."""
    if not done:
        return ""
    opened = {0: "nothing opened", 1: "1 place opened"}.get(hunt.openings, f"{hunt.openings} places opened")
    return f"{'1 step' if done == 1 else f'{done} steps'} done, {opened}, about {_minutes(hunt.minutes)} of work."


def asked_words(asked: Asked) -> str:
    """Give what a field asks for."""
    return f"{asked.title[:1].upper()}{asked.title[1:]}, read at {asked.where or 'the board'}"


def part_row(hunt: Hunt, each: Explained, *, is_found: bool) -> Row:
    """Give a part as a row: how likely it holds the leak, what it read, how much of the leak it explains."""
    title = title_words(hunt, each)
    if each.span is not None and not is_found and not any(each.sections < read.sections for read in hunt.reads):
        return Row(percent(each.odds), each.odds, title, f"Read {shown(each.span)}; nothing of it is told apart yet.")
    if is_found:
        stands = "Found"
    elif is_sound(hunt, each):
        stands = "Cleared"
    else:
        stands = f"{odds_words(each.odds).capitalize()}, not certain"
    read = f"read alone {shown(each.span)}" if each.span is not None else "not read alone yet"
    return Row(percent(each.odds), each.odds, title, f"{stands}: {read}; {share_words(each.share)}.")


def title_words(hunt: Hunt, each: Explained) -> str:
    """Give what a part is called; of much equipment that is off only where it is."""
    by_key = hunt.layout.by_key
    title = each.title
    if len(each.sections) > 2 and each.sections <= hunt.off and each.sections <= by_key.keys():
        places = sorted({by_key[key].record for key in each.sections}, key=natural_key)
        more = f" and {len(places) - 6} more" if len(places) > 6 else ""
        title = f"what was taken off at {', '.join(places[:6])}{more}"
    return f"{title[:1].upper()}{title[1:]}"


def share_words(share: Span | None) -> str:
    """Give in words and per cent how much of the leak a part explains."""
    if share is None or (round(share.least, 2) <= 0 and share.most >= 1):
        return "its share of the leak can’t be told yet"
    words = next((words for least, words in _SHARES if share.least >= least), "")
    words = words or next((words for most, words in _LITTLE if share.most <= most), "some")
    return f"explains {words} of the leak ({share_percent(share)})"


def suspected(trail: Trail) -> tuple[Explained, ...]:
    """Give the parts that may hold the leak: those found, else all that were neither cleared nor all but ruled out."""
    if not trail.hunt.reads or trail.step.kind in ("nothing low", "gone", "spread"):
        return ()
    if trail.step.kind == "found" and trail.known.found:
        return trail.known.found
    left = tuple(e for e in trail.known.parts if e.odds >= MATTERS and not is_sound(trail.hunt, e))
    return left or trail.known.found


def places_of(hunt: Hunt, parts: tuple[Explained, ...]) -> frozenset[str]:
    """Give the records that some parts are made of."""
    by_key = hunt.layout.by_key
    return frozenset(by_key[key].record for each in parts for key in each.sections)


def hunt_row(hunt: OnRecord) -> Row:
    """Give a hunt on record as a row to go on from."""
    count = len(hunt.entries)
    readings = "1 reading" if count == 1 else f"{count} readings"
    below = f"{readings}, the last on {written_day_said(hunt.day)}."
    return Row("", None, f"Go on with hunt {hunt.start.number}, {PAIR_WORDS[hunt.start.pair]}", below)


def low_row(entry: Entry) -> Row:
    """Give a low reading as a row to begin from."""
    reading = entry.reading
    between = "–".join(reading.cores) if reading.cores else "conductors not named"
    at = f", {reading.test_v:g} V" if reading.test_v is not None else ""
    plain = Measured(entry.value_si, reading.bound, reading.not_possible)
    value = show_measured(plain, "insulation")
    return Row("", None, f"Begin from {value}, {between}{at}", f"{reading.id}, {written_day_said(entry.visit.day)}.")


def left_words(left: tuple[str, ...]) -> str:
    """Say which readings of the hunt don't fit the map any longer."""
    if not left:
        return ""
    named = ", ".join(left[:4]) + (f" and {len(left) - 4} more" if len(left) > 4 else "")
    one = len(left) == 1
    return (
        f"{named} {'doesn’t' if one else 'don’t'} go with the map as it is now, so the hunt goes on before "
        f"{'it' if one else 'them'}; {'it stays' if one else 'they stay'} on record."
    )


def _minutes(minutes: float) -> str:
    whole = max(1, ceil(minutes))
    return "1 minute" if whole == 1 else f"{whole} minutes"
