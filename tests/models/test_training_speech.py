"""What the training recipe says and hears: new speakers, classic manners, processes together."""

import os
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

np = pytest.importorskip("numpy")
ROOT = Path(__file__).resolve().parents[2]


def test_new_speakers_lie_as_far_out_as_real_voices_and_mixes_do_not(tmp_path: Path) -> None:
    from models.train.speakers import Speakers

    # Forty voices that differ in all of 256 directions, in each of the forty rows alike.
    numbers = np.random.default_rng(3)
    voices = numbers.standard_normal((40, 1, 256)).repeat(40, 1)
    names = [f"{'ab'[k % 2]}m_{k}" for k in range(40)]
    np.savez(tmp_path / "speakers.npz", names=names, styles=voices)
    speakers = Speakers(tmp_path / "speakers.npz")
    middle = voices[:, 0].mean(0)
    real = np.linalg.norm(voices[:, 0, :128] - middle[:128], axis=1).mean()

    def far_and_near(kind: str) -> tuple[float, float]:
        random, seeds = Random(5), np.random.default_rng(5)
        drawn = np.stack([speakers.draw(30, random, seeds, kind)[:128] for _ in range(200)])
        gaps = np.linalg.norm(drawn[:, None] - voices[None, :, 0, :128], axis=2).min(1)
        return float(np.linalg.norm(drawn - middle[:128], axis=1).mean()), float(gaps.mean())

    mixed, mixed_gap = far_and_near("mix")
    assert mixed < real
    for kind in ("spread", "beyond", "halves"):
        assert 0.85 * real < far_and_near(kind)[0] < 1.6 * real
    for kind in ("spread", "halves"):
        assert far_and_near(kind)[1] > mixed_gap  # nobody whom training has met
    assert far_and_near("pure")[1] == pytest.approx(0, abs=1e-6)


def test_segments_of_festival_become_the_dictionarys_phones() -> None:
    pytest.importorskip("torch")
    from models.train.festival import phones_said

    assert phones_said(["pau", "th", "er", "r", "t", "iy", "n", "pau"]) == [
        "TH",
        "ER",
        "T",
        "IY",
        "N",
    ]
    assert phones_said(["ax", "r", "aa", "dx", "el"]) == ["AH", "R", "AA", "T", "AH", "L"]


def test_what_a_voice_misreads_is_left_out() -> None:
    pytest.importorskip("torch")
    from models.train.classic_speech import well_read

    table = {"weak": {}, "table": {"plate": ["", "", "P L EY T"], "torch": ["", "", "T AO R CH"]}}
    right = ["P", "L", "EY", "T", "T", "AO", "R", "CH"]
    assert well_read(right, ["plate", "torch"], table)
    assert well_read([*right[:-1], "K"], ["plate", "torch"], table)  # one phone may differ
    assert not well_read(["P", "L", "AE", "T", "T", "AO", "R", "K"], ["plate", "torch"], table)


def test_coloured_speech_keeps_its_length_and_its_edge_is_steep() -> None:
    pytest.importorskip("torch")
    from models.train.classic_speech import coloured

    noise = np.random.default_rng(1).standard_normal(16000).astype(np.float32)
    changed = [coloured(noise, Random(seed)) for seed in range(60)]
    assert {len(sound) for sound in changed} == {16000}
    high = [float((np.abs(np.fft.rfft(sound)[6000:]) ** 2).mean()) for sound in changed]
    least = min(high) / float((np.abs(np.fft.rfft(noise)[6000:]) ** 2).mean())
    assert least < 1e-3  # some end below 6 kHz
    assert sum(sound is noise for sound in changed) > 20  # and many stay as they were


def test_processes_that_train_together_share_gradients_weights_and_time(tmp_path: Path) -> None:
    pytest.importorskip("torch")
    code = tmp_path / "both.py"
    code.write_text(
        "import sys, torch\n"
        "from models.train.together import Together, launch\n"
        "import os\n"
        "if 'RANK' not in os.environ:\n"
        "    sys.exit(launch(2, 'both'))\n"
        "together = Together()\n"
        "weight = torch.nn.Parameter(torch.full((3,), 1.0 + together.number))\n"
        "together.same([weight])\n"
        "(weight * (2 + 4 * together.number)).sum().backward()\n"
        "together.average([weight])\n"
        "print(weight.tolist(), weight.grad.tolist(), together.told(7.0 + together.number))\n"
        "together.end()\n"
    )
    places = os.pathsep.join([str(tmp_path), str(ROOT)])
    done = subprocess.run(
        [sys.executable, "-m", "both"],
        env=os.environ | {"PYTHONPATH": places, "CUDA_VISIBLE_DEVICES": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    said = [line for line in done.stdout.splitlines() if line.startswith("[")]
    assert said == ["[1.0, 1.0, 1.0] [4.0, 4.0, 4.0] 7.0"] * 2


def test_one_process_alone_needs_no_others() -> None:
    torch = pytest.importorskip("torch")
    from models.train.together import Together

    together = Together()
    weight = torch.nn.Parameter(torch.ones(2))
    (weight * 3).sum().backward()
    together.average([weight])
    together.same([weight])
    assert (together.number, together.count, together.told(0.5)) == (0, 1, 0.5)
    assert weight.grad.tolist() == [3, 3]


def test_blended_weights_lie_between_two_checkpoints() -> None:
    torch = pytest.importorskip("torch")
    from models.train.export import blended

    earlier = {"out": torch.tensor([0.0, 2.0]), "seen": torch.tensor(3)}
    later = {"out": torch.tensor([4.0, 2.0]), "seen": torch.tensor(9)}
    between = blended(later, earlier, 0.25)
    assert between["out"].tolist() == [1.0, 2.0]
    assert int(between["seen"]) == 9  # counts are the later one's
    assert blended(later, earlier, 1.0)["out"].tolist() == later["out"].tolist()
