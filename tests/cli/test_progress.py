"""The line that tells how far long work is: on a terminal only, and gone when the work is done."""

import io
import sys

import pytest

from circuitmap.cli.progress import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_one_line_on_a_terminal_that_is_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = Terminal()
    monkeypatch.setattr(sys, "stderr", shown)
    with Progress() as progress:
        progress.ticket.tick(1, 4, "Laying out Ground floor")
        progress.ticket.tick(1, 4, "Laying out Ground floor")
        progress.ticket.tick(0, 0, "Setting the pages")
    assert shown.getvalue().count("1 of 4 Laying out Ground floor") == 1
    assert "\rSetting the pages" in shown.getvalue()
    assert shown.getvalue().endswith("\r\x1b[K")


def test_nothing_where_no_terminal_is(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = io.StringIO()
    monkeypatch.setattr(sys, "stderr", shown)
    with Progress() as progress:
        progress.ticket.tick(1, 4, "homes")
    assert not shown.getvalue()
