"""Papers put together from a blueprint."""

from collections import Counter

import pytest

from training.questions import papers
from training.questions.papers import Cell, Infeasible, Pooled, Shortage, assemble

CELLS = [
    Cell(topic=topic, level=level, count=count)
    for topic, level, count in [
        ("safety", "know", 3),
        ("safety", "apply", 2),
        ("setup", "know", 2),
        ("firing", "judge", 1),
    ]
]


def pool(each: int = 6, **changes: dict[str, object]) -> list[Pooled]:
    entries = []
    for cell in CELLS:
        for number in range(each):
            key = f"{cell.topic}-{cell.level}-{number}"
            entries.append(Pooled(key=key, topic=cell.topic, level=cell.level, **changes.get(key, {})))  # type: ignore[arg-type]
    return entries


def cell_of(key: str) -> tuple[str, str]:
    topic, level, _ = key.split("-")
    return topic, level


class TestAssemble:
    def test_fills_every_cell_and_keeps_topics_together(self) -> None:
        """Eight questions, safety first as in the blueprint, none twice."""
        paper = assemble(CELLS, pool(), seed="s1")
        assert Counter(map(cell_of, paper)) == {(cell.topic, cell.level): cell.count for cell in CELLS}
        assert len(set(paper)) == 8
        assert [key.split("-")[0] for key in paper] == ["safety"] * 5 + ["setup"] * 2 + ["firing"]

    def test_gives_the_same_paper_for_the_same_seed(self) -> None:
        """And mostly another for another."""
        assert assemble(CELLS, pool(), seed=1) == assemble(CELLS, pool(), seed=1)
        assert len({assemble(CELLS, pool(), seed=seed) for seed in range(20)}) > 15

    def test_mixes_the_order_inside_a_topic(self) -> None:
        """Levels do not give away where the easy ones stand."""
        orders = {tuple(cell_of(key)[1] for key in assemble(CELLS, pool(), seed=seed)[:5]) for seed in range(20)}
        assert len(orders) > 5

    def test_draws_the_little_used_first(self) -> None:
        """A question used once has a sixteenth of the weight of a fresh one."""
        cells = [Cell(topic="firing", level="judge", count=1)]
        entries = [Pooled(key=key, topic="firing", level="judge", uses=uses) for key, uses in (("old", 1), ("new", 0))]
        count = sum(assemble(cells, entries, seed=seed) == ("old",) for seed in range(1700))
        assert 70 <= count <= 135  # 100 expected (1 in 17), three standard deviations of 9.7 and some

    def test_keeps_a_much_used_question_possible(self) -> None:
        """Use weighs, it never forbids."""
        cells = [Cell(topic="firing", level="judge", count=1)]
        assert assemble(cells, [Pooled(key="k", topic="firing", level="judge", uses=10**6)], seed=1) == ("k",)

    def test_evens_out_the_use_of_the_pool(self) -> None:
        """Over 60 papers from ten questions for two places each comes about 12 times."""
        cells, uses = [Cell(topic="setup", level="know", count=2)], Counter[str]()
        for seed in range(60):
            entries = [Pooled(key=str(n), topic="setup", level="know", uses=uses[str(n)]) for n in range(10)]
            uses.update(assemble(cells, entries, seed=seed))
        assert min(uses.values()) >= 10
        assert max(uses.values()) <= 14

    def test_keeps_enemies_apart(self) -> None:
        """By pair and by shared mark, across cells."""
        changes: dict[str, dict[str, object]] = {f"safety-know-{n}": {"enemies": ("set:arc",)} for n in range(3)}
        changes["setup-know-0"] = {"enemies": ("set:arc", "firing-judge-1")}
        for seed in range(60):
            paper = assemble(CELLS, pool(**changes), seed=seed)
            assert sum(key in changes for key in paper) <= 1
            assert not {"setup-know-0", "firing-judge-1"} <= set(paper)

    def test_takes_one_name_for_both_sides(self) -> None:
        """It is enough that one of two names the other; a common enemy is no quarrel."""
        cells = [Cell(topic="t", level="know", count=2)]
        entries = [Pooled(key=key, topic="t", level="know", enemies=("c",)) for key in "ab"]
        entries.append(Pooled(key="c", topic="t", level="know"))
        assert all(set(assemble(cells, entries, seed=seed)) == {"a", "b"} for seed in range(10))

    def test_takes_back_what_leads_nowhere(self) -> None:
        """One firing question is the enemy of all but two setup questions; the search finds those two."""
        entries = pool(4, **{f"setup-know-{n}": {"enemies": ("firing-judge-0",)} for n in range(2)})
        entries = [entry for entry in entries if entry.topic != "firing" or entry.key == "firing-judge-0"]
        for seed in range(20):
            assert {"setup-know-2", "setup-know-3"} <= set(assemble(CELLS, entries, seed=seed))

    def test_puts_anchors_on_every_paper(self) -> None:
        """Even on a retake, which avoids everything else of the earlier paper."""
        anchors: dict[str, dict[str, object]] = {"safety-know-5": {"anchor": True}, "safety-apply-0": {"anchor": True}}
        first = assemble(CELLS, pool(**anchors), seed="first")
        again = assemble(CELLS, pool(**anchors), seed="again", avoid=first)
        assert set(anchors) == set(first) & set(again)

    def test_names_each_cell_that_is_short(self) -> None:
        """With how many are wanting, after what is to be avoided."""
        avoid = [f"safety-know-{n}" for n in range(5)] + [f"firing-judge-{n}" for n in range(6)]
        with pytest.raises(Infeasible, match="safety know wants 2 more questions; firing judge wants 1 more") as caught:
            assemble(CELLS, pool(), seed=1, avoid=avoid)
        assert caught.value.shortages == (Shortage("safety", "know", 2), Shortage("firing", "judge", 1))

    def test_names_a_cell_with_more_anchors_than_places(self) -> None:
        """Two anchors cannot stand in one place."""
        anchors: dict[str, dict[str, object]] = {f"firing-judge-{n}": {"anchor": True} for n in range(2)}
        with pytest.raises(Infeasible, match="firing judge wants 1 more places"):
            assemble(CELLS, pool(**anchors), seed=1)

    def test_names_the_cells_that_enemies_leave_short(self) -> None:
        """Every setup question is the enemy of every other."""
        changes: dict[str, dict[str, object]] = {f"setup-know-{n}": {"enemies": ("set:one",)} for n in range(6)}
        with pytest.raises(Infeasible) as caught:
            assemble(CELLS, pool(**changes), seed=1)
        assert {(short.topic, short.level) for short in caught.value.shortages} >= {("setup", "know")}

    def test_finds_no_paper_with_two_anchors_at_odds(self) -> None:
        """An anchor may not be passed over."""
        anchors: dict[str, dict[str, object]] = {
            "setup-know-0": {"anchor": True, "enemies": ("safety-know-0",)},
            "safety-know-0": {"anchor": True},
        }
        with pytest.raises(Infeasible):
            assemble(CELLS, pool(**anchors), seed=1)

    def test_stops_after_so_many_steps(self) -> None:
        """A pool that looks ample but hides a knot is given up in bounded time (B4 of the measured pools)."""
        cells = [Cell(topic=f"t{n}", level="know", count=5) for n in range(6)]
        entries = [
            Pooled(key=f"{cell.topic}-{n}", topic=cell.topic, level="know", enemies=(f"set:{n % 6}",))
            for cell in cells
            for n in range(40)
        ]
        with pytest.raises(Infeasible):
            assemble(cells, entries, seed=1)

    @pytest.mark.parametrize("steps", [10, 200])
    def test_keeps_to_its_budget_of_steps(self, steps: int, monkeypatch: pytest.MonkeyPatch) -> None:
        """However tight the knot, no more places are tried than the budget of every try allows."""
        tried = Counter[str]()
        put = papers._Search._put
        monkeypatch.setattr(papers, "STEPS", steps)
        monkeypatch.setattr(papers._Search, "_put", lambda self, entry: (tried.update(["put"]), put(self, entry))[1])
        entries = [
            Pooled(key=f"{cell.topic}-{cell.level}-{n}", topic=cell.topic, level=cell.level, enemies=(f"set:{n % 7}",))
            for cell in CELLS
            for n in range(60)
        ]
        with pytest.raises(Infeasible):
            assemble(CELLS, entries, seed=1)
        assert 0 < tried["put"] <= papers.TRIES * steps
