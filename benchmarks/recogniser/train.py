"""Trains the recogniser on renders made meanwhile, for a given time, and keeps the best on fonts it never saw.

    python -m benchmarks.recogniser.draw LINES --seed 14 --use train &
    python -m benchmarks.recogniser.draw JUDGED --seed 770001 --use test --lines 50 --processes 60
    python -m benchmarks.recogniser.train OUT LINES JUDGED --minutes 21 --seed 14 --size small [--resume FILE.onnx]

Needs PyTorch and a GPU, and for drawing the fonts (``PLATE_FONTS``). The trainer takes random batches from the newest
lines drawn so far. The learning rate follows one cycle over the given time, the weights kept are their moving average.
Validation: renders in the test families, which training never sees, with a seed of their own.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import torch
from torch import Tensor
from torch.nn import functional

from benchmarks.recogniser.augment import changed, to_planes
from benchmarks.recogniser.data import LEVELS, WIDEST
from benchmarks.recogniser.held import Arriving, Held
from benchmarks.recogniser.model import SIZES, STRIDE, Recogniser
from benchmarks.recogniser.restore import measured, restored
from floatbowl.photo.alphabet import COLUMNS

MOVING: Final = 0.999
WARM: Final = 0.06
#: Steps before the moving average begins.
SETTLED: Final = 50
#: Columns of digits and letters; those of separators lie beyond.
PLAIN: Final = 36
#: Batches are as wide as a multiple of this, so that few shapes occur.
ROOM: Final = 64
FORM_WEIGHT: Final = 0.15
#: Seconds between looks at what was drawn.
LOOK_S: Final = 8.0
MEASURED_BATCHES: Final = 12


def lengths_of(texts: Tensor) -> Tensor:
    return (texts > 0).sum(dim=1)


def augmented(held: Held, at: Tensor, strength: float) -> tuple[Tensor, Tensor]:
    """A batch as it is shown in training, and the places of each of its lines."""
    columns = held.columns[at]
    room = min(WIDEST * 9 // 8 - ROOM, int(columns.max() * 1.12) + 8)
    room += -room % ROOM
    planes = changed(to_planes(held.planes(at, room)), strength)
    places = (columns * 1.12 / STRIDE).ceil().long().clamp(max=room // STRIDE)
    return planes.contiguous(memory_format=torch.channels_last), places


def loss_of(model: Recogniser, held: Held, at: Tensor, strength: float) -> Tensor:
    """CTC over the characters and cross entropy over the form."""
    planes, places = augmented(held, at, strength)
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=planes.is_cuda):
        logits, form = model(planes, places)
    log_probs = functional.log_softmax(logits.float(), dim=2).transpose(0, 1)
    texts = held.texts[at]
    characters = functional.ctc_loss(log_probs, texts, places, lengths_of(texts), zero_infinity=True)
    return characters + FORM_WEIGHT * functional.binary_cross_entropy_with_logits(form.float(), held.cast[at])


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
        planes = to_planes(held.planes(at, room))
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
    torch.set_float32_matmul_precision("high")
    torch.manual_seed(args.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    against = all_of(args.judged, device)
    lines, held = Arriving(args.lines), Held(int(args.room_gb * 1e9), device)
    while held.drawn < args.first:
        take(lines, held, wait_s=5.0)
    model = begun(args, held).to(device, memory_format=torch.channels_last)
    moving = torch.optim.swa_utils.AveragedModel(
        model, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(MOVING), use_buffers=True
    )
    optimiser = optimiser_of(model, args.peak)
    tally = Tally(args.out, args, time.monotonic())
    tally.judge(model, against, held.drawn)
    begun_at = last = looked = time.monotonic()
    model.train()
    while (done := (time.monotonic() - begun_at) / (60 * args.minutes)) < 1.0:
        if time.monotonic() - looked > LOOK_S:
            take(lines, held)
            looked = time.monotonic()
        for group in optimiser.param_groups:
            group["lr"] = rate(done, args.peak)
        at = held.batch(args.batch)
        loss = loss_of(model, held, at, args.strength * min(1.0, args.mild + 6 * done, 0.4 + 3 * (1 - done)))
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        steep = torch.nn.utils.clip_grad_norm_(model.parameters(), 2.0)
        if not bool(steep.isfinite()):  # A single batch without a finite slope once spoilt a run.
            continue
        optimiser.step()
        if tally.steps > SETTLED:
            moving.update_parameters(model)
        tally.count(len(at), loss.detach())
        if time.monotonic() - last > args.every:
            last = time.monotonic()
            tally.judge(moving.module, against, held.drawn)
    tally.judge(moving.module, against, held.drawn)
    torch.save({"model": moving.module.state_dict(), "size": args.size}, args.out / "last.pt")


def all_of(folder: Path, device: torch.device) -> Held:
    """A whole folder of lines."""
    lines = Arriving(folder)
    portions = []
    while (portion := lines.next(3.0)) is not None:
        portions.append(portion)
    held = Held(sum(len(portion.planes) for portion in portions), device)
    for portion in portions:
        held.add(portion)
    held.settle()
    return held


def take(lines: Arriving, held: Held, wait_s: float = 0.0) -> None:
    """What has come since the last time."""
    came = False
    while (portion := lines.next(wait_s)) is not None:
        held.add(portion)
        came, wait_s = True, 0.0
    if came:
        held.settle()


def begun(args: argparse.Namespace, held: Held) -> Recogniser:
    """New weights, or those of an exported file with their norms measured on what is drawn."""
    if not args.resume:
        return Recogniser(COLUMNS, args.size)
    model = restored(args.resume, COLUMNS, args.size).to(held.device)

    def batches() -> Iterator[Tensor]:
        for _ in range(MEASURED_BATCHES):
            yield augmented(held, held.batch(256), args.strength)[0]

    measured(model, batches())
    return model


def optimiser_of(model: Recogniser, peak: float) -> torch.optim.AdamW:
    decayed = [p for p in model.parameters() if p.ndim > 1]
    others = [p for p in model.parameters() if p.ndim <= 1]
    groups = [{"params": decayed, "weight_decay": 0.02}, {"params": others, "weight_decay": 0.0}]
    return torch.optim.AdamW(groups, lr=peak, betas=(0.9, 0.98))


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
            "s": round(time.monotonic() - self.began),
            "seed": self.args.seed,
            "size": self.args.size,
            "drawn": drawn,
            "seen": self.seen,
            "loss": round(loss, 4),
            "score": round(score, 4),
            "all": {k: round(v, 4) for k, v in whole.items()},
            "plain": {k: round(v, 4) for k, v in plain.items()},
        }
        print(json.dumps(row), flush=True)
        with (self.out / "log.jsonl").open("a") as log:
            log.write(json.dumps(row) + "\n")
        if score > self.best:
            self.best = score
            torch.save({"model": model.state_dict(), "size": self.args.size, "figures": row}, self.out / "best.pt")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("out", "lines", "judged"):
        parser.add_argument(name, type=Path)
    parser.add_argument("--minutes", type=float, default=9.0)
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--size", choices=tuple(SIZES), default="small")
    parser.add_argument("--resume", type=Path, help="an exported file whose weights are gone on with")
    parser.add_argument("--room-gb", type=float, default=48.0)
    parser.add_argument("--first", type=int, default=6000)
    parser.add_argument("--batch", type=int, default=512)
    parser.add_argument("--peak", type=float, default=2e-3)
    parser.add_argument("--strength", type=float, default=1.0)
    parser.add_argument("--mild", type=float, default=0.3, help="strength of the changes at first")
    parser.add_argument("--every", type=float, default=60.0)
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    train(args)


if __name__ == "__main__":
    main()
