"""The homes of a shelf as a list that is walked by keys: each with a small plan, its address, what is open and due."""

import datetime
from typing import Final, NamedTuple

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from circuitmap.desk.parts import elided, plain_tip
from circuitmap.desk.theme import BODY_PX, GAP_PX, HEAD_PX, SMALL_PX, Look, font
from circuitmap.drawing.palette import circuit_ink
from circuitmap.shelf.due import DueItem, next_due
from circuitmap.shelf.entry import Entry
from circuitmap.shelf.listing import matches
from circuitmap.shelf.says import due_words, findings_words
from circuitmap.words import written_day_said

ROW_PX: Final = 108
_PLAN_PX: Final = QSize(128, 88)
_SIDE_PX: Final = 300  # of what is open and due, where there is room for it beside the name
_ROOM_PX: Final = 640
_DOT_PX: Final = 2.2
_GRAVE: Final = frozenset(("C1", "C2", "FI"))
_Index = QModelIndex | QPersistentModelIndex


class Shown(NamedTuple):
    """A row: the home, what is due there, and the texts in which the words looked for were found."""

    entry: Entry
    items: tuple[DueItem, ...]
    hits: tuple[str, ...]


class ShelfModel(QAbstractListModel):
    """All homes read so far, and those of them that fit the words looked for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._all: list[Shown] = []
        self._shown: list[Shown] = []
        self._words = ""

    @property
    def every(self) -> list[Shown]:
        """All homes, whatever is looked for."""
        return self._all

    def clear(self) -> None:
        """Begin anew."""
        self.beginResetModel()
        self._all, self._shown = [], []
        self.endResetModel()

    def add(self, new: list[Shown]) -> None:
        """Add some homes below those that are there."""
        self._all += new
        fit = self._fitting(new)
        if fit:
            first = len(self._shown)
            self.beginInsertRows(QModelIndex(), first, first + len(fit) - 1)
            self._shown += fit
            self.endInsertRows()

    def look_for(self, words: str) -> None:
        """Show only the homes in which all words are found."""
        self.beginResetModel()
        self._words = words
        self._shown = self._fitting(self._all)
        self.endResetModel()

    def row(self, index: _Index) -> Shown:
        """Give a row."""
        return self._shown[index.row()]

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008  # as Qt declares it
        """Give how many homes are shown."""
        return 0 if parent.isValid() else len(self._shown)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Give what a row says, for those who hear it and for keys that jump to a letter."""
        if not index.isValid():
            return None
        shown = self.row(index)
        if role == Qt.ItemDataRole.DisplayRole:
            return shown.entry.title[:200]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ". ".join((shown.entry.title[:200], *lines_of(shown, today())))
        if role == Qt.ItemDataRole.ToolTipRole and shown.items:
            return plain_tip("\n".join(f"{item.says}. ({item.source})" for item in shown.items))
        return None

    def _fitting(self, rows: list[Shown]) -> list[Shown]:
        if not self._words.strip():
            return list(rows)
        found = ((each, matches(each.entry, self._words)) for each in rows if not each.entry.problem)
        return [each._replace(hits=hits) for each, hits in found if hits]


def today() -> datetime.date:
    """Give the day in local time."""
    return datetime.datetime.now(datetime.UTC).astimezone().date()


def lines_of(shown: Shown, day: datetime.date) -> tuple[str, ...]:
    """Give what is said under a home's name: where, last visit, what is due and open, what was found; or why not."""
    entry = shown.entry
    if entry.problem:
        return (entry.path, f"Can't be read: {entry.problem}")
    where = entry.address if entry.address and entry.address != entry.name else entry.path
    visit = f"Last visit {written_day_said(entry.last_visit)}" if entry.last_visit else "No visit yet"
    told = [where, visit, _capital(due_words(next_due(shown.items), day)), _capital(findings_words(entry))]
    if shown.hits:
        told.append(f"{shown.hits[0]}{f' and {len(shown.hits) - 1} more' if len(shown.hits) > 1 else ''}")
    return tuple(told)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


class ShelfDelegate(QStyledItemDelegate):
    """Draws a row: the small plan at the left, words beside it, what is grave in its own colour and in words."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._day = today()

    def sizeHint(self, _option: QStyleOptionViewItem, _index: _Index) -> QSize:
        """Give every row the same height; the list makes it as wide as it is itself."""
        return QSize(_PLAN_PX.width() * 2, ROW_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw a row."""
        model = index.model()
        assert isinstance(model, ShelfModel)
        shown = model.row(index)
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        card = QRectF(rect).adjusted(4, 3, -4, -3)
        is_chosen = bool(state & QStyle.StateFlag.State_Selected)
        edge = self._look.colour("accent" if is_chosen else "grid")
        painter.setPen(QPen(edge, 2 if is_chosen else 1))
        painter.setBrush(self._look.colour("accent/tint" if is_chosen else "room"))
        painter.drawRoundedRect(card, 8, 8)
        plan = QRectF(card.left() + 8, card.top() + 7, _PLAN_PX.width(), _PLAN_PX.height())
        self._draw_plan(painter, plan, shown.entry)
        words = card.adjusted(_PLAN_PX.width() + 20, 6, -10, -6)
        self._draw_words(painter, words, shown)
        painter.restore()

    def _draw_words(self, painter: QPainter, area: QRectF, shown: Shown) -> None:
        entry = shown.entry
        ink, faint, warn = (self._look.colour(role) for role in ("ink", "faint", "warn"))
        lines = lines_of(shown, self._day)
        if entry.problem:
            coloured = [(lines[0], faint), (lines[1], warn)]
            self._draw_lines(painter, area, entry.title, coloured)
            return
        is_grave = any(entry.codes.get(code) for code in _GRAVE)
        first = next_due(shown.items)
        is_late = first is not None and first.day is not None and first.day < self._day
        where, visit, due, found = lines[:4]
        state = [(found, warn if is_grave else ink), (due, warn if is_late else ink)]
        told = [(where, faint), (visit, ink)]
        hits = [(text, faint) for text in lines[4:]]
        if area.width() < _ROOM_PX:
            self._draw_lines(painter, area, entry.title, [told[0], *state, *(hits or told[1:])])
            return
        self._draw_lines(painter, area.adjusted(0, 0, -_SIDE_PX - GAP_PX, 0), entry.title, told + hits)
        self._draw_lines(painter, area.adjusted(area.width() - _SIDE_PX, 0, 0, 0), "", state)

    def _draw_lines(self, painter: QPainter, area: QRectF, title: str, lines: list[tuple[str, QColor]]) -> None:
        top = _line(painter, area, area.top(), title, HEAD_PX, self._look.colour("ink"), bold=True)
        for text, colour in lines:
            top = _line(painter, area, top, text, BODY_PX, colour)

    def _draw_plan(self, painter: QPainter, area: QRectF, entry: Entry) -> None:
        painter.setPen(QPen(self._look.colour("grid"), 1))
        painter.setBrush(self._look.colour("paper"))
        painter.drawRoundedRect(area, 4, 4)
        plan = entry.plan
        if plan is None or not plan.width or not plan.height:
            painter.setPen(self._look.colour("faint"))
            painter.setFont(font(SMALL_PX))
            says = "can't be read" if entry.problem else "no plan yet"
            painter.drawText(area, int(Qt.AlignmentFlag.AlignCenter), says)
            return
        inside = area.adjusted(6, 6, -6, -6)
        scale = min(inside.width() / plan.width, inside.height() / plan.height)
        left = inside.center().x() - plan.width * scale / 2
        top = inside.center().y() - plan.height * scale / 2
        painter.setPen(QPen(self._look.colour("faint"), 1))
        painter.setBrush(self._look.colour("room"))
        for outline in plan.rooms:
            corners = [
                QPointF(left + x * scale, top + y * scale) for x, y in zip(outline[::2], outline[1::2], strict=True)
            ]
            painter.drawPolygon(QPolygonF(corners))
        for x, y, way in plan.dots:
            known = way >= 0
            colour = QColor(circuit_ink(way, self._look.theme)[0]) if known else self._look.colour("faint")
            painter.setPen(QPen(colour, 1))
            painter.setBrush(colour if known else Qt.BrushStyle.NoBrush)
            painter.drawEllipse(QPointF(left + x * scale, top + y * scale), _DOT_PX, _DOT_PX)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.colour("ink"))
        for x, y in plan.boards:
            painter.drawRect(QRectF(left + x * scale - 3, top + y * scale - 2, 6, 4))


def _line(
    painter: QPainter, area: QRectF, top: float, text: str, size_px: int, colour: QColor, *, bold: bool = False
) -> float:
    letters = font(size_px, bold=bold)
    metrics = QFontMetrics(letters)
    painter.setFont(letters)
    painter.setPen(colour)
    spot = QRectF(area.left(), top, area.width(), metrics.height())
    flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
    painter.drawText(spot, int(flags), elided(text, metrics, int(area.width())))
    return top + metrics.height() + (GAP_PX // 4)
