"""Where a question is used. The rule is our own: a worded question seen in practice is spent for a paper."""

import pytest

from tests.training.questions.workbook import BOOK, CHAIN, DROP, ORDER, SEVERAL, SHOTS, spec
from training.content.questions import read_question
from training.questions.pools import Pool, pool_of

FIXED = {
    "resistance": {"constant": "10", "unit": "mohm"},
    "current": {"constant": "240", "unit": "A"},
}


@pytest.mark.parametrize("text", [DROP, SHOTS, CHAIN])
def test_numbers_drawn_anew_serve_both(text: str) -> None:
    """Who has seen one has not seen the next."""
    assert spec(text).pool is Pool.BOTH


@pytest.mark.parametrize("text", [SEVERAL, ORDER])
def test_words_are_kept_for_papers(text: str) -> None:
    """They are the same words every time."""
    assert spec(text).pool is Pool.PAPERS


def test_a_number_that_is_always_the_same_is_kept_for_papers() -> None:
    """Nothing is drawn, so it is spent like a worded question."""
    assert spec(DROP, given=FIXED).pool is Pool.PAPERS


@pytest.mark.parametrize("text", [DROP, SEVERAL])
@pytest.mark.parametrize("pool", list(Pool))
def test_it_comes_back_from_what_is_stored(text: str, pool: Pool) -> None:
    """The usual pool is left out: the same digest as before there were pools; another changes the digest."""
    plain, question = spec(text), spec(text, pool=str(pool))
    stored = question.as_json()
    assert question.pool is pool_of(stored) is pool
    assert read_question(stored, book=BOOK) == question
    usual = pool is plain.pool
    assert (stored == plain.as_json(), question.digest == plain.digest, "pool" not in stored) == (usual,) * 3


def test_a_pool_says_who_may_use_it() -> None:
    """Papers never ask what practice shows, and the other way round, but for what serves both."""
    assert [(pool.for_papers, pool.for_practice) for pool in Pool] == [(True, False), (False, True), (True, True)]
