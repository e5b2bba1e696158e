"""Random changes to batches of planes on the device that trains: what renders alone would not teach.

Order of the planes as in ``floatbowl.photo.channels``: plain, equalised (0..1), relief, slope_x, slope_y (-1..1),
albedo (0..1).
"""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

SIGNED = (2, 3, 4)
FROM_TORCHES = (2, 3, 4, 5)


def to_planes(stored: Tensor) -> Tensor:
    """Bytes as they are stored to planes."""
    planes = stored.float() / 255.0
    planes[:, SIGNED] = planes[:, SIGNED] * 2.0 - 1.0
    planes[:, SIGNED] = torch.where(planes[:, SIGNED].abs() < 0.005, 0.0, planes[:, SIGNED])
    return planes


def changed(planes: Tensor, strength: float) -> Tensor:
    """A batch bent, dirtied, dimmed, with planes left out. ``strength`` 1 is full."""
    empty = (planes.abs().amax(dim=(2, 3)) == 0)[:, :, None, None]
    planes = _bent(planes, strength)
    planes = _covered(planes, strength)
    planes = _shaded(planes, strength)
    planes = _grainy(planes, strength)
    return _left_out(torch.where(empty, 0.0, planes))


def _uniform(n: int, low: float, high: float, like: Tensor) -> Tensor:
    return torch.rand(n, device=like.device) * (high - low) + low


def _bent(planes: Tensor, strength: float) -> Tensor:
    """Turned, sheared, scaled, shifted, and waved a little."""
    n, _, rows, columns = planes.shape
    aspect = columns / rows
    turn, shear = _uniform(n, -0.035, 0.035, planes) * strength, _uniform(n, -0.18, 0.18, planes) * strength
    scale_x, scale_y = 1 + _uniform(n, -0.12, 0.15, planes) * strength, 1 + _uniform(n, -0.12, 0.14, planes) * strength
    zero = torch.zeros_like(turn)
    first = torch.stack([scale_x, (shear + turn) / aspect, zero], dim=1)
    second = torch.stack([-turn * aspect, scale_y, _uniform(n, -0.1, 0.1, planes) * strength], dim=1)
    grid = functional.affine_grid(torch.stack([first, second], dim=1), [n, 1, rows, columns], align_corners=False)
    # Keep the left edge in place: the line's own columns stay within its width.
    grid[..., 0] = grid[..., 0] + (scale_x - 1)[:, None, None]
    wave = functional.interpolate(
        torch.randn(n, 2, 4, max(4, columns // 24), device=planes.device), (rows, columns), mode="bicubic"
    )
    amount = (_uniform(n, 0.0, 1.0, planes) ** 2 * strength)[:, None, None]
    grid[..., 0] = grid[..., 0] + wave[:, 0] * amount * 2.0 / columns
    grid[..., 1] = grid[..., 1] + wave[:, 1] * amount * 2.0 / rows
    return functional.grid_sample(planes, grid, mode="bilinear", padding_mode="border", align_corners=False)


def _covered(planes: Tensor, strength: float) -> Tensor:
    """Up to two patches of each line lose what they show, in all planes or in those of one kind."""
    n, _, rows, columns = planes.shape
    y = torch.arange(rows, device=planes.device)[None, :, None]
    x = torch.arange(columns, device=planes.device)[None, None, :]
    for _ in range(2):
        at_x, at_y = _uniform(n, 0, columns, planes)[:, None, None], _uniform(n, 0, rows, planes)[:, None, None]
        wide, high = _uniform(n, 2, 16, planes)[:, None, None], _uniform(n, 2, 26, planes)[:, None, None]
        hit = ((x - at_x).abs() < wide / 2) & ((y - at_y).abs() < high / 2)
        hit = hit & (torch.rand(n, device=planes.device) < 0.25 * strength)[:, None, None]
        kinds = torch.rand(n, planes.shape[1], device=planes.device) < 0.7
        filling = planes.mean(dim=(2, 3), keepdim=True)
        planes = torch.where(hit[:, None] & kinds[:, :, None, None], filling, planes)
    return planes


def _shaded(planes: Tensor, strength: float) -> Tensor:
    """Contrast, brightness, gamma and polarity of the pictures; strength and sign of the relief."""
    n = planes.shape[0]
    planes = planes.clone()
    for plane in (0, 1, 5):
        gamma = torch.exp(_uniform(n, -0.5, 0.5, planes) * strength)[:, None, None]
        gain = (1 + _uniform(n, -0.35, 0.2, planes) * strength)[:, None, None]
        lift = (_uniform(n, -0.12, 0.12, planes) * strength)[:, None, None]
        planes[:, plane] = (planes[:, plane].clamp(0, 1) ** gamma - 0.5) * gain + 0.5 + lift
    negative = (torch.rand(n, device=planes.device) < 0.12 * strength)[:, None, None, None]
    planes[:, :2] = torch.where(negative, 1 - planes[:, :2], planes[:, :2])
    sign = torch.where(torch.rand(n, device=planes.device) < 0.15 * strength, -1.0, 1.0)[:, None, None, None]
    gain = torch.exp(_uniform(n, -0.5, 0.35, planes) * strength)[:, None, None, None]
    planes[:, 2:5] = planes[:, 2:5] * sign * gain
    return planes


def _grainy(planes: Tensor, strength: float) -> Tensor:
    """Blur and grain, each in some."""
    n = planes.shape[0]
    soft = functional.avg_pool2d(functional.pad(planes, (1, 1, 1, 1), mode="replicate"), 3, stride=1)
    some = (_uniform(n, -1.0, 1.0, planes).clamp(min=0) * strength)[:, None, None, None]
    planes = planes + some * (soft - planes)
    grain = torch.randn_like(planes) + functional.interpolate(
        torch.randn(n, 6, planes.shape[2] // 2, planes.shape[3] // 2, device=planes.device), planes.shape[2:]
    )
    size = torch.rand(n, 6, 1, 1, device=planes.device) ** 3 * 0.16 * strength
    return (planes + size * grain).clamp(-1.3, 1.3)


def _left_out(planes: Tensor) -> Tensor:
    """Some lines without the torch's planes, some with these alone, some without one plane or another."""
    n = planes.shape[0]
    kept = torch.rand(n, 6, device=planes.device) > 0.05
    draw = torch.rand(n, device=planes.device)
    has_torch = planes[:, 2:5].abs().amax(dim=(1, 2, 3)) > 0
    kept[:, 2:] &= (draw > 0.15)[:, None]
    kept[:, :2] &= ((draw < 0.92) | ~has_torch)[:, None]
    neither = ~(kept[:, :2].any(dim=1) | (kept[:, 2:4].any(dim=1) & has_torch))
    kept[:, :2] |= neither[:, None]
    return planes * kept[:, :, None, None]
