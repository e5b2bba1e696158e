"""A checkpoint as the file of weights that goes into the package: ONNX, numbers of 16 bits.

    python -m benchmarks.recogniser.export OUT/best.pt src/floatbowl/photo/data/recogniser.onnx

Needs PyTorch and onnx. Weights are stored in half precision and widened once when the file is loaded; sums are done in
single precision.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import TensorProto, helper, numpy_helper
from torch import Tensor, nn

from benchmarks.recogniser.model import PLANES, ROWS, Recogniser
from floatbowl.photo.alphabet import CHARACTERS, COLUMNS

#: Tensors with fewer numbers stay as they are.
SMALL = 64


class WithLogs(nn.Module):
    """Natural logarithms of probabilities, and the probability that the mark is cast."""

    def __init__(self, model: Recogniser) -> None:
        super().__init__()
        self.model = model

    def forward(self, planes: Tensor) -> tuple[Tensor, Tensor]:
        logits, form = self.model(planes)
        return torch.log_softmax(logits, dim=2), torch.sigmoid(form)


def export(checkpoint: Path, target: Path) -> None:
    model = Recogniser(COLUMNS)
    model.load_state_dict(torch.load(checkpoint, map_location="cpu")["model"])
    whole = WithLogs(model).eval()
    example = torch.zeros(1, PLANES, ROWS, 256)
    torch.onnx.export(
        whole, (example,), str(target), input_names=["planes"], output_names=["log_probs", "cast"],
        dynamic_axes={
            "planes": {0: "lines", 3: "columns"}, "log_probs": {0: "lines", 1: "places"}, "cast": {0: "lines"},
        },
        opset_version=17, dynamo=False,
    )  # fmt: skip
    made = onnx.load(str(target))
    halve(made)
    made.metadata_props.add(key="characters", value=CHARACTERS)
    onnx.save(made, str(target))


def halve(made: onnx.ModelProto) -> None:
    """Stored weights to 16 bits, with a node that widens each."""
    casts = []
    for tensor in made.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype != np.float32 or values.size < SMALL:
            continue
        name = tensor.name
        tensor.CopyFrom(numpy_helper.from_array(values.astype(np.float16), name + ".half"))
        casts.append(helper.make_node("Cast", [name + ".half"], [name], to=TensorProto.FLOAT))
    for at, node in enumerate(casts):
        made.graph.node.insert(at, node)


if __name__ == "__main__":
    export(Path(sys.argv[1]), Path(sys.argv[2]))
