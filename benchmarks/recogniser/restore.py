"""The weights of the package taken back into PyTorch, so that training goes on where it stopped.

An exported network has its norms folded into the convolutions before them. Each is put back as a norm that changes
nothing: first with mean 0 and spread 1, then (``measured``) with the mean and spread that renders give there, scale and
shift undoing both. Needs PyTorch and onnx.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import numpy_helper
from torch import Tensor, nn

from benchmarks.recogniser.model import Recogniser


def restored(path: Path, columns: int, size: str) -> Recogniser:
    """The network in an exported file. Raises ``ValueError`` when it is of another size."""
    stored = {
        tensor.name.removesuffix(".half"): torch.from_numpy(numpy_helper.to_array(tensor).astype(np.float32))
        for tensor in onnx.load(str(path)).graph.initializer
    }
    model = Recogniser(columns, size).eval()
    convolutions = iter([tensor for name, tensor in stored.items() if "Conv" in name])
    with torch.no_grad():
        for conv, norm in _pairs(model):
            weight, bias = next(convolutions), next(convolutions)
            if conv.weight.shape != weight.shape:
                raise ValueError(f"{path} holds a network of another size than {size}")
            conv.weight.copy_(weight)
            _undone(norm, bias, torch.zeros_like(bias), torch.ones_like(bias))
        _recurrent(model.along, [tensor for name, tensor in stored.items() if "GRU" in name])
        model.to_characters.weight.copy_(next(t for n, t in stored.items() if "MatMul" in n).T)
        model.to_characters.bias.copy_(stored["model.to_characters.bias"])
        model.to_form.weight.copy_(stored["model.to_form.weight"])
        model.to_form.bias.copy_(stored["model.to_form.bias"])
    return model


def _pairs(model: Recogniser) -> list[tuple[nn.Conv2d, nn.BatchNorm2d]]:
    """Each convolution with the norm after it, in the order in which they are used."""
    convolutions = [each for each in model.modules() if isinstance(each, nn.Conv2d)]
    norms = [each for each in model.modules() if isinstance(each, nn.BatchNorm2d)]
    return list(zip(convolutions, norms, strict=True))


def _undone(norm: nn.BatchNorm2d, bias: Tensor, mean: Tensor, variance: Tensor) -> None:
    """A norm that only adds ``bias``."""
    norm.running_mean, norm.running_var = mean.clone(), variance.clone()
    norm.weight.copy_((variance + norm.eps).sqrt())
    norm.bias.copy_(bias + mean)


def _recurrent(along: nn.GRU, stored: list[Tensor]) -> None:
    """ONNX keeps the gates in the order update, reset, new; PyTorch in the order reset, update, new."""
    biases, inward, onward = stored
    for way, suffix in enumerate(("", "_reverse")):
        both = biases[way].chunk(2)
        for name, tensor in (("weight_ih", inward[way]), ("weight_hh", onward[way]), ("bias_ih", both[0]),
                             ("bias_hh", both[1])):  # fmt: skip
            update, reset, new = tensor.chunk(3)
            getattr(along, f"{name}_l0{suffix}").copy_(torch.cat([reset, update, new]))


@torch.no_grad()
def measured(model: Recogniser, batches: Iterable[Tensor]) -> None:
    """Give every norm the mean and spread of what comes to it, in one pass; what the network says stays the same."""
    sums: dict[nn.Module, list[Tensor]] = {}

    def note(conv: nn.Module, _: object, out: Tensor) -> None:
        seen = torch.stack([out.double().mean(dim=(0, 2, 3)), out.double().square().mean(dim=(0, 2, 3))])
        sums.setdefault(conv, []).append(seen)

    pairs = _pairs(model)
    hooks = [conv.register_forward_hook(note) for conv, _ in pairs]
    model.eval()
    for planes in batches:
        model(planes)
    for hook in hooks:
        hook.remove()
    for conv, norm in pairs:
        mean, square = torch.stack(sums[conv]).mean(dim=0)
        _undone(norm, norm.bias - norm.running_mean, mean.float(), (square - mean.square()).clamp(min=1e-6).float())
