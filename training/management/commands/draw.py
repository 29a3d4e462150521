"""Print drawn questions with their key, mistakes and working, or look at a kind over many draws."""

import json
from argparse import ArgumentParser
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from training.content.load import read_content
from training.content.mistakes import ContentErrors
from training.questions.draw import AuthoringError, draw
from training.questions.examine import PartReport, Report, examine
from training.questions.item import Item, Part
from training.questions.rounding import written
from training.questions.specs import QuestionSpec
from training.questions.units import unit

NUMERIC = {"calculation", "scenario"}


def number(value: Fraction) -> float | int:
    """Return a fraction as the JSON number nearest to it."""
    return int(value) if value.denominator == 1 else float(value)


def as_part(part: Part) -> dict[str, object]:
    """Return the key of one numeric part: answer, wrong answers with their mistake, working."""
    tolerance = Fraction(0) if part.exact else part.tolerance(part.value)
    answer = {"value": number(part.value), "unit": part.unit, "shown": part.shown, "tolerance": number(tolerance)}
    options = [
        {"value": number(one.value), "unit": part.unit, "shown": one.shown, "misconception": one.misconception,
         "says": one.says}
        for one in part.wrong
    ]  # fmt: skip
    return {"answer": answer, "options": options, "working": list(part.working), "source": part.source,
            "reason": part.reason}  # fmt: skip


def as_json(item: Item, spec: QuestionSpec) -> dict[str, object]:
    """Return an item with its key; a scenario adds its parts, and its own answer is that of the last one."""
    shown = item.shown()
    table = {name: shown[name] for name in ("key", "version", "kind", "topic", "level", "seed", "prompt")}
    table["givens"] = [
        {"name": given.name, "symbol": given.symbol, "value": number(Fraction(given.value)), "unit": author.unit,
         "shown": given.value, "says": given.says}
        for given, author in zip(item.givens, spec.givens, strict=True)
    ]  # fmt: skip
    numeric = [part for part in item.parts if part.computation]
    table |= as_part(numeric[-1])
    if len(item.parts) > 1:
        table["parts"] = [{"name": p.name, "prompt": p.prompt, **as_part(p)} for p in numeric]
    return table


def in_words(item: Item) -> Iterable[str]:
    """Yield an item as lines for a terminal."""
    yield f"{item.question} v{item.version}, seed {item.seed}"
    yield f"  {item.prompt}"
    for part in item.parts:
        if part.prompt:
            yield f"  {part.name}: {part.prompt}"
        if part.computation:
            symbol = unit(part.unit).symbol
            slack = "exactly" if part.exact else f"± {written(part.tolerance(part.value), part.decimals + 1)}"
            yield f"    answer {part.shown} {symbol} ({slack})"
            yield from (f"    wrong  {one.shown} {symbol}: {one.says}" for one in part.wrong)
        yield from (f"    {line}" for line in part.working)


class Command(BaseCommand):
    """`draw KEY --seed N`, `draw --list`, `draw --check [KEY] --draws 500`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a key, and what to do with it."""
        parser.add_argument("key", nargs="?", help="key of a calculation or scenario")
        parser.add_argument("--seed", type=int, default=1, help="first seed")
        parser.add_argument("--draws", type=int, help="how many: seeds N, N+1, ... (1, or 500 with --check)")
        parser.add_argument("--list", action="store_true", help="list the kinds")
        parser.add_argument("--check", action="store_true", help="look at one kind, or all, over many draws")
        parser.add_argument("--json", action="store_true", help="one JSON object a line")
        parser.add_argument("--folder", type=Path, default=settings.BASE_DIR / "fixtures" / "content")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do the one thing asked for."""
        specs = self.specs(options["folder"])
        key = options["key"]
        if options["draws"] is not None and options["draws"] < 1:
            raise CommandError("Give --draws a number from 1 up.")
        if key is not None and key not in specs:
            raise CommandError(f"No calculation or scenario has the key {key}. Run draw --list for those there are.")
        if options["list"]:
            self.print_list(specs.values(), as_lines=options["json"])
        elif options["check"]:
            self.examine([specs[key]] if key else list(specs.values()), options["draws"] or 500, options["json"])
        elif key is None:
            raise CommandError("Give the key of a question, or --list, or --check.")
        else:
            self.draw(specs[key], range(options["seed"], options["seed"] + (options["draws"] or 1)), options["json"])

    def specs(self, folder: Path) -> dict[str, QuestionSpec]:
        """Read the numeric questions of the content by key."""
        try:
            content = read_content(folder, seeds=0)
        except ContentErrors as errors:
            raise CommandError(str(errors)) from None
        return {spec.key: spec for spec in content.questions if spec.kind in NUMERIC}

    def print_list(self, specs: Iterable[QuestionSpec], *, as_lines: bool) -> None:
        """Print one line a kind."""
        for spec in specs:
            computations = [part.computation for part in spec.parts if part.computation]
            facts = {"key": spec.key, "version": spec.version, "kind": str(spec.kind), "topic": spec.topic,
                     "level": str(spec.level), "safety": spec.safety, "computations": computations}  # fmt: skip
            plain = f"{spec.key} v{spec.version} ({spec.kind}, {spec.topic}, {spec.level}): {', '.join(computations)}"
            self.stdout.write(json.dumps(facts, ensure_ascii=False) if as_lines else plain)

    def draw(self, spec: QuestionSpec, seeds: Iterable[int], as_lines: bool) -> None:
        """Print the items of these seeds."""
        for seed in seeds:
            try:
                item = draw(spec, seed)
            except AuthoringError as error:
                raise CommandError(f"{spec.key}: {error}") from None
            line = json.dumps(as_json(item, spec), ensure_ascii=False) if as_lines else "\n".join(in_words(item))
            self.stdout.write(line)

    def examine(self, specs: Iterable[QuestionSpec], draws: int, as_lines: bool) -> None:
        """Print what many draws show of each kind; a kind that cannot be drawn fails the command."""
        bad = []
        for spec in specs:
            try:
                report = examine(spec, draws)
            except AuthoringError as error:
                bad.append(f"{spec.key}: {error}")
                continue
            self.stdout.write(json.dumps(as_report(spec, report)) if as_lines else self.words(spec, report))
        if bad:
            raise CommandError("\n".join(bad))

    @staticmethod
    def words(spec: QuestionSpec, report: Report) -> str:
        """Return a report as one line."""
        parts = "; ".join(f"{part.name}{span(part)}{places(part)}" for part in report.parts)
        same, rate = report.draws - report.different, float(report.rejection_rate)
        return f"{spec.key}: {report.draws} draws, {same} the same as another, {rate:.1%} rejected; {parts}"


def span(part: PartReport) -> str:
    """Return the least and the greatest key, for a part that has a number for one."""
    return f" {part.low} to {part.high} {unit(part.unit).symbol}".rstrip() if part.low else ""


def places(part: PartReport) -> str:
    """Return where the right option stood, and whether chance explains it."""
    if not part.places:
        return ""
    return f", right option in places {list(part.places)} ({'even' if part.even else 'uneven'})"


def as_report(spec: QuestionSpec, report: Report) -> dict[str, object]:
    """Return a report as JSON values."""
    parts = [{"name": p.name, "unit": p.unit, "low": p.low, "high": p.high, "places": list(p.places),
              "chi_square": round(p.chi_square, 3), "even": p.even} for p in report.parts]  # fmt: skip
    return {"key": spec.key, "draws": report.draws, "different": report.different,
            "collisions": report.draws - report.different, "rejected": dict(report.rejected),
            "rejection_rate": float(report.rejection_rate), "parts": parts}  # fmt: skip
