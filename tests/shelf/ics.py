"""An independent reading of iCalendar, from RFC 5545 alone: lines, folding, escapes, what an event must have."""

import re

_LINE = re.compile(r'^([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)*):(.*)$', re.S)
Props = dict[str, list[tuple[str, str]]]


def unfolded(data: bytes) -> list[str]:
    """3.1: lines end in CRLF, are 75 octets at most without it, and go on where the next one begins with a blank."""
    assert data.endswith(b"\r\n")
    raw = data.split(b"\r\n")[:-1]
    assert all(b"\n" not in line and b"\r" not in line for line in raw)
    assert max(map(len, raw)) <= 75
    for line in raw:
        line.decode("utf-8")  # folded between letters, so that every line is whole by itself
    lines: list[str] = []
    for line in raw:
        if line[:1] in (b" ", b"\t"):
            lines[-1] += line[1:].decode()
        else:
            lines.append(line.decode())
    return lines


def text_of(value: str) -> str:
    """3.3.11: backslash, semicolon, comma and line breaks are escaped in a TEXT; nothing else may be."""
    out, at = "", 0
    while at < len(value):
        if value[at] == "\\":
            out += {"\\": "\\", ";": ";", ",": ",", "n": "\n", "N": "\n"}[value[at + 1]]
            at += 2
            continue
        assert value[at] not in ";,", value
        assert ord(value[at]) >= 0x20 or value[at] == "\t", value
        out += value[at]
        at += 1
    return out


def read(data: bytes) -> tuple[Props, list[Props]]:
    """Give the properties of the calendar and those of each of its events, as (parameters, value)."""
    lines = unfolded(data)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    calendar: Props = {}
    events: list[Props] = []
    inside = False
    for line in lines[1:-1]:
        found = _LINE.match(line)
        assert found is not None, line
        name, params, value = found[1].upper(), found[2], found[3]
        if name in ("BEGIN", "END"):
            assert value == "VEVENT"
            assert inside is (name == "END")
            inside = name == "BEGIN"
            if inside:
                events.append({})
            continue
        (events[-1] if inside else calendar).setdefault(name, []).append((params, value))
    assert not inside
    return calendar, events


def check(data: bytes) -> list[Props]:
    """3.6 and 3.6.1: what a calendar and an event must have, once each; DTSTAMP in UTC."""
    calendar, events = read(data)
    assert [value for _, value in calendar["VERSION"]] == ["2.0"]
    assert len(calendar["PRODID"]) == 1
    assert events
    for event in events:
        for name in ("UID", "DTSTAMP", "DTSTART", "SUMMARY"):
            assert len(event[name]) == 1
        assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"][0][1])
        params, value = event["DTSTART"][0]
        assert params == ";VALUE=DATE"
        assert re.fullmatch(r"\d{8}", value)
        for name in ("SUMMARY", "DESCRIPTION", "LOCATION", "UID"):
            for _, text in event.get(name, []):
                text_of(text)
    assert len({event["UID"][0][1] for event in events}) == len(events)
    return events
