// What the readings of a test bond come to, while they are typed. certs/signoffs/rules/bonds.py does the same in the
// same order, and one table of cases holds both to the last digit. What counts is what the server works out.

const MINUS = /[\u2212\u2013\u2010\u2011\uff0d]/g;
const NUMBER = /^([+-]?)(\d+(?:[.,]\d*)?|[.,]\d+)\s*([A-Za-z\u00b5\u03bc\u00b0]*)$/;
const UNCLEAR = /^[1-9]\d{0,2},\d{3}$/;
const UNITS = { pack_v: ["", "V"], forward_uv: ["", "uV"], reversed_uv: ["", "uV"], current_a: ["", "A"] };

// Returns the number that was typed into a field of that name, or null where only the server can say.
export function number(text, name) {
  const found = NUMBER.exec(text.trim().replace(MINUS, "-"));
  if (!found || UNCLEAR.test(found[2])) return null;
  if (!UNITS[name].includes(found[3].replace(/[\u00b5\u03bc]/, "u"))) return null;
  return Number(`${found[1]}${found[2].replace(",", ".")}`);
}

// Rounds half away from zero, on the shortest decimal that reads back as the number: Python's repr is the same one. A
// half that binary digits cannot hold, such as 120.005, is found again in the ninth place, then rounded up.
export function rounded(value, places) {
  return cut(cut(String(value), 9), places);
}

function cut(text, places) {
  const below = text.startsWith("-");
  const [mantissa, power = "0"] = text.slice(below ? 1 : 0).split("e");
  const [whole, part = ""] = mantissa.split(".");
  const point = whole.length + Number(power);
  const digits = `${"0".repeat(Math.max(0, 1 - point))}${whole}${part}`;
  const start = Math.max(1, point);
  const long = digits.padEnd(start + places + 1, "0");
  const up = long[start + places] >= "5" ? 1n : 0n;
  const kept = (BigInt(long.slice(0, start + places)) + up).toString().padStart(places + 1, "0");
  const dot = kept.length - places;
  return `${below && /[1-9]/.test(kept) ? "-" : ""}${kept.slice(0, dot)}.${kept.slice(dot)}`;
}

const filled = (text, facts) => text.replace(/\[(\w+)\]/g, (_, name) => facts[name]);
const hundredths = (text) => Math.round(Number(text) * 100);

export function resistance(forward, back, current) {
  return rounded(((forward / 1e6 - back / 1e6) / (2 * current)) * 1e6, 2);
}

export function sure(forward, back, current, asked) {
  const ohm = (forward / 1e6 - back / 1e6) / (2 * current);
  const [share, flow] = [Number(asked.readingShare), Number(asked.currentShare)];
  const gain = ohm * ohm * (share * share + flow * flow);
  const step = (Number(asked.digits) * Number(asked.step)) / current;
  return rounded(2 * Math.sqrt((gain + (step * step) / 2) / 3) * 1e6, 2);
}

export function verdict(pack, asked) {
  const [floor, guard] = [Number(asked.floor), Number(asked.guard)];
  if (pack >= floor + guard) return "go";
  return pack < floor - guard ? "no-go" : "unproven";
}

// Returns what one bond comes to, with `pack` or `joint` left out as long as their readings are not there.
export function finding(read, asked) {
  const found = { faults: [] };
  if (!read.looks) found.faults.push("looks");
  if (!read.hammer) found.faults.push("hammer");
  if (read.pack_v !== null) {
    found.pack = verdict(read.pack_v, asked);
    if (found.pack !== "go") found.faults.push(found.pack);
  }
  if (read.forward_uv === null || read.reversed_uv === null || !(read.current_a > 0)) return found;
  if (read.forward_uv <= read.reversed_uv) return { ...found, turned: true };
  found.joint = resistance(read.forward_uv, read.reversed_uv, read.current_a);
  found.sure = sure(read.forward_uv, read.reversed_uv, read.current_a, asked);
  found.rail = asked.rails.split(" ").map((row) => rounded(Number(found.joint) / 1e6 / Number(row), 2));
  if (Number(found.joint) > Number(asked.limit)) found.faults.push("too-high");
  if (Number(found.joint) < Number(asked.tooLow)) found.faults.push("too-low");
  found.near = Math.abs(hundredths(found.joint) - hundredths(asked.limit)) < hundredths(found.sure);
  return found;
}

function readings(bond, before) {
  const field = (name) => bond.querySelector(`[name$="_${name}"]`);
  const typed = (name) => number(field(name).value, name);
  const below = field("reversed_below").checked;
  const back = typed("reversed_uv");
  return {
    looks: [...bond.querySelectorAll('[name*="_look_"]')].every((box) => box.checked),
    hammer: field("hammer_good").checked,
    pack_v: typed("pack_v"),
    forward_uv: typed("forward_uv"),
    reversed_uv: back !== null && below ? -Math.abs(back) : back,
    // Left empty, it is as for the bond before.
    current_a: field("current_a").value.trim() ? typed("current_a") : (before?.current_a ?? null),
  };
}

function tell(bond, found, words) {
  const out = (name, text) => {
    const place = bond.querySelector(`[data-out="${name}"]`);
    if (place.textContent !== text) place.textContent = text;
  };
  const faults = found.faults.map((fault) => words[`fault${fault.replace(/(?:^|-)(\w)/g, (_, letter) => letter.toUpperCase())}`]);
  const packs = { go: words.go, "no-go": words.noGo, unproven: words.unproven };
  out("pack", found.pack ? packs[found.pack] : "–");
  out("joint", found.joint ? `${found.joint} ± ${found.sure} µΩ${found.near ? `, ${words.near}` : ""}` : "–");
  const [middle, worst, best] = found.rail ?? [];
  out("rail", found.joint ? filled(words.rail, { middle, worst, best }) : "–");
  if (found.turned) out("result", words.faultOrder);
  else if (!found.pack || !found.joint) out("result", "–");
  else out("result", faults.length ? `${words.notGood} ${faults.join("; ")}` : words.good);
}

export function work(form) {
  const words = form.querySelector("[data-sheet-words]").dataset;
  let before = null;
  const whole = [];
  for (const bond of form.querySelectorAll("[data-bond]")) {
    const read = readings(bond, before);
    const found = finding(read, form.dataset);
    tell(bond, found, words);
    if (found.pack && found.joint) whole.push(found);
    before = read;
  }
  const good = whole.filter(({ faults }) => !faults.length).length;
  const share = JSON.parse(form.dataset.runs)[`${good}/${whole.length}`];
  const run = form.querySelector('[data-out="run"]');
  run.textContent = share ? filled(words.run, { good, bonds: whole.length, share }) : "";
}

export function watch(form) {
  for (const name of ["input", "change"]) form.addEventListener(name, () => work(form));
  work(form);
}
