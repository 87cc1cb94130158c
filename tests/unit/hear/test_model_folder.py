"""A model folder is told apart by kind, and a wrong one says what is wrong and what to do."""

import json
from pathlib import Path

import pytest

from handsfree.errors import ModelError
from handsfree.hear.model_folder import NEEDED, ModelKind, Sureness, open_model
from tests.unit.hear.tone_ear import PHONES, write_tone_ear


def test_reads_our_own_models_numbers(tmp_path: Path) -> None:
    sureness = {"bias": -2.0, "margin": 0.75, "filler": 0.25, "fit": 0.01, "most": 8.0}
    model = open_model(write_tone_ear(tmp_path / "ear", filler_cost=1.5, sureness=sureness))
    assert model.kind is ModelKind.OURS
    assert model.phones == tuple(PHONES)
    assert model.moves is not None and model.moves.first == 3 and model.moves.silence_enter == 2
    assert (model.filler, model.filler_cost, model.word_penalty) == ("[unk]", 1.5, 0.0)
    assert model.sureness == Sureness(-2.0, 0.75, 0.25, 0.01, 8.0)
    assert model.talk_word_cost is None


def test_reads_what_a_word_of_talk_costs(tmp_path: Path) -> None:
    filler = {"word": "[unk]", "cost_per_phone": 1.5, "cost_per_word": 3.5}
    assert open_model(write_tone_ear(tmp_path / "ear", filler=filler)).talk_word_cost == 3.5


@pytest.mark.parametrize("name", NEEDED[:-1])
def test_names_the_file_that_is_missing(tmp_path: Path, name: str) -> None:
    folder = write_tone_ear(tmp_path / "ear")
    (folder / name).unlink()
    with pytest.raises(ModelError, match=f"lacks {name}.*--model"):
        open_model(folder)


def test_names_a_file_that_is_empty(tmp_path: Path) -> None:
    folder = write_tone_ear(tmp_path / "ear")
    (folder / "am/final.mdl").write_bytes(b"")
    with pytest.raises(ModelError, match="empty: am/final.mdl"):
        open_model(folder)


def test_one_kind_of_features_is_enough_but_needed(tmp_path: Path) -> None:
    folder = write_tone_ear(tmp_path / "ear")
    (folder / "conf/fbank.conf").rename(folder / "conf/mfcc.conf")
    assert open_model(folder).kind is ModelKind.OURS
    (folder / "conf/mfcc.conf").unlink()
    with pytest.raises(ModelError, match=r"lacks conf/fbank.conf or conf/mfcc.conf"):
        open_model(folder)


@pytest.mark.parametrize(
    ("card", "fault"),
    [
        ("{", "cannot be read"),
        ("[]", "cannot be read"),
        ({"phones": []}, "phones is not a list"),
        ({"phones": None}, "phones is not a list"),
        ({"positions": ["B", "E"]}, "positions must be B, I, E, S"),
        ({"filler": {"word": "[unk]"}}, "cost_per_phone. is missing"),
        ({"filler": {"word": "", "cost_per_phone": 1.0}}, "filler.word"),
        ({"filler": {"word": "[unk]", "cost_per_phone": "dear"}}, "cost_per_phone is not a number"),
        ({"phone_transition_ids": {"first": 3}}, "each. is missing"),
        ({"sureness": {"certainty": 1.0}}, "certainty"),
        ({"sureness": {"bias": True}}, "bias is not a number"),
    ],
)
def test_says_what_is_wrong_with_a_model_card(
    tmp_path: Path, card: str | dict[str, object], fault: str
) -> None:
    folder = write_tone_ear(tmp_path / "ear")
    path = folder / "model.json"
    told = json.loads(path.read_text())
    path.write_text(card if isinstance(card, str) else json.dumps(told | card))
    with pytest.raises(ModelError, match=f"model.json.*{fault}"):
        open_model(folder)


def test_says_that_there_is_no_folder(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="no speech model at .*gone.*--model"):
        open_model(tmp_path / "gone")


def test_says_that_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "model.zip").write_bytes(b"PK")
    with pytest.raises(ModelError, match="is a file, and a speech model is a folder"):
        open_model(tmp_path / "model.zip")


def test_says_that_a_folder_holds_no_model(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="holds no speech model: am/final.mdl is missing"):
        open_model(tmp_path)


def test_points_at_the_model_inside_the_folder(tmp_path: Path) -> None:
    write_tone_ear(tmp_path / "unpacked/small-model")
    with pytest.raises(ModelError, match="Name the folder .*small-model"):
        open_model(tmp_path / "unpacked")


@pytest.mark.parametrize(
    "layout",
    [("am/final.mdl", "graph/HCLr.fst", "graph/Gr.fst"), ("final.mdl", "HCLr.fst", "Gr.fst")],
)
def test_knows_a_stock_model_with_a_run_time_graph(tmp_path: Path, layout: tuple[str, ...]) -> None:
    for name in layout:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"x")
    model = open_model(tmp_path)
    assert (model.kind, model.path) == (ModelKind.STOCK, tmp_path)


def test_refuses_a_stock_model_that_would_ignore_the_phrases(tmp_path: Path) -> None:
    for name in ("am/final.mdl", "graph/HCLG.fst"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_bytes(b"x")
    with pytest.raises(ModelError, match="cannot listen for the grammar.*Choose a small stock"):
        open_model(tmp_path)
