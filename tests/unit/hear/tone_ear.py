"""A made-up ear for tests: each phone is a tone, and the model hears exactly that.

One layer from 40 mel bands to 40 outputs: phone `k` is loud in band `k`, and the blank is what
remains when no band is loud. So tests of graph and recogniser need no trained model, no voice and
no luck, and pass through the same library, files and transition ids as the real one.
"""

import json
import math
import random
import struct
from array import array
from collections.abc import Iterable, Sequence
from pathlib import Path

SET = (
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W "
    "Y Z ZH"
)
PHONES = SET.split()
PLACES = "BIES"
BANDS = 40
RATE = 16_000
LOW_HZ, HIGH_HZ = 20.0, 7600.0
GAIN = 6.0  # of a band's log energy
QUIET = 18.0  # log energy that parts tones (about 27) from a quiet room (about 8)


def write_tone_ear(folder: Path, filler_cost: float = 30.0, **card: object) -> Path:
    """A complete model folder."""
    for name in ("am", "conf"):
        (folder / name).mkdir(parents=True)
    (folder / "am/final.mdl").write_bytes(_final_mdl())
    (folder / "conf/fbank.conf").write_text(
        f"--sample-frequency={RATE}\n--num-mel-bins={BANDS}\n--low-freq={LOW_HZ:.0f}\n"
        f"--high-freq={HIGH_HZ:.0f}\n--use-energy=false\n--dither=0\n"
    )
    (folder / "conf/model.conf").write_text(
        "--min-active=200\n--max-active=3000\n--beam=200.0\n--lattice-beam=60.0\n"
        "--acoustic-scale=1.0\n--frame-subsampling-factor=3\n--endpoint.silence-phones=1\n"
        "--phone-determinize=false\n"
    )
    placed = [f"{phone}_{place}" for phone in PHONES for place in PLACES]
    names = ["<eps> 0", "SIL 1", *(f"{name} {at}" for at, name in enumerate(placed, start=2))]
    (folder / "phones.txt").write_text("\n".join(names) + "\n")
    kinds = {"B": "begin", "I": "internal", "E": "end", "S": "singleton"}
    bounds = [f"{at} {kinds[name[-1]]}" for at, name in enumerate(placed, start=2)]
    (folder / "word_boundary.int").write_text("\n".join(["1 nonword", *bounds]) + "\n")
    about = {
        "phones": PHONES,
        "positions": list(PLACES),
        "silence_transition_ids": {"enter": 2, "loop": 1},
        "phone_transition_ids": {
            "first": 3,
            "each": 5,
            "loop": 0,
            "enter_then_blank": 1,
            "enter_and_leave": 2,
            "blank_loop": 3,
            "blank": 4,
        },
        "filler": {"word": "[unk]", "cost_per_phone": filler_cost},
        "word_penalty": 0.0,
        "hesitation_cost": 20.0,
    }
    (folder / "model.json").write_text(json.dumps(about | card))
    return folder


def tones(phones: Iterable[Sequence[str]], phone_ms: int = 90, gap_ms: int = 90) -> bytes:
    """Words of phones as 16-bit samples, in a quiet room, with a gap after each phone and word."""
    quiet = random.Random(3)
    samples = array("h")

    def room(ms: int) -> None:
        samples.extend(round(quiet.gauss(0, 3)) for _ in range(RATE * ms // 1000))

    room(300)
    for word in phones:
        for phone in word:
            step = 2 * math.pi * _centre_hz(PHONES.index(phone) + 1) / RATE
            samples.extend(round(8000 * math.sin(step * t)) for t in range(RATE * phone_ms // 1000))
            room(gap_ms)
        room(gap_ms)
    room(300)
    return samples.tobytes()


def _centre_hz(band: int) -> float:
    low, high = (1127 * math.log(1 + hz / 700) for hz in (LOW_HZ, HIGH_HZ))
    return 700 * (math.exp((low + (high - low) * (band + 1) / (BANDS + 1)) / 1127) - 1)


def _final_mdl() -> bytes:
    """Kaldi's binary form: transition model, network, its context, no priors."""
    phones = list(range(1, 2 + len(PLACES) * len(PHONES)))
    parts: list[bytes] = [b"\0B", _token("<TransitionModel>"), _token("<Topology>")]
    parts += [_ints(phones), _ints([-1, 0] + [1] * (len(phones) - 1)), _int(2)]
    parts += [_int(2), _int(0), _int(2), _int(0), _float(0.5), _int(1), _float(0.5)]
    parts += [_int(-1), _int(0), _int(3), _int(0), _int(3)]
    parts += [_int(0), _float(0.4), _int(1), _float(0.3), _int(2), _float(0.3)]
    parts += [_int(1), _int(2), _int(1), _float(0.5), _int(2), _float(0.5), _int(-1), _int(0)]
    triples = [(1, 0, 0)]
    chances = [0.5, 0.5]
    for phone in phones[1:]:
        triples += [(phone, 0, 1 + (phone - 2) // len(PLACES)), (phone, 1, 0)]
        chances += [0.4, 0.3, 0.3, 0.5, 0.5]
    parts += [_token("</Topology>"), _token("<Triples>"), _int(len(triples))]
    parts += [_int(value) for triple in triples for value in triple]
    parts += [_token("</Triples>"), _token("<LogProbs>")]
    parts += [_floats([0.0, *map(math.log, chances)]), _token("</LogProbs>")]
    parts += [_token("</TransitionModel>"), _token("<Nnet3>"), b"\n"]
    lines = (
        f"input-node name=input dim={BANDS}",
        "component-node name=ear component=ear input=input",
        "component-node name=log component=log input=ear",
        "output-node name=output input=log objective=linear",
    )
    parts += ["\n".join([*lines, "", ""]).encode(), _token("<NumComponents>"), _int(2)]
    weights = [
        GAIN if band == output and output else 0.0 for output in range(BANDS) for band in range(40)
    ]
    parts += [_token("<ComponentName>"), _token("ear"), _token("<AffineComponent>")]
    parts += [_token("<LearningRate>"), _float(0.001), _token("<LinearParams>")]
    parts += [_token("FM"), _int(BANDS), _int(BANDS), struct.pack(f"<{len(weights)}f", *weights)]
    parts += [_token("<BiasParams>"), _floats([GAIN * QUIET] + [0.0] * (BANDS - 1))]
    parts += [_token("<IsGradient>"), b"F", _token("</AffineComponent>")]
    parts += [_token("<ComponentName>"), _token("log"), _token("<LogSoftmaxComponent>")]
    parts += [_token("<Dim>"), _int(BANDS), _token("<ValueAvg>"), _floats([])]
    parts += [_token("<DerivAvg>"), _floats([]), _token("<Count>"), _float(0)]
    parts += [_token("<OderivRms>"), _floats([]), _token("<OderivCount>"), _float(0)]
    parts += [_token("<NumDimsSelfRepaired>"), _float(0), _token("<NumDimsProcessed>"), _float(0)]
    parts += [_token("</LogSoftmaxComponent>"), _token("</Nnet3>")]
    parts += [_token("<LeftContext>"), _int(0), _token("<RightContext>"), _int(0)]
    return b"".join([*parts, _token("<Priors>"), _floats([])])


def _token(text: str) -> bytes:
    return text.encode() + b" "


def _int(value: int) -> bytes:
    return b"\4" + struct.pack("<i", value)


def _float(value: float) -> bytes:
    return b"\4" + struct.pack("<f", value)


def _ints(values: Sequence[int]) -> bytes:
    return _int(len(values)) + struct.pack(f"<{len(values)}i", *values)


def _floats(values: Sequence[float]) -> bytes:
    return _token("FV") + _int(len(values)) + struct.pack(f"<{len(values)}f", *values)
