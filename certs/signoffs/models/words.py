"""What rules found, said to the person it is about."""

from django.utils.translation import gettext_lazy as _

from certs.signoffs.rules import Again, Confirmed, Fault, Look, Objection, Slip, Tool

# Said to the person who may not sign, with what they can do about it.
OBJECTION_WORDS = {
    Objection.ONESELF: _("Nobody signs for themself: another assessor must."),
    Objection.CLOSED: _("Your account is closed, so you cannot sign."),
    Objection.CANDIDATE_CLOSED: _("The candidate's account is closed."),
    Objection.NOT_ASSESSOR: _("You do not hold 'may assess' under this scheme on that day."),
    Objection.TRAINED: _(
        "You trained %(candidate)s up to %(trained_to)s, so you may assess from %(free_from)s. Until then another "
        "assessor signs, or you declare an exception and a third person approves it."
    ),
    Objection.NOT_APPROVED: _(
        "You trained %(candidate)s up to %(trained_to)s. Your exception waits for a third person's approval."
    ),
    Objection.PAPER: _("%(candidate)s has not passed the paper of this scheme."),
    Objection.UNREAD: _("%(candidate)s has not read the revision in force of: %(unread)s."),
    Objection.SIGNED: _("This practical is signed already. Open the record, and correct it there if it is wrong."),
    Objection.NO_NEED: _("You need no exception: you did not train this candidate within the last 24 months."),
}
DECISION_WORDS = {
    **OBJECTION_WORDS,
    Objection.ONESELF: _("Nobody decides about their own card."),
    Objection.CLOSED: _("Your account is closed, so you cannot decide."),
    Objection.NOT_DECIDER: _("You do not hold 'may decide' under this scheme today."),
    Objection.ASSESSED: _("You assessed this candidate: the decision is another person's."),
    Objection.TRAINED: _("You trained %(candidate)s up to %(trained_to)s, so you may decide from %(free_from)s."),
    Objection.NOT_PASSED: _("This practical was not passed, so there is nothing to decide."),
    Objection.NO_DECISION: _("Under this scheme the signature leads straight to the card."),
    Objection.DECIDED: _("The decision is on record already."),
    Objection.REPLACED: _("This record was corrected: decide about the one that replaces it."),
}
APPROVAL_WORDS = {
    Objection.ONESELF: _("Nobody approves or refuses an exception about themself."),
    Objection.ASSESSED: _(
        "An exception is approved or refused by a third person, not by the assessor who asks for it."
    ),
    Objection.CLOSED: _("Your account is closed, so you cannot approve or refuse."),
    Objection.NOT_DECIDER: _("A trainer or an administrator of the certification body approves or refuses exceptions."),
    Objection.DECIDED: _("This exception is answered already. The candidate's record shows by whom."),
}
FAULT_WORDS = {
    Fault.LOOKS: _("does not look good all round"),
    Fault.HAMMER: _("did not hold in the hammer test"),
    Fault.NO_GO: _("pack below the floor: no go"),
    Fault.UNPROVEN: _("pack not proven above the floor: rest it, charge it or use a better meter"),
    Fault.TOO_HIGH: _("joint above the limit"),
    Fault.TOO_LOW: _("joint below 10 µΩ: the points did not straddle it, measure again"),
}
LOOK_WORDS = {
    Look.RING: _("Braze ring whole, smooth and bright all round"),
    Look.WETTED: _("Braze has wetted the lug and the steel"),
    Look.SOUND: _("No gap, hole or crack"),
    Look.CENTRED: _("Pin upright in the middle, lug not burnt thin"),
}
AGAIN_WORDS = {
    Again.FIRST: _("First shot"),
    Again.REPEATED: _("Made again on a new spot"),
    Again.REPAIRED: _("Made again after a repair of the gun"),
}
TOOL_WORDS = {
    Tool.VOLT: _("Voltmeter for the pack"),
    Tool.SET: _("Four-wire set"),
    Tool.SPARE: _("Second voltmeter"),
}
CONFIRMED_WORDS = {
    Confirmed.PASSWORD: _("with their own password"),
    Confirmed.BOX: _("by the box that names them, beside the assessor"),
}
SLIP_WORDS = {
    Slip.FUTURE: _("Give today or an earlier day: a practical is signed after it was seen."),
    Slip.LATE: _("This day is more than 31 days ago. Check the year; after so long the practical is seen again."),
    Slip.METER: _("The meter's calibration had run out on that day: measure again with one in date."),
    Slip.BONDS: _("This scheme asks for more test bonds. Press Add a bond and fill it in."),
    Slip.REASON: _("Say why the bond was made again: what was wrong with the one before."),
    Slip.ORDER: _("Forward must read higher than reversed. Check the signs, or swap the voltage leads and read again."),
    Slip.UNCONFIRMED: _("The candidate ticks this box, nobody else."),
}
