"""Turns a checkpoint into ``models/shop-english/``: model, options, phone list and ``model.json``.

python -m models.train.export CHECKPOINT [--to FOLDER] [--blank-cost X] [--filler-cost X]
python -m models.train.export CHECKPOINT --blend EARLIER --share 0.5 [--to FOLDER]

The second writes weights that lie between two checkpoints, of which one was trained on from the
other: what the earlier one knew well is kept beside what the later one has learned.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import torch

from models.train.features import FBANK_CONF, SAMPLE_RATE
from models.train.kaldi_model import final_mdl, layers_of
from models.train.network import CONTEXT, SUBSAMPLING
from models.train.phones import BLANK, PHONES, POSITIONS, SILENCE_PHONE

HOME = Path(__file__).resolve().parents[1] / "shop-english"
FILLER_COST = 1.5
WORD_PENALTY = 0.0

# A network of this size runs in a third less time over 42 frames at once than over vosk's own 20,
# and the words still come as soon as the sound is said to be over. phone-determinize is off because
# the filler loop would make the lattices explode.
MODEL_CONF = f"""--min-active=200
--max-active=3000
--beam=12.0
--lattice-beam=8.0
--acoustic-scale=1.0
--frame-subsampling-factor={SUBSAMPLING}
--frames-per-chunk=42
--endpoint.silence-phones={SILENCE_PHONE}
--endpoint.rule2.min-trailing-silence=0.5
--endpoint.rule3.min-trailing-silence=0.75
--endpoint.rule4.min-trailing-silence=1.0
--phone-determinize=false
"""
PLACES = {"B": "begin", "I": "internal", "E": "end", "S": "singleton"}


def export(
    state: dict[str, torch.Tensor],
    to: Path,
    blank_cost: float = 0.0,
    filler_cost: float = FILLER_COST,
) -> None:
    """Write everything but a graph; ``graph.py`` adds that for a word network."""
    for folder in ("am", "conf"):
        (to / folder).mkdir(parents=True, exist_ok=True)
    # Graph folders may hold hard links to the old file: they must not change with it.
    (to / "am/final.mdl").unlink(missing_ok=True)
    (to / "am/final.mdl").write_bytes(final_mdl(layers_of(state, blank_cost), CONTEXT))
    (to / "conf/fbank.conf").write_text(FBANK_CONF)
    (to / "conf/model.conf").write_text(MODEL_CONF)
    names = ["<eps> 0", f"SIL {SILENCE_PHONE}"]
    names += [
        f"{phone}_{place} {2 + 4 * k + at}"
        for k, phone in enumerate(PHONES)
        for at, place in enumerate(POSITIONS)
    ]
    (to / "phones.txt").write_text("\n".join(names) + "\n")
    boundaries = [f"{SILENCE_PHONE} nonword"]
    boundaries += [
        f"{2 + 4 * k + at} {PLACES[place]}"
        for k in range(len(PHONES))
        for at, place in enumerate(POSITIONS)
    ]
    (to / "word_boundary.int").write_text("\n".join(boundaries) + "\n")
    card = {
        "sample_rate_hz": SAMPLE_RATE,
        "frame_s": 0.03,
        "frame_subsampling": SUBSAMPLING,
        "context_frames": CONTEXT,
        "phones": PHONES,
        "positions": list(POSITIONS),
        "silence_phone": SILENCE_PHONE,
        "blank_output": BLANK,
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
        "word_penalty": WORD_PENALTY,
    }
    # How sure to be is chosen on development speech after an export: choose anew for a new model.
    kept = json.loads((to / "model.json").read_text()) if (to / "model.json").is_file() else {}
    card |= {"sureness": kept["sureness"]} if "sureness" in kept else {}
    for name in ("start_cost", "cost_per_word"):
        if name in kept.get("filler", {}):
            card["filler"][name] = kept["filler"][name]
    (to / "model.json").write_text(json.dumps(card, indent=2) + "\n")


def blended(
    later: dict[str, torch.Tensor], earlier: dict[str, torch.Tensor], share: float
) -> dict[str, torch.Tensor]:
    """Weights ``share`` of the way from the earlier checkpoint to the later one."""
    return {
        name: torch.lerp(earlier[name].float(), value.float(), share)
        if value.is_floating_point()
        else value
        for name, value in later.items()
    }


def main() -> None:
    """Export one checkpoint."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("checkpoint", type=Path)
    parser.add_argument("--to", type=Path, default=HOME)
    parser.add_argument("--blend", type=Path, help="an earlier checkpoint to lie between")
    parser.add_argument("--share", type=float, default=0.5, help="of the way from it to this one")
    parser.add_argument("--blank-cost", type=float, default=0.0)
    parser.add_argument("--filler-cost", type=float, default=FILLER_COST)
    options = parser.parse_args()
    state = torch.load(options.checkpoint, map_location="cpu", weights_only=True)
    if options.blend:
        earlier = torch.load(options.blend, map_location="cpu", weights_only=True)
        state = blended(state, earlier, options.share)
    export(state, options.to, options.blank_cost, options.filler_cost)


if __name__ == "__main__":
    main()
