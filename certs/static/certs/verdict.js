// What a phone without a signal says of a card: pure, days counted from 1 Jan 1970, moments in seconds.
// An old list may still refuse a card, it never accepts one.

const STOPPED = [null, "suspended", "withdrawn", "replaced"];
const DAY = 86400;
// Clocks differ a little; a clock that was set back differs a lot.
const SLACK = 3600;

// `card`: what openCard gave, or null with `why` it was refused. `entry`: its key in the list of keys. `list`: what
// openStatuses gave, or null. `now`: the phone's clock, `day` its local day. `latest`: the latest moment any list told.
export function verdict({ card, why, entry, list, now, day, latest }) {
  const back = latest > now + SLACK;
  // A clock that was set back would bring a card that has run out to life.
  const today = Math.max(day, Math.floor(latest / DAY));
  if (!card) return { answer: "refuse", reasons: [[why]] };
  const stops = refusals(card, entry, list, today);
  if (stops.length) return { answer: "refuse", reasons: stops };
  const doubts = unknowns(card, list, now, today);
  if (back) doubts.push(["clock"]);
  if (doubts.length) return { answer: "telephone", reasons: doubts };
  return { answer: "accept", reasons: [["good", card.lastDay]] };
}

function refusals(card, entry, list, today) {
  const found = [];
  if (entry.broken !== null) found.push(["broken"]);
  if (card.issuedOn > entry.to) found.push(["late"]);
  if (card.issuedOn < entry.from) found.push(["young"]);
  if (today < card.validFrom) found.push(["early", card.validFrom]);
  if (today > card.lastDay) found.push(["lapsed", card.lastDay]);
  const stopped = list && card.place < list.size ? STOPPED[list.status(card.place)] : null;
  if (stopped) found.push([stopped]);
  return found;
}

function unknowns(card, list, now, today) {
  const found = [];
  if (!list) found.push(["nolist"]);
  else if (now > list.goodUntil) found.push(["oldlist"]);
  if (list && card.place >= list.size) found.push(["newer"]);
  if (today > card.confirmBy) found.push(["unconfirmed", card.confirmBy]);
  return found;
}
