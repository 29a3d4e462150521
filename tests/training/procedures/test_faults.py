"""Faults as rows of a table."""

import pytest

from tests.company import content
from training.procedures.rules import fault_rows, is_fault

TEXT = "Symptom: no arc. Likely cause: a plug: loose. Check in this order: lights, plugs. Remedy: put it home."


class TestFaultRows:
    def test_stand_under_their_four_heads(self):
        assert fault_rows(TEXT) == (
            ("Symptom", "No arc."),
            ("Likely cause", "A plug: loose."),
            ("Check in this order", "Lights, plugs."),
            ("Remedy", "Put it home."),
        )

    @pytest.mark.parametrize(
        "text", ["", "It does not fire.", "Look. " + TEXT, TEXT.replace("Remedy: ", ""), f"{TEXT} Check: again."]
    )
    def test_are_none_for_any_other_text(self, text):
        assert fault_rows(text) == ()

    def test_stand_in_every_fault_of_the_content(self):
        faults = [step for module in content().modules for step in module.steps if is_fault(step.slug)]
        assert len(faults) >= 8
        assert [step.slug for step in faults if not fault_rows(step.text)] == []
