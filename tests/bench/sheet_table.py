"""How a large sheet does in the window: time until it is seen, memory at its peak, frames while it is dragged.

Run it with ``python -m tests.bench.sheet_table``. Each kind of sheet runs in a process of its own, so that the peak is
its own. Wanted: 9 600 × 6 784 px open within 3 s, 60 frames a second (16.7 ms a frame), 1 GB; an A3 PDF of 20 000 lines
within 1 s.
"""

import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

from tests.bench import sheets

KINDS: Final = ("png", "jpg", "pdf", "svg", "dxf")
_STEPS: Final = 120


def main() -> None:
    """Print one row a kind of sheet."""
    if len(sys.argv) > 1:
        _say(_measured(sys.argv[1], Path(sys.argv[2])))
        return
    _say(f"{'sheet':<6}{'until seen':>12}{'peak':>10}{'frame, all of it':>24}{'frame, 1:1':>20}{'frame, 6:1':>20}")
    _say(f"{'':<6}{'s':>12}{'MB':>10}{'median / worst ms':>24}{'median / worst ms':>20}{'median / worst ms':>20}")
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    with TemporaryDirectory() as folder:
        for kind in KINDS:
            path = Path(folder) / f"plan.{kind}"
            path.write_bytes(_data(kind))
            asked = [sys.executable, "-m", "tests.bench.sheet_table", kind, str(path)]
            _say(subprocess.run(asked, env=env, check=True, capture_output=True, text=True).stdout.rstrip())


def _say(row: str) -> None:
    sys.stdout.write(row + "\n")
    sys.stdout.flush()


def _data(kind: str) -> bytes:
    match kind:
        case "png":
            return sheets.large_picture("PNG")
        case "jpg":
            return sheets.large_picture("JPEG")
        case "pdf":
            return sheets.vector_pdf()
        case "svg":
            return sheets.vector_svg()
        case _:
            return sheets.vector_dxf()


def _measured(kind: str, path: Path) -> str:
    import resource

    from PySide6.QtCore import QThreadPool
    from PySide6.QtWidgets import QApplication

    from circuitmap import trade
    from circuitmap.desk.adapter import Adapter
    from circuitmap.desk.canvas.underlay import Underlay
    from circuitmap.desk.theme import Look
    from circuitmap.desk.window import Window
    from circuitmap.home import Home
    from circuitmap.home.document import Document

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    window = Window(Adapter(Document.memory(Home.blank()), trade.load()), Look(app, "paper"))
    window.resize(1_920, 1_080)
    window.show()
    QThreadPool.globalInstance().waitForDone(10_000)
    app.processEvents()

    start = time.perf_counter()
    window.draw_stage.bring(path)
    while not any(isinstance(item, Underlay) for item in window.view.plan_scene.items()):
        app.processEvents()
        time.sleep(0.002)
    app.processEvents()
    window.view.viewport().repaint()
    seen_s = time.perf_counter() - start

    item = next(item for item in window.view.plan_scene.items() if isinstance(item, Underlay))
    frames = []
    for screen_px in (0.0, 1.0, 6.0):
        if screen_px:
            own = item.sceneTransform().m11()
            window.view.zoom_by(screen_px / (own * window.view.zoom))
        frames.append(_dragged(app, window))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1_000
    shown = [f"{median(f):.1f} / {max(f):.1f}" for f in frames]
    return f"{kind:<6}{seen_s:>12.2f}{peak_mb:>10.0f}{shown[0]:>24}{shown[1]:>20}{shown[2]:>20}"


def _dragged(app: object, window: object) -> list[float]:
    """Drag the plan to and fro by some pixels at a time; give the milliseconds that each frame took to paint."""
    from PySide6.QtWidgets import QApplication

    from circuitmap.desk.window import Window

    assert isinstance(app, QApplication)
    assert isinstance(window, Window)
    view = window.view
    took = []
    app.processEvents()
    view.viewport().repaint()
    for step in range(_STEPS):
        start = time.perf_counter()
        way = 24 if step < _STEPS // 2 else -24
        for bar, by in ((view.horizontalScrollBar(), way), (view.verticalScrollBar(), way // 2)):
            bar.setValue(bar.value() + by)
        view.viewport().repaint()
        took.append((time.perf_counter() - start) * 1_000)
        app.processEvents()
    return took


if __name__ == "__main__":
    main()
