"""Our own network on the processor: maps of likelihood out of a square picture of a body at any angle."""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftbook.film.own.card import Maps, card_of, strange

FILE = Path(__file__).parent / "folded.onnx"


class Network:
    """Our own network, run by onnxruntime on the processor.

    Raises
        ClipError when the bytes are no network of this kind
    """

    def __init__(self, content: bytes, *, threads: int = 2) -> None:
        import onnxruntime

        onnxruntime.set_default_logger_severity(4)  # its own words are for programmers
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads, options.inter_op_num_threads = threads, 1
        # threads that wait by turning round heat a laptop for nothing
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        try:
            self._runner = onnxruntime.InferenceSession(content, options, providers=["CPUExecutionProvider"])
        except Exception as trouble:  # onnxruntime raises classes of its own, which it does not hand out
            raise strange(type(trouble).__name__) from None
        outputs = {one.name for one in self._runner.get_outputs()}
        if not {"middles", "joints", "seen"} <= outputs:
            raise strange(f"outputs {', '.join(sorted(outputs))}")
        self.card = card_of(
            self._runner.get_modelmeta().custom_metadata_map, sha256(content).hexdigest()[:12]
        )

    def read(self, squares: NDArray[np.float32]) -> Maps:
        """The maps of some squares, (N, 192, 192, 3) from 0 to 1."""
        shown = np.ascontiguousarray(np.moveaxis(squares, -1, 1), dtype=np.float32)
        return Maps(*self._runner.run(["middles", "joints", "seen"], {"image": shown}))


@lru_cache(maxsize=1)
def network() -> Network | None:
    """The network beside the program, loaded once; None where there is none."""
    try:
        content = FILE.read_bytes()
    except OSError:
        return None
    return Network(content)
