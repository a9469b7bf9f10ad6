"""Writes the weights that the product reads: one ONNX file, its numbers stored in half precision, its story inside.

`python -m training.weights_file --from CHECKPOINT --to FILE --version 1 --commit HASH --date DAY`; then the file is run
beside the network in torch and the middles must agree within a sixteenth of a cell where the confidence is over 0.5.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import TensorProto, helper, numpy_helper

from training import scenes
from training.drawing import Painter
from training.network import MIDDLES, Folded, confidence, decoded
from training.poses import BETWEEN, HOLDS, KINDS

AGREE = 0.25  # px of the picture, of the middles of file and torch: a sixteenth of a cell


def exported(net: Folded, to: Path) -> onnx.ModelProto:
    """The network as a graph with any number of pictures."""
    torch.onnx.export(
        net, (torch.rand(2, 3, 192, 192),), str(to), input_names=["image"], output_names=["middles", "joints", "seen"],
        dynamic_axes={k: {0: "n"} for k in ("image", "middles", "joints", "seen")}, opset_version=17, dynamo=False,
    )  # fmt: skip
    return onnx.load(str(to))


def halved(model: onnx.ModelProto) -> onnx.ModelProto:
    """The same graph with its large arrays stored in half precision and widened when it is read."""
    kept, casts = [], []
    for array in model.graph.initializer:
        if array.data_type != TensorProto.FLOAT or np.prod(array.dims) < 64:
            kept.append(array)
            continue
        kept.append(
            numpy_helper.from_array(numpy_helper.to_array(array).astype(np.float16), array.name + ".half")
        )
        casts.append(helper.make_node("Cast", [array.name + ".half"], [array.name], to=TensorProto.FLOAT))
    del model.graph.initializer[:]
    model.graph.initializer.extend(kept)
    nodes = [*casts, *model.graph.node]
    del model.graph.node[:]
    model.graph.node.extend(nodes)
    return model


def story(told: argparse.Namespace, names: list[str]) -> dict[str, str]:
    """What the file says of itself."""
    state = json.loads((told.source / "state.json").read_text())
    settings = {
        "kinds of shape: share, hip, knee, trunk in degrees": KINDS, "share between two shapes": BETWEEN,
        "hands on the legs": HOLDS, "picture": scenes.PICTURE, "raster": scenes.RASTER, "things": scenes.PRIMS,
    }  # fmt: skip
    return {
        "version": told.version, "licence": "MIT OR Apache-2.0", "made": told.date, "training_commit": told.commit,
        "generator": json.dumps(settings), "seed": str(state["calls"][0]["seed"]), "steps": str(state["step"]),
        "pictures": str(sum((c["to"] - c["from"]) * c["batch"] for c in state["calls"])),
        "calls": json.dumps(state["calls"]), "data_digest": json.dumps(state["data"]),
        "bodies": "anny 0.6.2 (code Apache-2.0, body data CC0); poses by loftbook.mechanics; "
        "no photographs, no teacher",
        "middles": json.dumps(MIDDLES), "joints": json.dumps(names), "threshold": told.threshold,
        "temperature": told.temperature, "targets_reached": told.reached, "sigma_cells": "1.2",
        "input": "image: float32 (N, 3, 192, 192), RGB 0 to 1, a square about the whole body, upright as filmed; "
        "best when its side is 1.0 to 1.3 times what is seen of her and 0.55 to 1.9 times her standing height",
        "output": "middles (N, 6, 48, 48), joints (N, 23, 48, 48): log-odds, a spatial softmax gives likelihoods; the "
        "middle of cell (row r, column c) is at (4 c + 2, 4 r + 2) px, where pixel k reaches from k to k + 1; "
        "seen (N, 23)",
        "confidence": "likelihood within 0.35 trunk of the decoded point, least of shoulder, hip, knee and ankle",
    }  # fmt: skip


def agreement(file: Path, net: Folded, data: Path) -> float:
    """Distance of a middle between the file and torch that 99.5 % keep, px, in drawn pictures of some confidence."""
    import onnxruntime

    painter = Painter(data / "bodies.npz", 64)
    drawn, _, _ = painter.draw(
        scenes.scenes(scenes.source(data / "bodies.npz", data / "poses.npz"), 64, [8, 997, 0])
    )
    image = np.ascontiguousarray(np.moveaxis(drawn, -1, 1))
    run = onnxruntime.InferenceSession(str(file), providers=["CPUExecutionProvider"])
    theirs, likely = decoded(torch.from_numpy(run.run(["middles"], {"image": image})[0]))
    with torch.no_grad():
        ours, _ = decoded(net(torch.from_numpy(image))[0])
    # flat maps and such of two peaks are left out: there the least difference chooses between places
    sure = confidence(ours, likely) > 0.5
    apart = (theirs - ours).norm(dim=-1)[sure, :4]
    print(
        f"file and torch: median {apart.median():.4f}, 99.5 % {apart.quantile(0.995):.4f}, most {apart.max():.4f} px"
    )
    return float(apart.quantile(0.995))


def main() -> None:
    """Write the file."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--from", dest="source", type=Path, required=True)
    asked.add_argument("--to", type=Path, required=True)
    asked.add_argument("--data", type=Path, required=True)
    for name, usual in (
        ("version", "1"),
        ("commit", "unknown"),
        ("date", "unknown"),
        ("threshold", "0.8"),
        ("temperature", "1.0"),
        ("reached", "no"),
    ):
        asked.add_argument(f"--{name}", default=usual)
    told = asked.parse_args()
    net = Folded()
    mean = torch.load(told.source / "mean.pt", map_location="cpu", weights_only=True)
    net.load_state_dict({k: v.float() if v.is_floating_point() else v for k, v in mean.items()})
    net.eval()
    model = halved(exported(net, told.to))
    with np.load(told.data / "bodies.npz") as b:
        names = [str(n) for n in b["names"]]
    helper.set_model_props(model, story(told, names))
    onnx.checker.check_model(model)
    onnx.save(model, str(told.to))
    print(f"{told.to.stat().st_size} B")
    if agreement(told.to, net, told.data) > AGREE:
        raise SystemExit("the file and torch do not agree")


if __name__ == "__main__":
    main()
