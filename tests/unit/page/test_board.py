"""The board: what a page is told, when, and how old it is."""

import asyncio
import json
from dataclasses import replace

from handsfree.page.board import Ear, Notice, PageBoard
from handsfree.values import Part, Told
from handsfree.values.timing import Timer

TOLD = Told("answer", "help", 1.0, "Help.", "help", (("about", "help"),), ("Help.",))


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_an_answer_carries_its_age() -> None:
    clock = Clock()
    board = PageBoard(clock)
    board.publish(TOLD)
    clock.now += 412.5
    assert board.latest().as_plain()["age"] == 412.5


def test_pinning_the_same_value_again_does_not_make_it_young() -> None:
    clock = Clock()
    board = PageBoard(clock)
    board.publish(TOLD)
    clock.now += 60
    board.publish(TOLD)
    assert board.latest().number == 1
    assert board.latest().age == 60
    board.publish(replace(TOLD))
    assert board.latest().number == 2
    assert board.latest().age == 0


def test_before_the_first_reply_there_is_nothing_and_nobody_listens() -> None:
    plain = PageBoard().latest().as_plain()
    assert plain["told"] is None
    assert plain["ear"] == "not listening"
    assert json.loads(json.dumps(plain)) == plain


def test_two_runs_of_the_helper_are_told_apart() -> None:
    assert PageBoard().latest().run != PageBoard().latest().run


def test_every_open_page_sees_each_change_and_the_end() -> None:
    board = PageBoard(alive=30)

    async def page() -> list[Notice]:
        return [notice async for notice in board.notices()]

    async def talk() -> list[list[Notice]]:
        pages = [asyncio.create_task(page()) for _ in range(2)]
        while board.pages < 2:
            await asyncio.sleep(0)
        await asyncio.to_thread(board.hear, Ear.LISTENING)  # from another thread, as the session
        await asyncio.sleep(0.05)
        await asyncio.to_thread(board.publish, TOLD)
        await asyncio.sleep(0.05)
        board.close()
        return await asyncio.gather(*pages)

    for seen in asyncio.run(talk()):
        assert [notice.ear for notice in seen[:2]] == [Ear.DEAF, Ear.LISTENING]
        assert seen[2].told is TOLD
        assert seen[-1].closed
    assert board.pages == 0


def test_a_slow_page_gets_the_newest_and_no_queue() -> None:
    board = PageBoard(alive=30)

    async def slow() -> list[int]:
        numbers = []
        async for notice in board.notices():
            numbers.append(notice.number)
            for _ in range(1000):
                board.publish(replace(TOLD))
            if len(numbers) == 3:
                break
            await asyncio.sleep(0)
        return numbers

    assert asyncio.run(slow()) == [0, 1000, 2000]


def test_signs_of_life_come_while_nothing_happens() -> None:
    board = PageBoard(alive=0.01)

    async def three() -> int:
        count = 0
        async for notice in board.notices():
            count += 1
            assert notice.number == 0
            if count == 3:
                break
        return count

    assert asyncio.run(three()) == 3


def test_a_page_whose_server_has_gone_is_forgotten() -> None:
    board = PageBoard(alive=30)
    loop = asyncio.new_event_loop()
    notices = board.notices()
    loop.run_until_complete(anext(notices))
    assert board.pages == 1
    loop.close()
    board.publish(TOLD)
    assert board.pages == 0


def test_a_fault_stands_until_it_is_mended_and_keeps_its_place() -> None:
    board = PageBoard()
    board.notify(Part.MICROPHONE, "The microphone is gone.")
    board.notify(Part.LOGBOOK, "The disk is full.")
    board.notify(Part.MICROPHONE, "The microphone is still gone.")
    assert board.latest().faults == (
        (Part.MICROPHONE, "The microphone is still gone."),
        (Part.LOGBOOK, "The disk is full."),
    )
    board.notify(Part.MICROPHONE)
    board.notify(Part.VOICE)  # was never broken
    assert board.latest().as_plain()["faults"] == [
        {"part": "logbook", "sentence": "The disk is full."}
    ]


def test_words_that_are_being_said_stand_until_they_are_answered_or_over() -> None:
    board = PageBoard()
    board.hear(Ear.LISTENING)
    board.catch("half inch")
    board.hear(Ear.WORKING)
    assert board.latest().partial == "half inch"
    board.publish(TOLD)
    assert board.latest().partial == ""
    board.hear(Ear.LISTENING)
    board.catch("pass me")
    board.hear(Ear.WAITING)
    assert board.latest().partial == ""


def test_a_reply_that_a_page_has_is_not_sent_again() -> None:
    board = PageBoard()
    board.publish(TOLD)
    assert "told" in board.latest().as_plain(known=0)
    assert "told" not in board.latest().as_plain(known=1)


def test_hiss_and_repeated_news_wake_no_page() -> None:
    board = PageBoard(alive=30)

    async def page() -> list[Notice]:
        return [notice async for notice in board.notices()]

    async def talk() -> list[Notice]:
        seen = asyncio.create_task(page())
        while board.pages < 1:
            await asyncio.sleep(0)
        for level in (-30.2, -30.1, -29.9):
            board.level(level)
            board.hear(Ear.DEAF)
            board.offer(())
            board.notify(Part.CLOCK)
            await asyncio.sleep(0.01)
        board.close()
        return await seen

    assert [notice.level for notice in asyncio.run(talk())] == [None, 0.5, 0.5]


def test_times_run_on_while_nobody_tells_them() -> None:
    clock = Clock()
    board = PageBoard(clock)
    board.keep_time([Timer("fire watch", 1800), Timer("soak", 0, ringing=True)])
    clock.now += 65
    assert [timer.left for timer in board.latest().timers] == [1735, -65]
    assert board.latest().as_plain()["timers"] == [
        {"name": "fire watch", "left": 1735, "ringing": False},
        {"name": "soak", "left": -65, "ringing": True},
    ]
