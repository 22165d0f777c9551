"""The one place where colours, sizes and fonts of the window are chosen; colours come from ``drawing.palette``."""

from functools import cache
from pathlib import Path
from typing import Final

import font_source_sans_pro
from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from circuitmap.drawing.palette import Theme, colour
from circuitmap.places import resources

SMALL_PX: Final = 11
BODY_PX: Final = 13
HEAD_PX: Final = 15
TITLE_PX: Final = 20
TARGET_PX: Final = 32  # smallest thing to hit
THUMB_PX: Final = 56  # smallest thing to hit in Survey
GAP_PX: Final = 8
FAMILY: Final = "Source Sans Pro"

_FACES: Final = ("Regular", "It", "Semibold", "Bold")


@cache
def register_fonts() -> str:
    """Register the program's font once and give the family that can be used."""
    folder = Path(font_source_sans_pro.font_directory)
    families: list[str] = []
    for face in _FACES:
        number = QFontDatabase.addApplicationFont(str(folder / f"SourceSansPro-{face}.ttf"))
        if number >= 0:
            families += QFontDatabase.applicationFontFamilies(number)
    return FAMILY if FAMILY in families else QGuiApplication.font().family()


def font(size_px: int = BODY_PX, *, bold: bool = False) -> QFont:
    """Give the program's font at a size, figures tabular where the font can."""
    made = QFont(register_fonts())
    made.setPixelSize(size_px)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    if bold:
        made.setWeight(QFont.Weight.DemiBold)
    return made


class Look(QObject):
    """The window's theme: light or dark, following the system unless the person chose."""

    changed = Signal()

    def __init__(self, app: QApplication, chosen: Theme | None = None) -> None:
        super().__init__(app)
        self._app = app
        self._chosen: Theme | None = chosen
        self._is_begun = False
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self._on_system_changed)
        self.apply()

    @property
    def theme(self) -> Theme:
        """The theme in force."""
        if self._chosen is not None:
            return self._chosen
        return "dark" if QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark else "paper"

    def choose(self, theme: Theme | None) -> None:
        """Choose a theme, or (None) follow the system again."""
        self._chosen = theme
        self.apply()

    def turn(self) -> None:
        """Go from light to dark or back."""
        self.choose("paper" if self.theme == "dark" else "dark")

    def colour(self, role: str) -> QColor:
        """Give a role's colour in the theme in force."""
        return QColor(colour(role, self.theme))

    def apply(self) -> None:
        """Give the application this theme's palette and style sheet, and once its style and font."""
        if not self._is_begun:
            self._is_begun = True  # each goes through every widget there is, and doesn't change with the theme
            self._app.setStyle("Fusion")
            self._app.setFont(font())
        self._app.setPalette(_palette(self.theme))
        self._app.setStyleSheet(_sheet(self.theme))
        self.changed.emit()

    def _on_system_changed(self) -> None:
        if self._chosen is None:
            self.apply()


def _palette(theme: Theme) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    paper, ink, room = (QColor(colour(name, theme)) for name in ("paper", "ink", "room"))
    faint, accent = QColor(colour("faint", theme)), QColor(colour("accent", theme))
    for which, value in {
        role.Window: paper,
        role.Base: paper,
        role.AlternateBase: room,
        role.ToolTipBase: room,
        role.Button: room,
        role.WindowText: ink,
        role.Text: ink,
        role.ButtonText: ink,
        role.ToolTipText: ink,
        role.BrightText: ink,
        role.PlaceholderText: faint,
        role.Link: accent,
        role.Highlight: accent,
        role.HighlightedText: QColor(colour("on:accent", theme)),
        role.Mid: QColor(colour("grid", theme)),
        role.Dark: faint,
    }.items():
        palette.setColor(which, value)
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, faint)
    return palette


def _sheet(theme: Theme) -> str:
    roles = (
        "paper",
        "ink",
        "faint",
        "grid",
        "room",
        "accent",
        "on:accent",
        "accent/tint",
        "warn",
        "warn/tint",
        "select",
    )
    of = {name: colour(name, theme) for name in roles}
    icons = (resources() / "icons").as_posix()
    return f"""
* {{ font-size: {BODY_PX}px; }}
QWidget {{ color: {of["ink"]}; }}
QMainWindow, QDockWidget, QScrollArea, QScrollArea > QWidget > QWidget {{ background: {of["paper"]}; border: none; }}
QToolTip {{ background: {of["room"]}; color: {of["ink"]}; border: 1px solid {of["grid"]}; padding: 4px; }}
QPushButton, QToolButton {{ background: {of["room"]}; border: 1px solid {of["grid"]}; border-radius: 6px;
  padding: 5px 12px; min-height: {TARGET_PX - 10}px; }}
QToolButton {{ padding: 5px 8px; }}
QPushButton:hover, QToolButton:hover {{ border-color: {of["accent"]}; }}
QPushButton:pressed, QToolButton:pressed {{ background: {of["accent/tint"]}; }}
QPushButton:focus, QToolButton:focus, QLineEdit:focus, QComboBox:focus, QSpinBox:focus, QPlainTextEdit:focus,
QListView:focus, QTableView:focus, QTreeView:focus {{ border: 2px solid {of["accent"]}; }}
QPushButton:checked, QToolButton:checked {{ background: {of["accent"]}; color: {of["on:accent"]};
  border-color: {of["accent"]}; }}
QPushButton:disabled, QToolButton:disabled {{ color: {of["faint"]}; background: {of["paper"]}; }}
QPushButton[strong="true"] {{ background: {of["accent"]}; color: {of["on:accent"]}; border-color: {of["accent"]}; }}
QPushButton[strong="true"]:disabled {{ background: {of["grid"]}; color: {of["faint"]}; border-color: {of["grid"]}; }}
QPushButton[thumb="true"] {{ min-height: {THUMB_PX - 12}px; font-size: {HEAD_PX}px; }}
QLineEdit, QComboBox, QSpinBox, QPlainTextEdit {{ background: {of["paper"]}; border: 1px solid {of["faint"]};
  border-radius: 4px; padding: 4px 6px; min-height: {TARGET_PX - 10}px; selection-background-color: {of["accent"]}; }}
QLineEdit > QToolButton {{ background: transparent; border: none; padding: 0; min-height: 0; }}
QComboBox::drop-down {{ border: none; width: 26px; }}
QComboBox::down-arrow, QSpinBox::down-arrow {{ image: url("{icons}/down-{theme}.svg"); width: 12px; height: 12px; }}
QSpinBox::up-arrow {{ image: url("{icons}/up-{theme}.svg"); width: 12px; height: 12px; }}
QSpinBox::up-button, QSpinBox::down-button {{ border: none; width: 24px; background: transparent; }}
QSpinBox::up-button {{ subcontrol-position: top right; }}
QSpinBox::down-button {{ subcontrol-position: bottom right; }}
QToolButton[stage] {{ min-height: 44px; }}
QListView, QTableView, QTreeView, QTableWidget {{ background: {of["paper"]}; border: 1px solid {of["grid"]};
  border-radius: 4px; alternate-background-color: {of["room"]}; outline: none; gridline-color: {of["grid"]}; }}
QListView::item {{ padding: 6px; }}
QListView::item:selected, QTableView::item:selected {{ background: {of["accent"]}; color: {of["on:accent"]}; }}
QHeaderView::section {{ background: {of["room"]}; color: {of["faint"]}; border: none;
  border-bottom: 1px solid {of["grid"]}; padding: 4px 6px; }}
QMenuBar, QMenu {{ background: {of["paper"]}; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {of["accent"]}; color: {of["on:accent"]}; }}
QMenu {{ border: 1px solid {of["grid"]}; padding: 4px; }}
QMenu::item {{ padding: 6px 24px 6px 12px; }}
QMenu::item:disabled {{ color: {of["faint"]}; }}
QSplitter::handle {{ background: {of["grid"]}; }}
QLabel[role="faint"] {{ color: {of["faint"]}; }}
QLabel[role="title"] {{ font-size: {TITLE_PX}px; font-weight: 600; }}
QLabel[role="head"] {{ font-size: {HEAD_PX}px; font-weight: 600; }}
QLabel[role="warn"] {{ color: {of["warn"]}; }}
QFrame[card="true"] {{ background: {of["room"]}; border: 1px solid {of["grid"]}; border-radius: 8px; }}
QFrame[card="warn"] {{ background: {of["warn/tint"]}; border: 1px solid {of["warn"]}; border-radius: 8px; }}
QFrame[rule="true"] {{ background: {of["grid"]}; max-height: 1px; border: none; }}
QTabBar {{ qproperty-drawBase: 0; }}
QTabBar::tab {{ padding: 6px 12px; border: none; color: {of["faint"]}; }}
QTabBar::tab:selected {{ color: {of["ink"]}; border-bottom: 2px solid {of["accent"]}; }}
QTabWidget::pane {{ border: none; border-top: 1px solid {of["grid"]}; }}
QScrollBar:vertical {{ width: 12px; background: transparent; }}
QScrollBar:horizontal {{ height: 12px; background: transparent; }}
QScrollBar::handle {{ background: {of["grid"]}; border-radius: 5px; min-height: 32px; min-width: 32px; margin: 1px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QCheckBox {{ spacing: 8px; min-height: {TARGET_PX - 4}px; }}
QCheckBox::indicator, QListView::indicator {{ width: 14px; height: 14px; border: 1px solid {of["faint"]};
  border-radius: 3px; background: {of["paper"]}; }}
QCheckBox::indicator:checked, QListView::indicator:checked {{ background: {of["accent"]};
  border-color: {of["accent"]}; image: url("{icons}/tick-{theme}.svg"); }}
QCheckBox::indicator:focus {{ border: 2px solid {of["accent"]}; }}
QCheckBox:focus {{ color: {of["accent"]}; }}
QCheckBox:disabled, QCheckBox::indicator:disabled {{ color: {of["faint"]}; border-color: {of["grid"]}; }}
"""
