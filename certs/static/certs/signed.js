// Opens what certs.cards.code and certs.checking.code have signed: COSE_Sign1 (RFC 9052) over deterministic CBOR
// (RFC 8949, 4.2.1) under Ed25519. One frame, one spelling; anything else throws Refused. Nothing of a payload is read
// before its signature has held. tests/certs/checking/cases.json holds this file and the Python code to the same cases.

export class Refused extends Error {}

const HEAD = [0xa2, 0x01, 0x32, 0x04, 0x44]; // {1: -19, 4: 4 bytes}
const DAYS = [-719162, 2932896]; // 1 Jan 1 to 31 Dec 9999, counted from 1 Jan 1970
const LAST_SECOND = 253402300799;
const LONGEST_CARD = 600;
const LONGEST_LIST = 400000;
const MOST_KEYS = 100;
const MOST_CARDS = 1000000;

const refuse = (why) => {
  throw new Refused(why);
};

function fromBase64url(text, longest) {
  if (text.length > longest || !/^[A-Za-z0-9_-]+$/.test(text) || text.length % 4 === 1) refuse("shape");
  const raw = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const again = btoa(raw).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  if (again !== text) refuse("shape");
  return Uint8Array.from(raw, (letter) => letter.charCodeAt(0));
}

export const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

// Whole numbers, strings of bytes, texts, arrays, maps with whole keys in order, null and tag 18: no more is needed.
export function decode(bytes) {
  let at = 0;
  const take = (count) => {
    if (count > bytes.length - at) refuse("cut off");
    at += count;
    return bytes.subarray(at - count, at);
  };
  const head = () => {
    const [first] = take(1);
    const info = first & 31;
    if (info < 24) return [first >> 5, info];
    if (info > 27 || first >> 5 === 7) refuse("kind");
    const size = 1 << (info - 24);
    let number = 0;
    for (const byte of take(size)) number = number * 256 + byte;
    if (!Number.isSafeInteger(number) || number < (size === 1 ? 24 : 2 ** (4 * size))) refuse("spelling");
    return [first >> 5, number];
  };
  const value = (depth) => {
    if (depth > 4) refuse("depth");
    const [kind, number] = head();
    if (kind === 0) return number;
    if (kind === 1) return -1 - number;
    if (kind === 2) return take(number);
    if (kind === 3) return text(take(number));
    if (kind === 4) return list(number, depth);
    if (kind === 5) return map(number, depth);
    if (kind === 6 && number === 18) return { tagged: value(depth + 1) };
    return kind === 7 && number === 22 ? null : refuse("kind");
  };
  const list = (count, depth) => {
    const found = [];
    while (found.length < count) found.push(value(depth + 1));
    return found;
  };
  const map = (count, depth) => {
    const found = new Map();
    for (let last = -1; found.size < count; ) {
      const [kind, key] = head();
      if (kind !== 0 || key <= last) refuse("keys");
      found.set(key, value(depth + 1));
      last = key;
    }
    return found;
  };
  const found = value(0);
  if (at !== bytes.length) refuse("more follows");
  return found;
}

function text(bytes) {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return refuse("text");
  }
}

function bytesOf(content) {
  const size = content.length;
  if (size < 24) return [0x40 + size, ...content];
  if (size < 256) return [0x58, size, ...content];
  if (size < 65536) return [0x59, size >> 8, size & 255, ...content];
  return [0x5a, size >>> 24, (size >> 16) & 255, (size >> 8) & 255, size & 255, ...content];
}

// Verifies by the browser itself, else by the file at `fallback`.
async function holds(key, signature, message, fallback) {
  try {
    const known = await crypto.subtle.importKey("raw", key, { name: "Ed25519" }, false, ["verify"]);
    return await crypto.subtle.verify("Ed25519", known, signature, message);
  } catch {
    const { verifyAsync } = await import(fallback);
    return verifyAsync(signature, message, key, { zip215: false }).catch(() => false);
  }
}

// `keys` maps the hexadecimal id of a key to its 32 bytes.
async function open(text, keys, { purpose, longest, fallback }) {
  const frame = decode(fromBase64url(text, longest))?.tagged;
  if (!Array.isArray(frame) || frame.length !== 4) refuse("frame");
  const [head, free, payload, signature] = frame;
  if (!(head instanceof Uint8Array) || head.length !== 9 || HEAD.some((byte, place) => head[place] !== byte)) refuse("head");
  if (!(free instanceof Map) || free.size || !(payload instanceof Uint8Array)) refuse("frame");
  if (!(signature instanceof Uint8Array) || signature.length !== 64) refuse("frame");
  const name = hex(head.subarray(5));
  const key = keys.get(name);
  if (!key) refuse("key");
  const words = ["Signature1", purpose].map((word) => new TextEncoder().encode(word));
  const [begin, use] = [[0x84, 0x60 + words[0].length, ...words[0]], bytesOf(words[1])];
  const message = Uint8Array.from([...begin, ...bytesOf(head), ...use, ...bytesOf(payload)]);
  if (!(await holds(key, signature, message, fallback))) refuse("signature");
  return { name, payload };
}

// The values of the map {0: .., 1: ..}, each of its kind: "number", "string", "bytes" or "list".
function facts(payload, kinds) {
  const said = decode(payload);
  if (!(said instanceof Map) || said.size !== kinds.length) refuse("facts");
  return kinds.map((kind, place) => (is(kind, said.get(place)) ? said.get(place) : refuse("facts")));
}

function is(kind, value) {
  if (kind === "bytes") return value instanceof Uint8Array;
  return kind === "list" ? Array.isArray(value) : typeof value === kind;
}

const day = (number) => (DAYS[0] <= number && number <= DAYS[1] ? number : refuse("day"));
const second = (number) => (number >= 0 && number <= LAST_SECOND ? number : refuse("moment"));

// Days are counted from 1 Jan 1970, as in the code.
export async function openCard(text, keys, fallback) {
  const { name, payload } = await open(text, keys, { purpose: "", longest: LONGEST_CARD, fallback });
  const said = facts(payload, ["number", "string", "string", "string", ...Array(5).fill("number")]);
  const [version, holder, number, scheme, ...days] = said;
  const place = days.pop();
  if (version !== 2 || place < 0) refuse("version");
  const [validFrom, lastDay, confirmBy, issuedOn] = days.map(day);
  return { key: name, holder, number, scheme, validFrom, lastDay, confirmBy, issuedOn, place };
}

export async function openKeys(text, root, fallback) {
  const name = await idOf(root);
  const { payload } = await open(text, new Map([[name, root]]), { purpose: "list of keys", longest: LONGEST_LIST, fallback });
  const [version, sequence, made, rows] = facts(payload, ["number", "number", "number", "list"]);
  if (version !== 1 || sequence < 1 || rows.length > MOST_KEYS) refuse("version");
  const keys = new Map();
  for (const row of rows) {
    if (!Array.isArray(row) || row.length !== 4) refuse("key");
    const [bytes, from, to, broken] = row;
    if (!is("bytes", bytes) || bytes.length !== 32 || !is("number", from) || !is("number", to)) refuse("key");
    if (broken !== null && !is("number", broken)) refuse("key");
    keys.set(await idOf(bytes), { bytes, from: day(from), to: day(to), broken: broken === null ? null : day(broken) });
  }
  return { sequence, made: second(made), keys };
}

export async function openStatuses(text, keys, fallback) {
  const { name, payload } = await open(text, keys, { purpose: "list of cards", longest: LONGEST_LIST, fallback });
  const [version, sequence, made, goodUntil, size, packed] = facts(payload, [...Array(5).fill("number"), "bytes"]);
  if (version !== 1 || sequence < 1 || size < 0 || size > MOST_CARDS) refuse("version");
  const bits = await inflate(packed, Math.ceil(size / 4));
  for (let place = size; place < bits.length * 4; place += 1) if (status(bits, place)) refuse("bits");
  return { key: name, sequence, made: second(made), goodUntil: second(goodUntil), size, status: (place) => status(bits, place) };
}

// 0 valid, 1 suspended, 2 withdrawn, 3 replaced.
const status = (bits, place) => (bits[Math.floor(place / 4)] >> (2 * (place % 4))) & 3;

async function idOf(key) {
  return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", key)).subarray(0, 4));
}

// Raw DEFLATE (RFC 1951) of exactly `size` bytes: no more than that is ever unpacked but for one piece.
async function inflate(packed, size) {
  const found = new Uint8Array(size);
  let filled = 0;
  try {
    const reader = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw")).getReader();
    for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
      if (filled + piece.value.length > size) {
        reader.cancel().catch(() => undefined);
        return refuse("size");
      }
      found.set(piece.value, filled);
      filled += piece.value.length;
    }
  } catch {
    return refuse("packed");
  }
  return filled === size ? found : refuse("size");
}
