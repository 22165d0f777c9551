"""What printing, scanning, photographing and saving do to a clean drawing."""

import cv2
import numpy as np

from tests.plans.drawn_ink import Grey

Style = dict[str, object]


def _number(style: Style, name: str) -> float:
    return float(str(style[name]))


def weather(sheet: Grey, style: Style, rng: np.random.Generator) -> Grey:
    """Paper tint, faded ink, blur, specks, uneven light, grain, and at last a real trip through JPEG."""
    paper, fade = _number(style, "paper"), _number(style, "fade")
    steps = np.arange(256, dtype=np.float64)
    out = np.round(fade * 0.6 * paper + steps / 255 * (paper - fade * 0.6 * paper)).astype(np.uint8)[sheet]
    if _number(style, "specks"):
        _speck(out, int(_number(style, "specks")), rng)
    if _number(style, "blur px"):
        out = cv2.GaussianBlur(out, (0, 0), _number(style, "blur px")).astype(np.uint8)
    if _number(style, "light") or _number(style, "grain"):
        out = _lit(out, _number(style, "light"), _number(style, "grain"), rng)
    if style["jpeg"] is not None:
        is_ok, packed = cv2.imencode(".jpg", out, [cv2.IMWRITE_JPEG_QUALITY, int(_number(style, "jpeg"))])
        assert is_ok
        out = np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), dtype=np.uint8)
    return out


def _speck(sheet: Grey, per_megapixel: int, rng: np.random.Generator) -> None:
    """Dust and toner."""
    h, w = sheet.shape
    for x, y, size, ink in zip(
        rng.integers(0, w, count := int(per_megapixel * h * w / 1e6)),
        rng.integers(0, h, count),
        rng.integers(1, 3, count),
        rng.integers(20, 200, count),
        strict=True,
    ):
        cv2.circle(sheet, (int(x), int(y)), int(size) - 1, int(ink), -1)


def _lit(sheet: Grey, unevenness: float, grain: float, rng: np.random.Generator) -> Grey:
    h, w = sheet.shape
    coarse = rng.random((3, 4)).astype(np.float32)
    light = cv2.resize(coarse, (w, h), interpolation=cv2.INTER_CUBIC)
    light = (1 - unevenness * np.clip(light, 0, 1)).astype(np.float32)
    out = sheet.astype(np.float32) * light
    if grain:
        out += rng.standard_normal((h, w), dtype=np.float32) * grain
    return np.asarray(np.clip(out, 0, 255), dtype=np.uint8)
