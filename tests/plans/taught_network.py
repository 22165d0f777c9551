"""The network that tells rooms from the rest of a drawing, as it is taught: this, and nothing else, needs PyTorch."""

import torch
from torch import Tensor, nn
from torch.nn import functional


def _seen(into: int, out: int, step: int = 1, spread: int = 1, size: int = 3) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(into, out, size, stride=step, padding=spread * (size // 2), dilation=spread, bias=False),
        nn.BatchNorm2d(out),
        nn.ReLU(inplace=True),
    )


class _Twice(nn.Module):
    """Two looks whose outcome is added to what came in."""

    def __init__(self, width: int, spread: int = 1) -> None:
        super().__init__()
        self.a = _seen(width, width, 1, spread)
        self.b = nn.Sequential(
            nn.Conv2d(width, width, 3, padding=spread, dilation=spread, bias=False), nn.BatchNorm2d(width)
        )

    def forward(self, x: Tensor) -> Tensor:
        return functional.relu(x + self.b(self.a(x)))


class RoomNetwork(nn.Module):
    """From darkness (n, 1, h, w) to the log-odds of being in a room (n, 1, h, w); sides are multiples of 32."""

    def __init__(self) -> None:
        super().__init__()
        w0, w1, w2, w3, w4 = 16, 24, 40, 64, 96
        self.s = _seen(1, w0, 2)
        self.e1 = nn.Sequential(_seen(w0, w1, 2), _seen(w1, w1))
        self.e2 = nn.Sequential(_seen(w1, w2, 2), _Twice(w2), _Twice(w2))
        self.e3 = nn.Sequential(_seen(w2, w3, 2), _Twice(w3), _Twice(w3))
        self.e4 = nn.Sequential(_seen(w3, w4, 2), _Twice(w4), _Twice(w4, 2), _Twice(w4, 4), _Twice(w4, 2))
        self.u3, self.k3, self.d3 = _seen(w4, w3, size=1), _seen(2 * w3, w3, size=1), _Twice(w3)
        self.u2, self.k2, self.d2 = _seen(w3, w2, size=1), _seen(2 * w2, w2, size=1), _Twice(w2)
        self.u1, self.k1, self.d1 = _seen(w2, w1, size=1), _seen(2 * w1, w1, size=1), _seen(w1, w1)
        self.u0, self.d0 = _seen(w1, 12, size=1), _seen(12 + w0, 16)
        self.out = nn.Conv2d(16, 4, 3, padding=1)

    def forward(self, x: Tensor) -> Tensor:
        half = self.s(x)
        quarter = self.e1(half)
        eighth = self.e2(quarter)
        sixteenth = self.e3(eighth)
        y = self.u3(self.e4(sixteenth))
        y = self.d3(self.k3(torch.cat([_twice_as_large(y), sixteenth], 1)))
        y = self.d2(self.k2(torch.cat([_twice_as_large(self.u2(y)), eighth], 1)))
        y = self.d1(self.k1(torch.cat([_twice_as_large(self.u1(y)), quarter], 1)))
        y = self.d0(torch.cat([_twice_as_large(self.u0(y)), half], 1))
        return functional.pixel_shuffle(self.out(y), 2)


def _twice_as_large(x: Tensor) -> Tensor:
    return functional.interpolate(x, scale_factor=2, mode="nearest")
