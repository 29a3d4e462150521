"""The fields of one test bond. What stays the same from bond to bond may be left empty: it is as for the one before."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from certs.signoffs.forms.fields import BELOW, Quantity, choice, text_field, tick
from certs.signoffs.models import AGAIN_WORDS, LOOK_WORDS, TOOL_WORDS
from certs.signoffs.rules import Again, Bond, Look, Tool

# Of these an added bond that stayed empty has none; position, lot and the like the page fills in by itself.
READINGS = ("pack_v", "forward_uv", "reversed_uv")
CARRIED = ("pin_lot", "meter", "air_c", "cell_c", "leads", "burn", "current_a")
# The box that goes with a number goes with it to the next bond as well.
SIGNS = {"air_c": "air_below", "cell_c": "cell_below"}
# The parts of a bond on the page, in the order of the work.
FOLDED = ("pin_lot", "meter", "air_c", "air_below", "cell_c", "cell_below", "leads", "burn")
FURTHER = ("current_a", "again", "why")
PARTS = (
    ("spot", "pack_v"),
    FOLDED,
    tuple(f"look_{look.value}" for look in Look),
    ("hammer_good", "forward_uv", "reversed_uv", "reversed_below"),
    FURTHER,
)
LEADS = [("in", _("Both leads in the circuit")), ("out", _("Leads left out, as the procedure for cold says"))]
METERS = [(one.value, TOOL_WORDS[one]) for one in (Tool.VOLT, Tool.SPARE)]
BEFORE = _("Empty: as for the bond before.")


def bond_fields(*, required: bool, first: bool) -> dict[str, forms.Field]:
    """Return the fields of one bond, by name. What the first bond must say, the others may carry on."""
    own, carried = {"required": required}, {"required": first and required}
    kept: dict[str, Any] = carried | ({} if first else {"help_text": BEFORE})
    micro: dict[str, Any] = {"spelling": "uV", "low": -100_000, "high": 100_000, "decimals": 1, **own}
    cold: dict[str, Any] = {"spelling": "degC", "low": -60, "high": 60, "decimals": 1, "step": "1", **kept}
    return {
        "spot": text_field(_("Position"), 60, says=_("Say where on the steel, or the mark on the piece."), **own),
        "pin_lot": text_field(_("Pin lot"), 40, says=_("Give the lot number printed on the pins' box."), **kept),
        "pack_v": Quantity(label=_("Pack at rest, V"), spelling="V", low=24, high=45, decimals=2, **own),
        "meter": choice(_("Pack read with"), METERS, required=False, says=_("Choose the meter that was read.")),
        "air_c": Quantity(label=_("Air, °C"), **cold),
        "air_below": tick(_("Air below zero"), BELOW if first else ""),
        "cell_c": Quantity(label=_("Cells of the pack, °C"), **cold),
        "cell_below": tick(_("Cells below zero")),
        "leads": choice(
            _("Leads"), LEADS, says=_("Say whether the leads were in the circuit."), radio=True, **carried
        ),
        "burn": text_field(
            _("Burn setting: how the ring stood"), 40, says=_("Say how the ring stood, such as flush."), **kept
        ),
        **{f"look_{look.value}": tick(LOOK_WORDS[look]) for look in Look},
        "hammer_good": tick(_("Held in the hammer test, cold, from two sides")),
        "forward_uv": Quantity(label=_("Forward reading, µV"), **micro),
        "reversed_uv": Quantity(label=_("Reading with the current reversed, µV"), **micro),
        "reversed_below": tick(_("Reversed below zero")),
        "current_a": Quantity(
            label=_("Measuring current, A"), spelling="A", low="0.1", high=200, decimals=2, step="1", **kept
        ),
        "again": choice(
            _("First shot, or made again"), [(one.value, AGAIN_WORDS[one]) for one in Again], required=False,
            says=_("Choose one of the three."),
        ),
        "why": text_field(_("Why it was made again (only then)"), 200, required=False),
    }  # fmt: skip


def carried_on(bonds: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the cleaned values of the bonds with what was left empty taken from the bond before."""
    whole: list[dict[str, Any]] = []
    for own in bonds:
        before = whole[-1] if whole else {}
        taken = {name: before[name] for name in CARRIED if own.get(name) in (None, "") and name in before}
        taken |= {box: before[box] for name, box in SIGNS.items() if name in taken}
        whole.append(own | taken)
    return whole


def bond(read: Mapping[str, Any], serials: Mapping[Tool, str]) -> Bond:
    """Return a bond from its cleaned values; `serials` are those of the instruments on the sheet."""
    looks = frozenset(look for look in Look if read[f"look_{look.value}"])
    return Bond(
        spot=read["spot"],
        pin_lot=read["pin_lot"],
        pack_v=read["pack_v"],
        meter=serials[Tool(read["meter"] or Tool.VOLT)],
        air_c=signed_of(read, "air_c", "air_below"),
        cell_c=signed_of(read, "cell_c", "cell_below"),
        leads_in=read["leads"] == "in",
        burn=read["burn"],
        looks=looks,
        visual_good=len(looks) == len(Look),
        hammer_good=read["hammer_good"],
        forward_uv=read["forward_uv"],
        reversed_uv=signed_of(read, "reversed_uv", "reversed_below"),
        current_a=read["current_a"],
        again=Again(read["again"] or Again.FIRST),
        why=read["why"],
    )


def signed_of(read: Mapping[str, Any], name: str, box: str) -> Any:
    """Return a number with its Below zero box heeded; a minus typed as well is not turned round."""
    return -abs(read[name]) if read[box] else read[name]


def as_typed(one: Bond, tools: Mapping[str, Tool]) -> dict[str, Any]:
    """Return a bond on record as its fields hold it, for a correction; `tools` are the instruments by serial."""
    plain = ("spot", "pin_lot", "pack_v", "air_c", "cell_c", "burn", "hammer_good", "forward_uv", "reversed_uv",
             "current_a", "why")  # fmt: skip
    held: dict[str, Any] = {name: getattr(one, name) for name in plain}
    looks = {f"look_{look.value}": look in one.looks or (not one.looks and one.visual_good) for look in Look}
    leads = {True: "in", False: "out", None: ""}[one.leads_in]
    return held | looks | {"leads": leads, "meter": tools.get(one.meter, Tool.VOLT).value, "again": one.again.value}
