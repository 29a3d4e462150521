"""Evaluate one computation of the catalogue, with units in and out."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from training.calc.catalogue import CATALOGUE, Entry, OutOfRange, Slot, compute
from training.questions.reading import Unreadable, read
from training.questions.rounding import exact
from training.questions.units import UnknownUnit, convert, dimension, fits, unit


def as_slot(slot: Slot) -> dict[str, object]:
    """Return an input or output as JSON values."""
    return {"name": slot.name, "symbol": slot.symbol, "unit": slot.unit, "says": slot.says,
            "low": slot.low, "high": slot.high, "whole": slot.whole}  # fmt: skip


def as_entry(entry: Entry) -> dict[str, object]:
    """Return a line of the catalogue as JSON values."""
    return {"key": entry.key, "title": entry.title, "inputs": [as_slot(slot) for slot in entry.inputs],
            "output": as_slot(entry.output), "source": entry.source, "tag": entry.tag,
            "mistake_of": entry.mistake_of, "says": entry.says}  # fmt: skip


class Command(BaseCommand):
    """`compute KEY name=value ... [--unit U] [--json]`, `compute --list`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a key and its inputs."""
        parser.add_argument("key", nargs="?", help="key of a computation")
        parser.add_argument("inputs", nargs="*", help="name=value, the value with its unit: current=240A")
        parser.add_argument("--unit", help="unit of the answer (default: that of the catalogue)")
        parser.add_argument("--list", action="store_true", help="list the computations")
        parser.add_argument("--json", action="store_true", help="one JSON object a line")

    def handle(self, *args: Any, **options: Any) -> None:
        """List, or compute one."""
        if options["list"]:
            for entry in CATALOGUE.values():
                self.stdout.write(
                    json.dumps(as_entry(entry), ensure_ascii=False) if options["json"] else self.line(entry)
                )
            return
        if options["key"] is None:
            raise CommandError("Give the key of a computation and its inputs, or --list.")
        if options["key"] not in CATALOGUE:
            raise CommandError(f"No computation has the key {options['key']}. Run compute --list for those there are.")
        entry = CATALOGUE[options["key"]]
        wanted = options["unit"] or entry.output.unit
        try:
            if not fits(entry.output.unit, wanted):
                raise CommandError(f"The answer is {dimension(entry.output.unit)}, which {wanted} does not measure.")
            # Printed without the noise in the last digits of a float, as questions do.
            value = convert(exact(compute(entry.key, self.values(entry, options["inputs"]))), entry.output.unit, wanted)
        except UnknownUnit:
            raise CommandError(f"{wanted} is not a unit known here.") from None
        except OutOfRange as error:
            raise CommandError(str(error)) from None
        if options["json"]:
            self.stdout.write(json.dumps({"key": entry.key, "value": float(value), "unit": wanted}))
        else:
            self.stdout.write(f"{entry.output.symbol} = {float(value)!r} {unit(wanted).symbol}".rstrip())

    @staticmethod
    def values(entry: Entry, inputs: list[str]) -> dict[str, float]:
        """Read name=value pairs into SI values. Raises CommandError with a sentence."""
        slots = {slot.name: slot for slot in entry.inputs}
        values = {}
        for text in inputs:
            name, equals, typed = text.partition("=")
            if not equals or name not in slots:
                raise CommandError(f"{text}: write name=value with one of {', '.join(slots) or 'no input at all'}.")
            if name in values:
                raise CommandError(f"{name} is given twice.")
            slot = slots[name]
            try:
                reading = read(typed, like=slot.unit)
            except Unreadable as error:
                raise CommandError(f"{name}: {error.sentence}") from None
            if not fits(reading.unit or slot.unit, slot.unit):
                raise CommandError(f"{name} is {dimension(slot.unit)}; {reading.unit} does not measure that.")
            values[name] = float(convert(reading.value, reading.unit or slot.unit, slot.unit))
        if missing := [f"{name}=... ({slot.says})" for name, slot in slots.items() if name not in values]:
            raise CommandError(f"Give {', '.join(missing)} too.")
        return values

    @staticmethod
    def line(entry: Entry) -> str:
        """Return a line of the catalogue in words."""
        inputs = ", ".join(f"{slot.name} [{slot.unit}]{bounds(slot)}" for slot in entry.inputs)
        return f"{entry.key}({inputs}) -> {entry.output.name} [{entry.output.unit}]; {entry.source} ({entry.tag})"


def bounds(slot: Slot) -> str:
    """Return the range of an input as it is printed."""
    if slot.low is None and slot.high is None:
        return ""
    return f" {'' if slot.low is None else slot.low}..{'' if slot.high is None else slot.high}"
