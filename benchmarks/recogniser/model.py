"""The recogniser: convolutions over the planes of a line, one recurrent layer along it, characters and how it is made.

Three sizes: ``small`` 2.3, ``medium`` 2.6 and ``large`` 4.6 million parameters. Needs PyTorch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import torch
from torch import Tensor, nn
from torch.nn import functional

PLANES = 6
ROWS = 48
#: Columns of the planes to one place of the matrix.
STRIDE = 4


@dataclass(frozen=True, slots=True)
class Size:
    """Widths of the five stages, blocks in the second, third and fourth, and the recurrent layer's width."""

    widths: tuple[int, int, int, int, int]
    blocks: tuple[int, int, int]
    recurrent: int


SIZES: Final = {
    "small": Size((32, 64, 96, 160, 208), (1, 1, 2), 128),
    "medium": Size((32, 64, 96, 160, 208), (2, 2, 2), 160),
    "large": Size((40, 80, 128, 224, 256), (1, 2, 2), 192),
}


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

    def __init__(self, columns: int, size: str = "small", drop: float = 0.1) -> None:
        super().__init__()
        made = SIZES[size]
        a, b, c, d, e = made.widths
        two, three, four = made.blocks
        self.trunk = nn.Sequential(
            smaller(PLANES, a, (2, 1)), smaller(a, b, (1, 2)), *(Block(b) for _ in range(two)),
            smaller(b, c, (2, 2)), *(Block(c, drop / 2) for _ in range(three)),
            smaller(c, d, (2, 1)), *(Block(d, drop) for _ in range(four)),
        )  # fmt: skip
        self.flat = nn.Sequential(nn.Conv2d(d, e, (6, 3), padding=(0, 1), bias=False), nn.BatchNorm2d(e), nn.ReLU())
        self.drop = nn.Dropout(drop)
        self.along = nn.GRU(e, made.recurrent, bidirectional=True, batch_first=True)
        self.to_characters = nn.Linear(2 * made.recurrent + e, columns)
        self.to_form = nn.Linear(2 * made.recurrent + e, 1)

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


class WithLogs(nn.Module):
    """Natural logarithms of probabilities, and the probability that the mark is cast."""

    def __init__(self, model: Recogniser) -> None:
        super().__init__()
        self.model = model

    def forward(self, planes: Tensor) -> tuple[Tensor, Tensor]:
        logits, form = self.model(planes)
        return torch.log_softmax(logits, dim=2), torch.sigmoid(form)
