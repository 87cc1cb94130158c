"""The shipped acoustic model, its recipe's seams, and vosk's own reading of both."""

import json
import math
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MODEL = ROOT / "models/shop-english"


def test_shipped_model_is_binary_and_within_fourteen_megabytes() -> None:
    content = (MODEL / "am/final.mdl").read_bytes()
    assert content[:2] == b"\0B"
    assert len(content) <= 14_000_000


def test_phone_list_numbers_each_phone_at_four_places_after_silence() -> None:
    rows = [line.split() for line in (MODEL / "phones.txt").read_text().splitlines()]
    numbers = {name: int(number) for name, number in rows}
    card = json.loads((MODEL / "model.json").read_text())
    assert len(card["phones"]) == 39  # the CMU dictionary's phones without stress
    assert numbers["SIL"] == 1
    for at, phone in enumerate(card["phones"]):
        assert [numbers[f"{phone}_{place}"] for place in "BIES"] == [
            2 + 4 * at + k for k in range(4)
        ]


def test_word_boundaries_name_every_phone() -> None:
    rows = [line.split() for line in (MODEL / "word_boundary.int").read_text().splitlines()]
    assert [int(number) for number, _ in rows] == list(range(1, 158))
    assert rows[0][1] == "nonword"
    assert [kind for _, kind in rows[1:5]] == ["begin", "internal", "end", "singleton"]


def test_pronunciation_in_the_voices_symbols_becomes_cmu_phones() -> None:
    from models.train.phones import cmu_from_ipa

    # The CMU Pronouncing Dictionary's own entries, without stress.
    assert cmu_from_ipa("kwˈɔɹTəɹ") == ["K", "W", "AO", "R", "T", "ER"]
    assert cmu_from_ipa("plˈAt") == ["P", "L", "EY", "T"]
    assert cmu_from_ipa("ɡˈAʤ") == ["G", "EY", "JH"]
    assert cmu_from_ipa("ʁ") is None


def test_words_that_dictionaries_lack_are_said_as_the_grammar_says() -> None:
    from models.train.phones import PHONES, cmu_from_ipa, ipa_from_cmu
    from models.train.sentences import grammar_rules
    from models.train.words import grammar_pronunciations

    for phone in PHONES:
        assert cmu_from_ipa(ipa_from_cmu([phone])) == [phone]
    ours = grammar_pronunciations()
    assert ours["fitter's"] == ["F", "IH", "T", "ER", "Z"]  # words.yaml alone has it
    assert "lbs" not in ours  # typed, never spoken
    assert set(grammar_rules()["attention"].split()) <= set(ours)


def test_batches_are_used_again_and_none_is_lost() -> None:
    pytest.importorskip("torch")
    from collections import Counter

    from models.train.train import taken

    class Told:
        made = 0

        def take(self, rows: int) -> int:
            self.made += 1
            return rows

    for uses in (1, 2, 3):
        batcher = Told()
        came = list(taken(batcher, iter(range(20)), uses, 4))  # type: ignore[arg-type]
        assert Counter(came) == Counter({rows: uses for rows in range(20)})
        assert batcher.made == 20


def test_grammar_notation_is_sampled_with_options_and_alternatives() -> None:
    from random import Random

    from models.train.sentences import Sampler

    sampler = Sampler({"top": "cut [the] (<what> | /0.5/ bar{shape=bar})", "what": "plate"}, "top")
    drawn = {" ".join(sampler.draw(Random(seed))) for seed in range(80)}
    assert drawn == {"cut plate", "cut the plate", "cut bar", "cut the bar"}


def test_mel_bands_match_kaldis_formula() -> None:
    torch = pytest.importorskip("torch")
    from models.train.features import HIGH_HZ, LOW_HZ, mel, mel_bank

    bank = mel_bank()
    assert bank.shape == (257, 40)
    # Kaldi's mel scale: 1127 ln(1 + f / 700); 1000 Hz is near 1000 mel.
    assert float(mel(1000)) == pytest.approx(1127 * math.log(1 + 1000 / 700))
    step = (float(mel(HIGH_HZ)) - float(mel(LOW_HZ))) / 41
    centre_hz = 700 * (math.exp((float(mel(LOW_HZ)) + 20 * step) / 1127) - 1)
    assert abs(int(bank[:, 19].argmax()) * 16000 / 512 - centre_hz) <= 16000 / 512
    assert torch.all(bank >= 0)


def test_sum_over_all_phone_strings_matches_plain_summing_and_its_gradient() -> None:
    torch = pytest.importorskip("torch")
    from models.train.losses import all_strings, phone_bigram, transitions

    torch.manual_seed(0)
    bigram = phone_bigram(torch.randint(1, 40, (500,)), torch.full((50,), 10))
    assert torch.allclose(bigram.sum(1), torch.ones(40), atol=1e-5)
    moves, outputs = transitions(bigram)
    log_probs = torch.log_softmax(torch.randn(5, 2, 40) * 2, -1).double().requires_grad_(True)
    alpha = torch.zeros(2, 79, dtype=torch.double)
    alpha[:, 0] = 1
    for frame in log_probs:
        alpha = (alpha @ moves.double()) * frame.exp()[:, outputs]
    plain = alpha.sum(1).log()
    plain.sum().backward()
    ours = log_probs.detach().float().requires_grad_(True)
    total = all_strings(ours, torch.tensor([5, 5]), moves, outputs)
    total.sum().backward()
    assert torch.allclose(total.double(), plain, atol=1e-4)
    assert log_probs.grad is not None and ours.grad is not None
    assert torch.allclose(ours.grad.double(), log_probs.grad, atol=1e-5)


def test_vosk_scores_the_only_path_as_the_network_does(tmp_path: Path) -> None:
    """One path: a word's frames, blanks and silences, scored by vosk and by a search of our own."""
    torch = pytest.importorskip("torch")
    vosk = pytest.importorskip("vosk")  # before kaldifst: the other way round it never returns
    import numpy as np

    from models.train.export import export
    from models.train.features import log_mel, mel_bank
    from models.train.graph import WordNetwork, compile_graph
    from models.train.network import Network
    from models.train.phones import OUTPUT

    torch.manual_seed(3)
    network = Network()
    network.mean.fill_(12.0)
    network.deviation.fill_(4.0)
    network.train()
    for _ in range(2):
        network(torch.randn(4, 200, 40) * 4 + 12)
    network.eval()
    export(network.state_dict(), tmp_path / "model")
    words = WordNetwork(2, ((0, 1, "cut", 0.25),), 0, 1)
    lexicon = {"cut": [(("K", "AH", "T"), 0.0)]}
    compile_graph(words, lexicon, tmp_path / "model", tmp_path / "graph")
    samples = (np.random.default_rng(0).standard_normal(16000) * 2000).astype("<i2")
    vosk.SetLogLevel(-2)
    recogniser = vosk.KaldiRecognizer(vosk.Model(str(tmp_path / "graph")), 16000)
    recogniser.SetMaxAlternatives(1)
    recogniser.AcceptWaveform(samples.tobytes())
    best = json.loads(recogniser.FinalResult())["alternatives"][0]
    features = log_mel(torch.tensor(samples.astype("f4"))[None], mel_bank())
    with torch.no_grad():
        scores = torch.log_softmax(network(features), -1)[0].double().numpy()
    outputs = [0]
    for phone in ("K", "AH", "T"):
        outputs += [OUTPUT[phone], 0]
    reached = np.full(len(outputs), -np.inf)
    reached[:2] = scores[0, outputs[:2]]
    for frame in scores[1:]:
        stepped = np.maximum(reached, np.concatenate([[-np.inf], reached[:-1]]))
        for at in range(3, len(outputs), 2):  # from phone to phone without a blank
            stepped[at] = max(stepped[at], reached[at - 2])
        reached = stepped + frame[outputs]
    assert best["text"] == "cut"
    # vosk reports the graph's costs at nine tenths. float32 sums; features agree to 4e-5.
    expected = max(reached[-2:]) - 0.9 * 0.25
    assert best["confidence"] == pytest.approx(expected, abs=2e-3)
