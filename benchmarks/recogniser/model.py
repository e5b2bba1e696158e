"""The recogniser: convolutions over the planes of a line, one recurrent layer along it, characters and how it is made.

About 2.2 million parameters. Needs PyTorch.
"""

from __future__ import annotations

import torch
from torch import Tensor, nn
from torch.nn import functional

PLANES = 6
ROWS = 48
#: Columns of the planes to one place of the matrix.
STRIDE = 4
WIDTHS = (32, 64, 96, 160, 208)
RECURRENT = 128


class Block(nn.Module):
    """Two 3 x 3 convolutions around a short cut."""

    def __init__(self, channels: int, drop: float = 0.0) -> None:
        super().__init__()
        self.first = nn.Conv2d(channels, channels, 3, padding=1, bias=False)
        self.first_norm = nn.BatchNorm2d(channels)
        self.second = nn.Conv2d(channels, channels, 3, padding=1, bias=False)
        self.second_norm = nn.BatchNorm2d(channels)
        self.drop = nn.Dropout2d(drop)

    def forward(self, x: Tensor) -> Tensor:
        inner = functional.relu(self.first_norm(self.first(x)))
        return functional.relu(x + self.second_norm(self.second(self.drop(inner))))


def smaller(before: int, after: int, stride: tuple[int, int]) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(before, after, 3, stride=stride, padding=1, bias=False), nn.BatchNorm2d(after), nn.ReLU()
    )


class Recogniser(nn.Module):
    """Planes ``[N, 6, 48, W]`` to logits ``[N, W / 4, columns]`` and the logit that the mark is cast ``[N]``."""

    def __init__(self, columns: int, drop: float = 0.1) -> None:
        super().__init__()
        a, b, c, d, e = WIDTHS
        self.trunk = nn.Sequential(
            smaller(PLANES, a, (2, 1)), smaller(a, b, (1, 2)), Block(b),
            smaller(b, c, (2, 2)), Block(c, drop / 2),
            smaller(c, d, (2, 1)), Block(d, drop), Block(d, drop),
        )  # fmt: skip
        self.flat = nn.Sequential(nn.Conv2d(d, e, (6, 3), padding=(0, 1), bias=False), nn.BatchNorm2d(e), nn.ReLU())
        self.drop = nn.Dropout(drop)
        self.along = nn.GRU(e, RECURRENT, bidirectional=True, batch_first=True)
        self.to_characters = nn.Linear(2 * RECURRENT + e, columns)
        self.to_form = nn.Linear(2 * RECURRENT + e, 1)

    def forward(self, planes: Tensor, places: Tensor | None = None) -> tuple[Tensor, Tensor]:
        """``places [N]``: how many places each line has, where shorter ones are filled up."""
        line = self.flat(self.trunk(planes)).squeeze(2).transpose(1, 2)
        line = self.drop(line)
        seen, _ = self.along(line)
        both = torch.cat([line, seen], dim=2)
        return self.to_characters(both), self.to_form(mean_of(both, places)).squeeze(1)


def mean_of(along: Tensor, places: Tensor | None) -> Tensor:
    """The mean over the places that a line has."""
    if places is None:
        return along.mean(dim=1)
    inside = (torch.arange(along.shape[1], device=along.device) < places[:, None]).to(along.dtype)
    return (along * inside[:, :, None]).sum(dim=1) / inside.sum(dim=1, keepdim=True)
