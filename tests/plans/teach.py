"""Teach the network that tells rooms from the rest of a drawing, and write it where the program reads it.

Run it with ``python -m tests.plans.teach --minutes 120 [--examples 2000] [--goes-on-from FILE] [-o FILE]``; the weights
of the network in use are in ``taught_rooms.pt`` beside this, to go on from. It needs PyTorch and onnx (the extra
``teach``), which neither the program nor its tests do. One core takes some three steps of six squares a second; the
network in use had some 17 000 steps from 2 000 drawings, in four runs, each going on from the one before. In the last
two the drawings that it did worst at were taken more often.
"""

import argparse
import math
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Final

import numpy as np
import torch
from torch.nn import functional

from circuitmap.places import resources
from tests.plans.taught_examples import FIRST_SEED, Example, example, spoilt
from tests.plans.taught_network import RoomNetwork

_SQUARES: Final = 6
_FASTEST: Final = 2.5e-3
_WARM_STEPS: Final = 60
_UNSEEN: Final = 0.15  # the loss of a drawing that was not shown yet
_AT_LEAST: Final = 0.02
_MOST: Final = 0.6


def examples(count: int) -> list[Example]:
    """Draw so many examples."""
    return [example(FIRST_SEED + number) for number in range(count)]


def teach(network: RoomNetwork, drawn: Sequence[Example], minutes: float, rng: Random) -> None:
    """Teach for so many minutes, ever more slowly."""
    network.train()
    steps = torch.optim.AdamW(network.parameters(), _FASTEST, weight_decay=1e-3)
    began, step, mean_loss = time.monotonic(), 0, 0.0
    losses = [_UNSEEN] * len(drawn)
    while (share := (time.monotonic() - began) / (60 * minutes)) < 1:
        speed = _FASTEST * min(1.0, step / _WARM_STEPS + 0.02) * (0.5 + 0.5 * math.cos(math.pi * share)) + 1e-5
        for group in steps.param_groups:
            group["lr"] = speed
        chosen = rng.choices(range(len(drawn)), [loss + _AT_LEAST for loss in losses], k=_SQUARES)
        squares = [spoilt(drawn[at], rng) for at in chosen]
        dark, truth, weights = (torch.from_numpy(np.stack(each)[:, None]) for each in zip(*squares, strict=True))
        dark = dark.contiguous(memory_format=torch.channels_last)
        with torch.autocast("cpu", torch.bfloat16):
            odds = network(dark)
        each = functional.binary_cross_entropy_with_logits(odds.float(), truth, reduction="none") * weights
        loss = each.mean()
        for at, value in zip(chosen, each.mean(dim=(1, 2, 3)).tolist(), strict=True):
            losses[at] = 0.7 * losses[at] + 0.3 * min(value, _MOST)
        steps.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        steps.step()
        mean_loss = 0.97 * mean_loss + 0.03 * loss.item() if step else loss.item()
        step += 1
        if step % 100 == 0:
            sys.stdout.write(f"{step} steps, {share:.0%}, loss {mean_loss:.4f}\n")
            sys.stdout.flush()


def write(network: RoomNetwork, path: Path) -> None:
    """Write the network for any size of drawing."""
    path.parent.mkdir(parents=True, exist_ok=True)
    network.eval()
    free = {2: "h", 3: "w"}
    torch.onnx.export(
        network, torch.zeros(1, 1, 320, 352), str(path), input_names=["darkness"], output_names=["odds"],
        opset_version=13, dynamo=False, dynamic_axes={"darkness": free, "odds": free},
    )  # fmt: skip


def main() -> int:
    """Read the command line, teach, write."""
    parser = argparse.ArgumentParser(description="Teach the network that tells rooms from the rest of a drawing.")
    parser.add_argument("--minutes", type=float, default=120)
    parser.add_argument("--examples", type=int, default=2000, help="how many drawings")
    parser.add_argument("--goes-on-from", type=Path, help="a file of weights that an earlier run left")
    parser.add_argument("--weights", type=Path, default=Path("rooms.pt"), help="where to leave the weights")
    parser.add_argument("-o", type=Path, default=resources() / "tracing" / "rooms.onnx", dest="out")
    told = parser.parse_args()
    network = RoomNetwork().to(memory_format=torch.channels_last)
    if told.goes_on_from is not None:
        kept = torch.load(told.goes_on_from)
        network.load_state_dict(
            {name: each.float() if each.is_floating_point() else each for name, each in kept.items()}
        )
    teach(network, examples(told.examples), told.minutes, Random(time.time_ns()))
    torch.save(network.state_dict(), told.weights)
    write(network, told.out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
