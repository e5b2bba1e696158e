"""Lines on the device that trains, as many of the newest as fit. Needs PyTorch."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, Queue
from threading import Thread

import torch
from torch import Tensor

from benchmarks.recogniser.data import PLANES
from benchmarks.recogniser.draw import Portion, read
from benchmarks.recogniser.model import ROWS


class Arriving:
    """The files of a folder, read by a thread as they come."""

    def __init__(self, folder: Path, at_most: int = 64) -> None:
        self.folder = folder
        self._read: Queue[Portion] = Queue(at_most)
        self._known: set[str] = set()
        Thread(target=self._look, daemon=True).start()

    def _look(self) -> None:
        from time import sleep

        while True:
            new = sorted(path for path in self.folder.glob("*.facts.npz") if path.name not in self._known)
            for path in new:
                self._known.add(path.name)
                self._read.put(read(path))
            sleep(1.0)

    def next(self, wait_s: float = 0.0) -> Portion | None:
        try:
            return self._read.get(timeout=wait_s) if wait_s else self._read.get_nowait()
        except Empty:
            return None


@dataclass(frozen=True, slots=True)
class _Kept:
    """Where a portion lies, and its facts on the device."""

    start: int
    end: int
    offsets: Tensor
    columns: Tensor
    texts: Tensor
    cast: Tensor
    level: Tensor


class Held:
    """A ring of bytes: new lines take the place of the oldest."""

    def __init__(self, room: int, device: torch.device) -> None:
        self.device = device
        self._bytes = torch.empty(room, dtype=torch.uint8, device=device)
        self._kept: deque[_Kept] = deque()
        self._pen = 0
        self.count = self.drawn = 0

    def add(self, portion: Portion) -> None:
        """Copy one file's lines; ``settle`` makes them known."""
        size = len(portion.planes)
        start = self._pen if self._pen + size <= len(self._bytes) else 0
        end = start + size
        self._kept = deque(kept for kept in self._kept if kept.end <= start or kept.start >= end)
        self._bytes[start:end] = torch.from_numpy(portion.planes).to(self.device)
        columns = torch.from_numpy(portion.columns).to(self.device)
        lengths = columns * (PLANES * ROWS)
        facts = (torch.from_numpy(each).to(self.device) for each in (portion.texts, portion.cast, portion.level))
        self._kept.append(_Kept(start, end, start + lengths.cumsum(0) - lengths, columns, *facts))
        self._pen = end
        self.drawn += len(portion.columns)

    def settle(self) -> None:
        """Make one table of all lines that are held."""
        self.offsets, self.columns, self.texts, self.cast, self.level = (
            torch.cat([getattr(kept, name) for kept in self._kept])
            for name in ("offsets", "columns", "texts", "cast", "level")
        )
        self.texts = self.texts.long()
        self.count = len(self.columns)
        self._order = self.columns.argsort()

    def batch(self, size: int) -> Tensor:
        """Places in the table of lines of like width."""
        first = int(torch.randint(-size, self.count, (1,)))
        window = self._order[max(0, first) : max(0, first) + 4 * size]
        return window[torch.randperm(len(window), device=window.device)[:size]]

    def planes(self, at: Tensor, room: int) -> Tensor:
        """Bytes ``[N, 6, 48, room]``; shorter lines go on as they end."""
        columns = self.columns[at]
        along = torch.minimum(torch.arange(room, device=self.device)[None], columns[:, None] - 1)
        rows = torch.arange(PLANES * ROWS, device=self.device)[None, :, None]
        places = self.offsets[at][:, None, None] + rows * columns[:, None, None] + along[:, None, :]
        return self._bytes[places].view(len(at), PLANES, ROWS, room)
