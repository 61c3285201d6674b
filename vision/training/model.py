"""The network: a small U-Net on stride-2 maps with a wide view of the page at its bottom."""

from __future__ import annotations

import torch
from torch import Tensor, nn

from vision.maps import CHANNELS

__all__ = ["DIRECTIONS", "HEATS", "Finished", "Reader"]

DIRECTIONS = [i for i, name in enumerate(CHANNELS) if name.endswith(("cos", "sin", "cos2", "sin2"))]
HEATS = [i for i in range(len(CHANNELS)) if i not in DIRECTIONS]


def _conv(a: int, b: int, stride: int = 1, dilation: int = 1) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(a, b, 3, stride, dilation, dilation, bias=False),
        nn.BatchNorm2d(b),
        nn.ReLU(inplace=True),
    )


class _Residual(nn.Module):
    def __init__(self, c: int, dilation: int = 1) -> None:
        super().__init__()
        self.first = _conv(c, c, 1, dilation)
        self.second = nn.Sequential(
            nn.Conv2d(c, c, 3, 1, dilation, dilation, bias=False), nn.BatchNorm2d(c)
        )

    def forward(self, x: Tensor) -> Tensor:
        return torch.relu(x + self.second(self.first(x)))


class Reader(nn.Module):
    """Grey square (batch, 1, 512, 512) in 0..1 to raw maps (batch, channels, 256, 256)."""

    def __init__(self, widths: tuple[int, ...] = (32, 56, 88, 120, 152)) -> None:
        super().__init__()
        w0, w1, w2, w3, w4 = widths
        self.stem = nn.Sequential(_conv(1, w0, 2), _conv(w0, w0))
        self.down1 = nn.Sequential(_conv(w0, w1, 2), _Residual(w1))
        self.down2 = nn.Sequential(_conv(w1, w2, 2), _Residual(w2))
        self.down3 = nn.Sequential(_conv(w2, w3, 2), _Residual(w3), _Residual(w3, 2))
        self.down4 = nn.Sequential(
            _conv(w3, w4, 2), _Residual(w4), _Residual(w4, 2), _Residual(w4, 4)
        )
        self.up3 = self._up(w4, w3)
        self.up2 = self._up(w3, w2)
        self.up1 = self._up(w2, w1)
        self.up0 = self._up(w1, w0)
        self.out3, self.out2 = _Residual(w3), _Residual(w2)
        self.out1, self.out0 = _Residual(w1), nn.Sequential(_Residual(w0), _conv(w0, 48))
        self.head = nn.Conv2d(48, len(CHANNELS), 1)
        start = torch.full((len(CHANNELS),), -3.0)
        start[DIRECTIONS] = 0.0
        self.head.bias = nn.Parameter(start)

    @staticmethod
    def _up(a: int, b: int) -> nn.Sequential:
        return nn.Sequential(nn.ConvTranspose2d(a, b, 2, 2, bias=False), nn.BatchNorm2d(b))

    def forward(self, x: Tensor) -> Tensor:
        x0 = self.stem(x - 0.5)
        x1 = self.down1(x0)
        x2 = self.down2(x1)
        x3 = self.down3(x2)
        x4 = self.down4(x3)
        y = self.out3(torch.relu(self.up3(x4) + x3))
        y = self.out2(torch.relu(self.up2(y) + x2))
        y = self.out1(torch.relu(self.up1(y) + x1))
        y = self.out0(torch.relu(self.up0(y) + x0))
        return self.head(y)


class Finished(nn.Module):
    """The network as it ships: heats after the sigmoid, directions after tanh."""

    def __init__(self, net: Reader) -> None:
        super().__init__()
        self.net = net
        mask = torch.zeros(1, len(CHANNELS), 1, 1)
        mask[:, DIRECTIONS] = 1
        self.mask: Tensor
        self.register_buffer("mask", mask)

    def forward(self, x: Tensor) -> Tensor:
        y = self.net(x)
        return torch.sigmoid(y) * (1 - self.mask) + torch.tanh(y) * self.mask
