"""How one invented drawing looks: everything that is drawn by lot, in one dictionary that a test may overrule."""

from random import Random
from typing import Final

DIFFICULTIES: Final = ("easy", "medium", "hard")
SOLID: Final = ("black", "grey")
WALLS: Final = ("black", "grey", "hollow", "hatched", "line")

Style = dict[str, object]


def style_of(rng: Random, seed: int, forced: Style | None = None) -> Style:
    """The style of a seed: a third of the seeds each easy, medium and hard; ``forced`` wins over the lot."""
    forced = forced or {}
    difficulty = str(forced.get("difficulty", DIFFICULTIES[seed % 3]))
    style = _easy(rng)
    for name, value in (_medium(rng) if difficulty == "medium" else _hard(rng)).items():
        if difficulty != "easy":
            style[name] = value
    style["difficulty"] = difficulty
    style["sheet frame"] = difficulty != "easy" and Random(f"frame {seed}").random() < 0.35
    unknown = set(forced) - set(style)
    if unknown:
        raise ValueError(f"no such feature of a drawing: {sorted(unknown)}")
    style.update(forced)
    if "walls" in forced and "inner walls" not in forced:
        style["inner walls"] = style["walls"]
    return style


def _easy(rng: Random) -> Style:
    walls = rng.choice(["black", "black", "grey", "line"])
    return {
        "longer side px": round(1000 * 6.0 ** rng.uniform(0.1, 0.75)),
        "kind": rng.choice(["corridor", "corridor", "halving"]),
        "slant": rng.choice(["none", "none", "none", "corner"]),
        "walls": walls,
        "inner walls": walls,
        "outer m": rng.uniform(0.24, 0.38),
        "inner m": rng.uniform(0.09, 0.13),
        "main m": rng.choice([0.0, rng.uniform(0.15, 0.24)]),
        "wall ink": rng.randint(0, 30),
        "wall grey": rng.randint(95, 150),
        "grey edge": rng.random() < 0.5,
        "edge px": 1,
        "hatch m": rng.uniform(0.06, 0.12),
        "hatch deg": rng.choice([45.0, -45.0]),
        "hatch ink": rng.randint(0, 90),
        "doors": rng.choice(["swing", "swing", "gap"]),
        "arcs": True,
        "threshold": False,
        "windows": True,
        "window": rng.choice(["two", "three", "four"]),
        "furniture": rng.choice([0.0, 0.4, 0.8]),
        "furniture ink": rng.randint(60, 150),
        "units": True,
        "tiles": False,
        "boards": False,
        "texts": rng.choice(["names", "names and sizes", "none"]),
        "dims outside": rng.random() < 0.4,
        "dims inside": False,
        "north": rng.random() < 0.4,
        "turn deg": 0.0,
        "blur px": 0.0,
        "light": 0.0,
        "grain": 0.0,
        "specks": 0,
        "jpeg": rng.choice([None, 90, 85]),
        "paper": rng.choice([255, 255, 250]),
        "fade": 0.0,
        "smooth": rng.random() < 0.85,
    }


def _medium(rng: Random) -> Style:
    walls = rng.choice(["black", "grey", "hollow", "hollow", "hatched", "line"])
    mixed = {"hollow": "black", "hatched": "hollow", "grey": "hollow"}
    return {
        "longer side px": round(1000 * 6.0 ** rng.uniform(0.15, 1.0)),
        "slant": rng.choice(["none", "none", "corner", "partition", "bay", "side"]),
        "walls": walls,
        "inner walls": mixed[walls] if walls in mixed and rng.random() < 0.15 else walls,
        "inner m": rng.uniform(0.08, 0.14),
        "grey edge": rng.random() < 0.6,
        "edge px": rng.choice([1, 1, 2]),
        "doors": "mixed" if rng.random() < 0.7 else "swing",
        "threshold": rng.random() < 0.3,
        "window": rng.choice(["one", "two", "three", "four", "frame"]),
        "furniture": rng.uniform(0.5, 1.0),
        "furniture ink": rng.randint(0, 120),
        "tiles": rng.random() < 0.6,
        "boards": rng.random() < 0.15,
        "texts": rng.choice(["names", "names and sizes", "names and sizes"]),
        "dims outside": rng.random() < 0.7,
        "dims inside": rng.random() < 0.3,
        "turn deg": rng.choice([0.0, rng.uniform(-1.0, 1.0), rng.uniform(-3.0, 3.0)]),
        "blur px": rng.choice([0.0, rng.uniform(0.3, 0.8)]),
        "light": 0.0,
        "grain": rng.choice([0.0, rng.uniform(1.0, 4.0)]),
        "specks": rng.choice([0, 20]),
        "jpeg": rng.choice([None, rng.randint(60, 90)]),
        "paper": rng.randint(235, 255),
        "fade": rng.choice([0.0, 0.15]),
    }


def _hard(rng: Random) -> Style:
    walls = rng.choice(["black", "grey", "hollow", "hollow", "hatched", "hatched"])
    mixed = {"black": "hollow", "hollow": "hatched", "hatched": "hollow", "grey": "hollow"}
    return {
        "longer side px": round(1000 * 6.0 ** rng.uniform(0.0, 1.0)),
        "slant": rng.choice(["none", "corner", "partition", "both", "bay", "side"]),
        "walls": walls,
        "inner walls": mixed[walls] if rng.random() < 0.3 else walls,
        "inner m": rng.uniform(0.07, 0.13),
        "wall grey": rng.randint(110, 175),
        "grey edge": rng.random() < 0.7,
        "wall ink": rng.randint(0, 60),
        "edge px": rng.choice([1, 1, 2, 3]),
        "doors": "mixed",
        "threshold": rng.random() < 0.5,
        "window": rng.choice(["one", "two", "three", "four", "frame"]),
        "furniture": 1.0,
        "furniture ink": rng.randint(0, 90),
        "tiles": True,
        "boards": rng.random() < 0.35,
        "texts": "names and sizes",
        "dims outside": True,
        "dims inside": rng.random() < 0.6,
        "turn deg": rng.uniform(-3.0, 3.0),
        "blur px": rng.uniform(0.3, 1.2),
        "light": rng.choice([0.0, rng.uniform(0.15, 0.45)]),
        "grain": rng.uniform(1.0, 7.0),
        "specks": rng.choice([0, 40, 120]),
        "jpeg": rng.randint(35, 80),
        "paper": rng.randint(215, 250),
        "fade": rng.uniform(0.0, 0.3),
    }
