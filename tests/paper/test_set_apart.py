"""Setting a document in a process of its own gives the same bytes as setting it here, and can be stopped."""

import pytest

from circuitmap.errors import OurError
from circuitmap.extension import pricebook
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.paper import quotation_pdf
from circuitmap.paper.set_apart import SetApart
from circuitmap.trade import load
from tests.paper.offered import offer


def test_the_same_bytes_come_out() -> None:
    made, book, trade = offer(), pricebook.load(), load()
    here = quotation_pdf(made, book, trade, Memo())
    assert here.startswith(b"%PDF")
    assert quotation_pdf(made, book, trade, Memo(), set_by=SetApart()) == here


def test_it_is_stopped_while_it_works() -> None:
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        quotation_pdf(offer(), pricebook.load(), load(), Memo(), set_by=SetApart(ticket))


def test_what_cannot_be_set_is_said() -> None:
    with pytest.raises(OurError, match="can't be set"):
        SetApart()("no such template", {}, {})
