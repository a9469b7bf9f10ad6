"""A small ONNX file made by hand: a network whose maps are likeliest where the picture has a joint's colour.

Written from the public description of the format (onnx.proto3, operator set 13), so that no package is needed: what
is told here is checked by onnxruntime, which refuses a file that it does not understand.
"""

import numpy as np

SHARP = 160.0  # log-odds for each squared distance of colour, 0 to 1


def _varint(value: int) -> bytes:
    out = b""
    while value > 0x7F:
        out, value = out + bytes([value & 0x7F | 0x80]), value >> 7
    return out + bytes([value])


def _field(number: int, value) -> bytes:
    if isinstance(value, int):
        return _varint(number << 3) + _varint(value)
    value = value.encode() if isinstance(value, str) else value
    return _varint(number << 3 | 2) + _varint(len(value)) + value


def _tensor(name: str, array: np.ndarray) -> bytes:
    dims = b"".join(_field(1, int(n)) for n in array.shape)
    return dims + _field(2, 1) + _field(8, name) + _field(9, array.astype("<f4").tobytes())


def _value(name: str, dims: tuple) -> bytes:
    shape = b"".join(_field(1, _field(2, d) if isinstance(d, str) else _field(1, d)) for d in dims)
    return _field(1, name) + _field(2, _field(1, _field(1, 1) + _field(2, shape)))


def _node(kind: str, inputs: list[str], output: str, **ints) -> bytes:
    out = b"".join(_field(1, one) for one in inputs) + _field(2, output) + _field(4, kind)
    for name, value in ints.items():
        many = isinstance(value, list)
        told = b"".join(_field(8, v) for v in value) if many else _field(3, value)
        out += _field(5, _field(1, name) + told + _field(20, 7 if many else 2))
    return out


def network_of(middles: list, joints: list, *, sharp: float = SHARP, **told: str) -> bytes:
    """A network whose maps are likeliest where the picture has these colours, (r, g, b) of 255 each."""
    tensors, nodes = [], [_node("Mul", ["image", "image"], "squared")]
    nodes.append(_node("Concat", ["image", "squared"], "six", axis=1))
    for name, colours in (("middles", middles), ("joints", joints)):
        c = np.array(colours, float) / 255
        # minus the squared distance: 2 c·x - x·x - c·c, each pixel by itself
        weights = np.concatenate([2 * c, -np.ones_like(c)], axis=1)[:, :, None, None] * sharp
        tensors += [
            _tensor(f"w_{name}", weights),
            _tensor(f"b_{name}", -(c**2).sum(axis=1) * sharp),
        ]
        nodes.append(_node("Conv", ["six", f"w_{name}", f"b_{name}"], f"fine_{name}"))
        nodes.append(_node("AveragePool", [f"fine_{name}"], name, kernel_shape=[4, 4], strides=[4, 4]))
    nodes += [_node("GlobalMaxPool", ["joints"], "most"), _node("Flatten", ["most"], "seen", axis=1)]
    graph = b"".join(_field(1, node) for node in nodes) + _field(2, "discs")
    graph += b"".join(_field(5, tensor) for tensor in tensors)
    graph += _field(11, _value("image", ("N", 3, 192, 192)))
    shapes = {
        "middles": ("N", len(middles), 48, 48),
        "joints": ("N", len(joints), 48, 48),
        "seen": ("N", len(joints)),
    }
    graph += b"".join(_field(12, _value(name, dims)) for name, dims in shapes.items())
    model = _field(1, 8) + _field(7, graph) + _field(8, _field(1, "") + _field(2, 13))
    return model + b"".join(_field(14, _field(1, key) + _field(2, value)) for key, value in told.items())
