"""Trains the recogniser on renders made meanwhile, for a given time, and keeps the best on fonts it never saw.

    python -m benchmarks.recogniser.train OUT --minutes 9 --seed 11 [--resume OUT/last.pt]

Needs PyTorch and a GPU, and the fonts (``PLATE_FONTS``). One process draws on each core; the trainer takes random
batches from all that was drawn so far. The learning rate follows one cycle over the given time, the weights kept are
their moving average. Validation: renders in the test families, which training never sees, with a seed of their own.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from pathlib import Path
from typing import Any, Final

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from benchmarks.recogniser.augment import changed, to_planes
from benchmarks.recogniser.data import LEVELS, LONGEST_TEXT, PLANES, WIDEST, Pool, labels
from benchmarks.recogniser.model import ROWS, STRIDE, Recogniser
from floatbowl.photo.alphabet import COLUMNS

#: Seed of the renders that choose the checkpoint; no table is scored on it.
VALIDATION_SEED: Final = 770_001
MOVING: Final = 0.999
WARM: Final = 0.06
#: Steps before the moving average begins.
SETTLED: Final = 50
#: Columns of digits and letters; those of separators lie beyond.
PLAIN: Final = 36
#: Batches are as wide as a multiple of this, so that few shapes occur.
ROOM: Final = 64
FORM_WEIGHT: Final = 0.15


class Held:
    """Lines on the device that trains, with their widths, texts and forms."""

    def __init__(self, capacity: int, device: torch.device) -> None:
        self.planes = torch.zeros(capacity, PLANES, ROWS, WIDEST, dtype=torch.uint8, device=device)
        self.columns = torch.zeros(capacity, dtype=torch.long, device=device)
        self.texts = torch.zeros(capacity, LONGEST_TEXT, dtype=torch.long, device=device)
        self.cast = torch.zeros(capacity, device=device)
        self.level = torch.zeros(capacity, dtype=torch.long, device=device)
        self.count = 0
        self._order = torch.zeros(0, dtype=torch.long, device=device)

    def take(self, pool: Pool, told: list[tuple[int, int, str, int, int]]) -> None:
        """Copy what arrived in the pool."""
        told = told[: len(self.columns) - self.count]
        if not told:
            return
        device = self.planes.device
        to = slice(self.count, self.count + len(told))
        at = [each[0] for each in told]
        for first in range(0, len(at), 4096):
            some = at[first : first + 4096]
            start = to.start + first
            self.planes[start : start + len(some)] = torch.from_numpy(pool.planes[some]).to(device)
        self.columns[to] = torch.tensor([each[1] for each in told], device=device)
        self.texts[to] = torch.from_numpy(np.stack([labels(each[2]) for each in told])).long().to(device)
        self.cast[to] = torch.tensor([float(each[3]) for each in told], device=device)
        self.level[to] = torch.tensor([each[4] for each in told], device=device)
        self.count += len(told)
        self._order = self.columns[: self.count].argsort()

    def batch(self, size: int) -> Tensor:
        """Places of lines of like width."""
        first = int(torch.randint(-size, self.count, (1,)))
        window = self._order[max(0, first) : max(0, first) + 4 * size]
        return window[torch.randperm(len(window), device=window.device)[:size]]


def lengths_of(texts: Tensor) -> Tensor:
    return (texts > 0).sum(dim=1)


def loss_of(model: Recogniser, held: Held, at: Tensor, strength: float) -> Tensor:
    """CTC over the characters and cross entropy over the form."""
    columns = held.columns[at]
    room = min(WIDEST * 9 // 8 - ROOM, int(columns.max() * 1.12) + 8)
    room += -room % ROOM
    stored = held.planes[at][..., : min(room, WIDEST)]
    planes = changed(_roomy(to_planes(stored), room), strength)
    places = (columns * 1.12 / STRIDE).ceil().long().clamp(max=room // STRIDE)
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=planes.is_cuda):
        logits, form = model(planes.contiguous(memory_format=torch.channels_last), places)
    log_probs = functional.log_softmax(logits.float(), dim=2).transpose(0, 1)
    texts = held.texts[at]
    characters = functional.ctc_loss(log_probs, texts, places, lengths_of(texts), zero_infinity=True)
    return characters + FORM_WEIGHT * functional.binary_cross_entropy_with_logits(form.float(), held.cast[at])


def _roomy(planes: Tensor, room: int) -> Tensor:
    return functional.pad(planes, (0, room - planes.shape[3])) if room > planes.shape[3] else planes


@torch.no_grad()
def validate(model: Recogniser, held: Held, plain_only: bool) -> dict[str, float]:
    """Share of lines whose letters and digits the likeliest path reads, by level; of forms told right; and ``strict``,
    the share read with every separator."""
    model.eval()
    right, forms, strict, total = [0] * len(LEVELS), 0, 0, [0] * len(LEVELS)
    order = held.columns[: held.count].argsort()
    for first in range(0, held.count, 256):
        at = order[first : first + 256]
        columns = held.columns[at]
        room = int(columns.max()) + (-int(columns.max())) % STRIDE
        planes = _roomy(to_planes(held.planes[at][..., :room]), room)
        if plain_only:
            planes[:, 2:] = 0.0
        places = (columns + STRIDE - 1) // STRIDE
        logits, form = model(planes, places)
        paths = logits.argmax(dim=2).cpu().numpy()
        forms += int(((form > 0) == (held.cast[at] > 0.5)).sum())
        facts = zip(paths, places.tolist(), held.texts[at].tolist(), held.level[at].tolist(), strict=True)
        for row, length, text, level in facts:
            read, truth = collapsed(row[:length]), [c for c in text if c]
            total[level] += 1
            right[level] += [c for c in read if c <= PLAIN] == [c for c in truth if c <= PLAIN]
            strict += read == truth
    model.train()
    exact = {LEVELS[i]: right[i] / max(1, total[i]) for i in range(len(LEVELS))}
    return {**exact, "form": forms / max(1, held.count), "strict": strict / max(1, held.count)}


def collapsed(path: Any) -> list[int]:
    """A path's characters: repeats joined, "no new character" dropped."""
    return [int(c) for i, c in enumerate(path) if c and (i == 0 or c != path[i - 1])]


def rate(done: float, peak: float) -> float:
    """One cycle: a short rise, then a cosine down."""
    if done < WARM:
        return peak * (0.04 + 0.96 * done / WARM)
    return peak * (0.002 + 0.998 * 0.5 * (1 + math.cos(math.pi * (done - WARM) / (1 - WARM))))


def train(args: argparse.Namespace) -> None:
    out = Path(args.out)
    torch.set_float32_matmul_precision("high")
    began = time.monotonic()
    pool, judge = Pool(args.capacity), Pool(args.validation)
    judge.start(args.processes, VALIDATION_SEED, "test")
    judged: list[tuple[int, int, str, int, int]] = []
    while len(judged) < args.validation // args.processes * args.processes:
        judged += judge.arrived(1.0)
    judge.stop()
    print(f"validation {len(judged)} lines after {time.monotonic() - began:.0f} s", flush=True)
    pool.start(args.processes, args.seed, "train")
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    held, against = Held(args.capacity, device), Held(args.validation, device)
    against.take(judge, judged)
    model = Recogniser(COLUMNS).to(device, memory_format=torch.channels_last)
    if args.resume:
        model.load_state_dict(torch.load(args.resume, map_location=device)["model"])
    moving = torch.optim.swa_utils.AveragedModel(
        model, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(MOVING), use_buffers=True
    )
    decayed = [p for p in model.parameters() if p.ndim > 1]
    others = [p for p in model.parameters() if p.ndim <= 1]
    groups = [{"params": decayed, "weight_decay": 0.02}, {"params": others, "weight_decay": 0.0}]
    optimiser = torch.optim.AdamW(groups, lr=args.peak, betas=(0.9, 0.98))
    tally = Tally(out, args, time.monotonic())
    while held.count < args.first:
        held.take(pool, pool.arrived(1.0))
    begun = last = time.monotonic()
    while (done := (time.monotonic() - begun) / (60 * args.minutes)) < 1.0:
        if tally.steps % 20 == 0:
            held.take(pool, pool.arrived())
        for group in optimiser.param_groups:
            group["lr"] = rate(done, args.peak)
        at = held.batch(args.batch)
        loss = loss_of(model, held, at, args.strength * min(1.0, 0.3 + 6 * done, 0.4 + 3 * (1 - done)))
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(model.parameters(), 2.0)
        optimiser.step()
        if tally.steps > SETTLED:
            moving.update_parameters(model)
        tally.count(len(at), loss.detach())
        if time.monotonic() - last > args.every:
            last = time.monotonic()
            tally.judge(moving.module, against, held.count)
    tally.judge(moving.module, against, held.count)
    torch.save({"model": moving.module.state_dict()}, out / "last.pt")
    pool.stop()


class Tally:
    """What was done so far, and the best checkpoint."""

    def __init__(self, out: Path, args: argparse.Namespace, began: float) -> None:
        self.out, self.args, self.began = out, args, began
        self.best, self.steps, self.seen = -1.0, 0, 0
        self._losses: list[Tensor] = []

    def count(self, lines: int, loss: Tensor) -> None:
        self.steps += 1
        self.seen += lines
        self._losses.append(loss)

    def judge(self, model: Recogniser, against: Held, drawn: int) -> None:
        """Validate, tell, and save when better: by what is read exactly, mostly with all planes."""
        whole, plain = validate(model, against, False), validate(model, against, True)
        score = sum(0.75 * whole[level] + 0.25 * plain[level] for level in LEVELS) / len(LEVELS)
        loss = float(torch.stack(self._losses or [torch.zeros(())]).mean())
        self._losses.clear()
        row = {
            "s": round(time.monotonic() - self.began), "drawn": drawn, "steps": self.steps, "seen": self.seen,
            "loss": round(loss, 4), "score": round(score, 4),
            "all": {k: round(v, 4) for k, v in whole.items()}, "plain": {k: round(v, 4) for k, v in plain.items()},
        }  # fmt: skip
        print(json.dumps(row), flush=True)
        with (self.out / "log.jsonl").open("a") as log:
            log.write(json.dumps(row) + "\n")
        if score > self.best:
            self.best = score
            torch.save({"model": model.state_dict(), "figures": row, "seed": self.args.seed}, self.out / "best.pt")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out")
    parser.add_argument("--minutes", type=float, default=9.0)
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--resume")
    parser.add_argument("--capacity", type=int, default=150_000)
    parser.add_argument("--validation", type=int, default=1500)
    parser.add_argument("--processes", type=int, default=15)
    parser.add_argument("--first", type=int, default=3000)
    parser.add_argument("--batch", type=int, default=512)
    parser.add_argument("--peak", type=float, default=2e-3)
    parser.add_argument("--strength", type=float, default=1.0)
    parser.add_argument("--every", type=float, default=30.0)
    args = parser.parse_args()
    Path(args.out).mkdir(parents=True, exist_ok=True)
    train(args)


if __name__ == "__main__":
    main()
