"""What kept files hold as plain values: texts that can be written again, wherever they stand."""

import json

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from handsfree.store.plain import from_json, from_yaml

ODD = ("\ud800", "a\udfffb", "tip\x00one", "\u202eend")


@given(st.recursive(st.sampled_from(ODD), lambda inner: st.lists(inner, max_size=3), max_leaves=6))
def test_every_text_of_a_kept_file_can_be_written_again(content: object) -> None:
    for read, text in ((from_json, json.dumps(content)), (from_yaml, yaml.safe_dump(content))):
        try:
            found = read(text)
        except ValueError:
            continue  # refused as nonsense, which is told
        json.dumps(found, ensure_ascii=False).encode("utf-8")


@pytest.mark.parametrize("escaped", ['{"stamp": "\\ud800"}', '["\\udfff", {"a": "\\ud8ab x"}]'])
def test_a_lone_surrogate_that_is_spelt_out_is_read_as_a_lost_letter(escaped: str) -> None:
    for read in (from_json, from_yaml):
        assert "\ufffd" in json.dumps(read(escaped), ensure_ascii=False)
