r"""Writes a trained network as Kaldi's binary ``final.mdl``, the form that vosk loads fastest.

A file is the mark ``\0B``, the transition model, the nnet3 network, its context and no priors.
Batch normalisation and the input's mean and deviation are folded into the affine layers, so that
the network is made of affine, rectified linear, no-op (sum) and log-softmax components alone.
Weights are stored in 16 bits.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import torch

from models.train.features import BANDS
from models.train.network import CARRIED, FIRST, STEPS
from models.train.phones import BLANK, OUTPUTS, PHONES, POSITIONS, SILENCE_PHONE

WIDE = 65535  # steps of a stored weight
NORM_EPSILON = 1e-5  # PyTorch's default in BatchNorm1d
# Transition probabilities of the topology. They take no part in decoding, because the graph carries
# its own weights; Kaldi only wants them to sum to one.
SILENCE_STATES: tuple[tuple[int, tuple[tuple[int, float], ...]], ...] = (
    (0, ((0, 0.5), (1, 0.5))),
    (-1, ()),
)
PHONE_STATES: tuple[tuple[int, tuple[tuple[int, float], ...]], ...] = (
    (0, ((0, 0.4), (1, 0.3), (2, 0.3))),
    (1, ((1, 0.5), (2, 0.5))),
    (-1, ()),
)


@dataclass(frozen=True, slots=True)
class Layer:
    """One component: ``kind`` is affine, relu, sum or log_softmax; ``reads`` is nnet3's wording."""

    name: str
    kind: str
    reads: str
    dim: int
    weight: np.ndarray | None = None
    bias: np.ndarray | None = None


def layers_of(state: Mapping[str, torch.Tensor], blank_cost: float = 0.0) -> list[Layer]:
    """The components of a network's state; ``blank_cost`` is taken off the blank's logit."""
    s = {name: value.double() for name, value in state.items() if value.is_floating_point()}

    def normed(
        weight: torch.Tensor, bias: torch.Tensor, norm: str
    ) -> tuple[torch.Tensor, torch.Tensor]:
        gain = s[f"{norm}.weight"] / torch.sqrt(s[f"{norm}.running_var"] + NORM_EPSILON)
        return weight * gain[:, None, None], (
            bias * gain + s[f"{norm}.bias"] - s[f"{norm}.running_mean"] * gain
        )

    def flat(weight: torch.Tensor) -> np.ndarray:
        return torch.cat([weight[:, :, tap] for tap in range(weight.shape[2])], 1).numpy()

    def append(source: str, offsets: Sequence[int]) -> str:
        parts = [source if o == 0 else f"Offset({source}, {o})" for o in offsets]
        return f"Append({', '.join(parts)})"

    weight, bias = normed(s["first.weight"], s["first.bias"], "first_norm")
    bias = bias - (weight * (s["mean"] / s["deviation"])[None, :, None]).sum((1, 2))
    weight = weight / s["deviation"][None, :, None]
    width = weight.shape[0]
    around = range(-FIRST, FIRST + 1)
    layers = [
        Layer("first.affine", "affine", append("input", around), width, flat(weight), bias.numpy()),
        Layer("first.relu", "relu", "first.affine", width),
    ]
    carried = "first.relu"
    for k, step in enumerate(STEPS):
        narrow = s[f"squeeze.{k}.weight"]
        layers.append(
            Layer(
                f"squeeze{k}.affine",
                "affine",
                append(carried, (-step, 0)),
                narrow.shape[0],
                flat(narrow),
                np.zeros(narrow.shape[0]),
            )
        )
        weight, bias = normed(s[f"spread.{k}.weight"], s[f"spread.{k}.bias"], f"norm.{k}")
        layers += [
            Layer(
                f"spread{k}.affine",
                "affine",
                append(f"squeeze{k}.affine", (0, step)),
                width,
                flat(weight),
                bias.numpy(),
            ),
            Layer(f"spread{k}.relu", "relu", f"spread{k}.affine", width),
            Layer(f"block{k}", "sum", f"Sum(Scale({CARRIED}, {carried}), spread{k}.relu)", width),
        ]
        carried = f"block{k}"
    bias = s["out.bias"].clone()
    bias[BLANK] -= blank_cost
    return [
        *layers,
        Layer("out.affine", "affine", carried, OUTPUTS, s["out.weight"].numpy(), bias.numpy()),
        Layer("out.log", "log_softmax", "out.affine", OUTPUTS),
    ]


def final_mdl(layers: Sequence[Layer], context: int) -> bytes:
    """The whole binary file; ``context`` is the frames seen on each side."""
    return b"".join(
        (
            b"\0B",
            _transition_model(),
            _network(layers),
            _token("<LeftContext>"),
            _int(context),
            _token("<RightContext>"),
            _int(context),
            _token("<Priors>"),
            _vector([]),
        )
    )


def _transition_model() -> bytes:
    phones = range(1, 2 + len(PHONES) * len(POSITIONS))
    entry_of_phone = [-1, 0] + [1] * (len(phones) - 1)
    triples = [(SILENCE_PHONE, 0, BLANK)]  # phone, state, output
    probabilities = [p for _, moves in SILENCE_STATES for _, p in moves]
    for phone in phones[1:]:
        output = 1 + (phone - 2) // len(POSITIONS)
        triples += [(phone, 0, output), (phone, 1, BLANK)]
        probabilities += [p for _, moves in PHONE_STATES for _, p in moves]
    parts = [_token("<TransitionModel>"), _token("<Topology>")]
    parts += [_ints(phones), _ints(entry_of_phone), _int(2)]
    for states in (SILENCE_STATES, PHONE_STATES):
        parts.append(_int(len(states)))
        for pdf_class, moves in states:
            parts += [_int(pdf_class), _int(len(moves))]
            parts += [_int(to) + _float(p) for to, p in moves]
    parts += [_token("</Topology>"), _token("<Triples>"), _int(len(triples))]
    parts += [_int(number) for triple in triples for number in triple]
    parts += [_token("</Triples>"), _token("<LogProbs>")]
    parts += [_vector([0.0, *np.log(probabilities)]), _token("</LogProbs>")]
    return b"".join([*parts, _token("</TransitionModel>")])


def _network(layers: Sequence[Layer]) -> bytes:
    lines = [f"input-node name=input dim={BANDS}"]
    lines += [f"component-node name={c.name} component={c.name} input={c.reads}" for c in layers]
    lines.append(f"output-node name=output input={layers[-1].name} objective=linear")
    # Kaldi expects a line break after the token, and an empty line after the last node.
    parts = [_token("<Nnet3>"), b"\n", ("\n".join(lines) + "\n\n").encode()]
    parts += [_token("<NumComponents>"), _int(len(layers))]
    for layer in layers:
        parts += [_token("<ComponentName>"), _token(layer.name), _component(layer)]
    return b"".join([*parts, _token("</Nnet3>")])


def _component(layer: Layer) -> bytes:
    if layer.kind == "affine":
        assert layer.weight is not None and layer.bias is not None
        return b"".join(
            (
                _token("<AffineComponent>"),
                _token("<LearningRate>"),
                _float(0.001),
                _token("<LinearParams>"),
                _matrix(layer.weight),
                _token("<BiasParams>"),
                _vector(layer.bias),
                _token("<IsGradient>"),
                b"F",
                _token("</AffineComponent>"),
            )
        )
    if layer.kind == "sum":
        body = _token("<Dim>") + _int(layer.dim) + _token("<BackpropScale>") + _float(1)
        return _token("<NoOpComponent>") + body + _token("</NoOpComponent>")
    name = {"relu": "RectifiedLinearComponent", "log_softmax": "LogSoftmaxComponent"}[layer.kind]
    return b"".join(
        (
            _token(f"<{name}>"),
            _token("<Dim>") + _int(layer.dim),
            _token("<ValueAvg>") + _vector([]),
            _token("<DerivAvg>") + _vector([]),
            _token("<Count>") + _float(0),
            _token("<OderivRms>") + _vector([]),
            _token("<OderivCount>") + _float(0),
            _token("<NumDimsSelfRepaired>") + _float(0),
            _token("<NumDimsProcessed>") + _float(0),
            _token(f"</{name}>"),
        )
    )


def _token(text: str) -> bytes:
    return text.encode() + b" "


def _int(value: int) -> bytes:
    return b"\4" + struct.pack("<i", value)


def _float(value: float) -> bytes:
    return b"\4" + struct.pack("<f", value)


def _ints(values: Sequence[int]) -> bytes:
    return _int(len(values)) + np.asarray(values, "<i4").tobytes()


def _matrix(values: np.ndarray) -> bytes:
    """Kaldi's compressed form of 16 bits: the least value, the span, the size, whole steps."""
    rows, columns = values.shape
    low = float(np.float32(values.min()))
    span = max(float(np.float32(values.max() - low)), 1e-30)
    steps = np.clip(np.rint((values - low) / span * WIDE), 0, WIDE).astype("<u2")
    return _token("CM2") + struct.pack("<ffii", low, span, rows, columns) + steps.tobytes()


def _vector(values: Sequence[float] | np.ndarray) -> bytes:
    return _token("FV") + _int(len(values)) + np.asarray(values, "<f4").tobytes()
