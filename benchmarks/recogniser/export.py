"""A checkpoint as the file of weights that goes into the package: ONNX, numbers of 16 or of 8 bits.

    python -m benchmarks.recogniser.export OUT/best.pt FILE.onnx
    python -m benchmarks.recogniser.export FILE.onnx src/floatbowl/photo/data/recogniser.onnx --eight

The first stores weights in half precision; the second takes such a file and stores its convolutions and its recurrent
layer in 8 bits, with a scale for each row. Both are widened once when the file is loaded; sums are done in single
precision. The first needs PyTorch, both need onnx.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

from floatbowl.photo.alphabet import CHARACTERS, COLUMNS

#: Tensors with fewer numbers stay as they are; with fewer than the second, at 16 bits.
SMALL: Final = 64
LARGE: Final = 4096
#: Largest number of 8 bits.
MOST: Final = 127
HALF: Final = ".half"


def export(checkpoint: Path, target: Path) -> None:
    """A checkpoint as a file of 16 bits."""
    import torch

    from benchmarks.recogniser.model import PLANES, ROWS, Recogniser, WithLogs

    stored = torch.load(checkpoint, map_location="cpu")
    model = Recogniser(COLUMNS, stored["size"])
    model.load_state_dict(stored["model"])
    torch.onnx.export(
        WithLogs(model).eval(), (torch.zeros(1, PLANES, ROWS, 256),), str(target),
        input_names=["planes"], output_names=["log_probs", "cast"],
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
        tensor.CopyFrom(numpy_helper.from_array(values.astype(np.float16), name + HALF))
        casts.append(helper.make_node("Cast", [name + HALF], [name], to=TensorProto.FLOAT))
    _first(made, casts)


def quarter(made: onnx.ModelProto) -> None:
    """Large weights of 16 bits to 8, each row with a scale of its own."""
    widened = {node.input[0]: node for node in made.graph.node if node.op_type == "Cast"}
    nodes, scales = [], []
    for tensor in made.graph.initializer:
        if tensor.name not in widened or np.prod(tensor.dims) < LARGE:
            continue
        values = numpy_helper.to_array(tensor).astype(np.float32)
        name = tensor.name.removesuffix(HALF)
        along = tuple(range(2 if "GRU" in name else 1, values.ndim))
        scale = np.maximum(np.abs(values).max(axis=along, keepdims=True), 1e-8) / MOST
        made.graph.node.remove(widened[tensor.name])
        tensor.CopyFrom(numpy_helper.from_array(np.rint(values / scale).astype(np.int8), name + ".eight"))
        scales.append(numpy_helper.from_array(scale.astype(np.float32), name + ".scale"))
        nodes.append(helper.make_node("Cast", [name + ".eight"], [name + ".whole"], to=TensorProto.FLOAT))
        nodes.append(helper.make_node("Mul", [name + ".whole", name + ".scale"], [name]))
    made.graph.initializer.extend(scales)
    _first(made, nodes)


def _first(made: onnx.ModelProto, nodes: list[onnx.NodeProto]) -> None:
    for at, node in enumerate(nodes):
        made.graph.node.insert(at, node)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("source", type=Path)
    parser.add_argument("target", type=Path)
    parser.add_argument("--eight", action="store_true")
    args = parser.parse_args()
    if not args.eight:
        export(args.source, args.target)
        return
    made = onnx.load(str(args.source))
    quarter(made)
    onnx.save(made, str(args.target))


if __name__ == "__main__":
    main()
