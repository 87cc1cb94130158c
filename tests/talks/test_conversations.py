"""Whole conversations through turns, session, engine, page, logbook and the user's file."""

from pathlib import Path

import pytest

from tests.talks.conversation import AsSound, Conversation, conversations, play
from tests.talks.made_room import MadeRoom

ALL = conversations()


@pytest.mark.parametrize("conversation", ALL, ids=[talk.name for talk in ALL])
def test_the_talk_goes_as_it_is_needed(conversation: Conversation, tmp_path: Path) -> None:
    room = MadeRoom(tmp_path, conversation.barge_in)
    faults = play(conversation, room)
    assert not faults, f"{conversation.need}\n" + "\n".join(faults)
    assert not room.complaints


def test_there_are_enough_of_them_and_each_has_its_own_name() -> None:
    assert len(ALL) >= 40
    assert len({talk.name for talk in ALL}) == len(ALL)
    assert sum(talk.as_sound is AsSound.SERVER for talk in ALL) >= 12
