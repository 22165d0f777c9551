"""Documents on a printer, true to size, at 300 dots an inch; all that takes time is off the window's thread."""

import zlib
from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from PySide6.QtCore import QMarginsF, QObject, QRectF, QSizeF, Signal
from PySide6.QtGui import QImage, QPageLayout, QPageSize, QPainter

from circuitmap.desk import prefs
from circuitmap.desk.handing.press import Press
from circuitmap.desk.work import Work
from circuitmap.jobs import Ticket
from circuitmap.paper.apart import Drawn, Made, Wish

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

DPI: Final = 300
_POINTS_PER_INCH: Final = 72
_SLOT: Final = "print"
NO_PRINTER: Final = "No printer is set up on this computer: save the document as PDF and print it elsewhere."
NO_PAGES: Final = "This form has no pages to print; choose PDF, or save it."
_STOPPED: Final = "Stopped printing."


class Page(NamedTuple):
    """One page to print: of which file, which of its pages, and its size in points."""

    file: int
    number: int
    size_pt: tuple[float, float]


def printer_names() -> tuple[list[str], str]:
    """Give the printers of this computer and the usual one; where they are asked over a network this takes a while."""
    from PySide6.QtPrintSupport import QPrinterInfo

    return list(QPrinterInfo.availablePrinterNames()), QPrinterInfo.defaultPrinterName()


def printer_of(name: str) -> "QPrinter":
    """Give a printer by its name."""
    from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

    return QPrinter(QPrinterInfo.printerInfo(name), QPrinter.PrinterMode.HighResolution)


class Printing(QObject):
    """Knows the printers, and prints one document at a time."""

    changed = Signal()  # the printers are known, or printing has begun, gone on or ended
    said = Signal(str, bool)

    def __init__(self, press: Press, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._press = press
        self.names: list[str] = []
        self.is_known = False
        self._chosen = prefs.load().printer
        self._number = 0
        self._title = ""
        self._pages: list[Page] = []
        self._done = 0
        self._run: _Run | None = None
        self._is_stopping = self._is_ending = False
        press.made.connect(self._on_made)
        press.drawn.connect(self._on_drawn)
        press.refused.connect(self._on_refused)
        press.halted.connect(self._on_halted)

    # -- printers -----------------------------------------------------------------------------------------------

    def look_for_printers(self) -> None:
        """Ask which printers there are."""
        self._off_thread(lambda _ticket: printer_names(), self._on_names)

    @property
    def chosen(self) -> str:
        """The printer chosen, the usual one unless said; "" where there is none."""
        return self._chosen if self._chosen in self.names else (self.names[0] if self.names else "")

    def choose(self, name: object) -> bool:
        """Choose a printer, and remember it."""
        self._chosen = str(name)
        kept = prefs.load()
        kept.printer = self._chosen
        prefs.save(kept)
        return True

    def _on_names(self, found: tuple[list[str], str]) -> None:
        names, usual = found
        self.names = sorted(names, key=lambda name: (name != usual, name.casefold()))
        self.is_known = True
        self.changed.emit()

    # -- printing -----------------------------------------------------------------------------------------------

    @property
    def is_busy(self) -> bool:
        """Whether something is being printed."""
        return self._number != 0 or self._run is not None or self._is_ending

    @property
    def progress(self) -> tuple[str, int, int]:
        """How far it is: words, done, total."""
        total = len(self._pages)
        words = f"Printing page {min(self._done + 1, total)} of {total}" if total else f"Printing: {self._title}"
        return words, self._done, total

    def print_(self, wish: Wish) -> None:
        """Print a document on the printer chosen."""
        if not self.chosen:
            self.said.emit(NO_PRINTER, True)
            return
        self._pages, self._done, self._title, self._is_stopping = [], 0, wish.paper.title, False
        self._number = self._press.make(wish, _SLOT)
        self.changed.emit()

    def stop(self) -> None:
        """Print no further; pages that the printer has already stay there."""
        if not self.is_busy or self._is_ending:
            return
        self._is_stopping = True
        if self._number:
            self._press.stop(self._number)
            self._number = 0
            self._end(_STOPPED, refused=False, aborts=True)

    def _on_made(self, made: Made) -> None:
        if made.number != self._number:
            return
        self._number = 0
        self._pages = [
            Page(file, number, size)
            for file, seen in enumerate(made.files)
            for number, size in enumerate(seen.pages_pt)
        ]
        if self._pages:
            self._run = _Run(self.chosen, self._title)
            self._draw()
        else:
            self._end(NO_PAGES, refused=True)

    def _draw(self) -> None:
        page = self._pages[self._done]
        scale = DPI / _POINTS_PER_INCH
        wide, high = (max(1, round(side * scale)) for side in page.size_pt)
        self._number = self._press.draw(page.file, page.number, scale, (0, 0, wide, high), to=_SLOT, is_packed=True)
        self.changed.emit()

    def _on_drawn(self, drawn: Drawn) -> None:
        if drawn.number == self._number and self._run is not None:
            self._number = 0
            self._off_thread(partial(self._run.paint, self._pages[self._done], drawn), self._on_painted)

    def _on_painted(self, refusal: str) -> None:
        if refusal:
            self._end(refusal, refused=True, aborts=True)
            return
        self._done += 1
        if self._is_stopping:
            self._end(_STOPPED, refused=False, aborts=True)
        elif self._done < len(self._pages):
            self._draw()
        else:
            pages = f"{self._done} page{'' if self._done == 1 else 's'}"
            self._end(f"Sent {pages} of {self._title} to {self.chosen}.", refused=False)

    def _end(self, says: str, *, refused: bool, aborts: bool = False) -> None:
        run, self._run = self._run, None
        self._pages, self._done = [], 0
        if run is not None:
            self._is_ending = True
            self._off_thread(partial(run.end, says, refused, aborts), self._on_ended)
        else:
            self._on_ended((says, refused))

    def _on_ended(self, ended: tuple[str, bool]) -> None:
        self._is_ending = False
        self.said.emit(*ended)
        self.changed.emit()

    def _on_refused(self, number: int, says: str) -> None:
        if number == self._number:
            self._number = 0
            self._end(says, refused=True, aborts=True)

    def _on_halted(self, number: int) -> None:
        if number == self._number:
            self._number = 0
            self._end(_STOPPED, refused=False, aborts=True)

    def _off_thread(self, what: object, then: object) -> None:
        work = Work(what, self)  # type: ignore[arg-type]  # each gives what the slot beside it takes
        work.done.connect(then)
        work.start()


class _Run:
    """A printer while it prints; used by one thread at a time, never by the window's."""

    def __init__(self, name: str, title: str) -> None:
        self._name, self._title = name, title
        self._printer: QPrinter | None = None
        self._painter = QPainter()
        self._count = 0

    def paint(self, page: Page, drawn: Drawn, _ticket: Ticket) -> str:
        """Print a page; give why it couldn't be, "" when it could."""
        if self._printer is None:
            self._printer = printer_of(self._name)
            self._printer.setDocName(self._title)
            self._printer.setCreator("circuitmap")
            self._printer.setFullPage(True)
            _set_page(self._printer, page)
            if not self._printer.isValid() or not self._painter.begin(self._printer):
                return f"The printer {self._name} doesn't answer; nothing was printed."
        else:
            _set_page(self._printer, page)
            if not self._printer.newPage():
                return f"The printer {self._name} took {self._count} pages and no more."
        wide, high = drawn.region_px[2:]
        pixels = zlib.decompress(drawn.pixels) if drawn.is_packed else drawn.pixels
        dots = self._printer.resolution() / _POINTS_PER_INCH
        place = QRectF(0, 0, page.size_pt[0] * dots, page.size_pt[1] * dots)
        self._painter.drawImage(place, QImage(pixels, wide, high, 4 * wide, QImage.Format.Format_RGB32))
        self._count += 1
        return ""

    def end(self, says: str, refused: bool, aborts: bool, _ticket: Ticket) -> tuple[str, bool]:
        """Let go of the printer; give what is to be said of it."""
        if self._printer is not None and aborts:
            self._printer.abort()
        if self._painter.isActive():
            self._painter.end()
        self._printer = None
        return says, refused


def _set_page(printer: "QPrinter", page: Page) -> None:
    wide, high = page.size_pt
    size = QPageSize(
        QSizeF(min(wide, high), max(wide, high)), QPageSize.Unit.Point, "", QPageSize.SizeMatchPolicy.FuzzyMatch
    )
    turned = QPageLayout.Orientation.Landscape if wide > high else QPageLayout.Orientation.Portrait
    printer.setPageLayout(QPageLayout(size, turned, QMarginsF(0, 0, 0, 0)))
    printer.setFullPage(True)
