"use strict";
/* Reads and verifies what a record carries, by the standards alone: base32, CBOR, COSE, signed notes,
   the tree and its tiles.  A text in say`…` is a message: it is put into the language of the page
   when the script is made, with plain names in its holes. */

class Contradiction extends Error {}
class NotChecked extends Error {}
const refuse = (says) => { throw new Contradiction(says); };
const passOver = (says) => { throw new NotChecked(says); };

/* Bytes and texts */
const utf8 = (text) => new TextEncoder().encode(text);
const readUtf8 = (bytes) => new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
const hex = (bytes) => Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
const same = (a, b) => hex(a) === hex(b);
const groups = (bytes) => hex(bytes).toUpperCase().match(/.{4}/g).join(" ");
const joined = (...parts) => Uint8Array.from(parts.flatMap((part) => Array.from(part)));
const toBase64 = (bytes) => btoa(Array.from(bytes, (one) => String.fromCharCode(one)).join(""));
const find = (where) => document.querySelector(where);

function base64(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  return toBase64(bytes) === text ? bytes : refuse(say`A text in base64 is damaged.`);
}

function base32(text) {
  const bytes = [];
  let bits = 0, value = 0;
  for (const letter of text.toUpperCase()) {
    const five = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567".indexOf(letter);
    if (five < 0) refuse(say`The code is damaged. Scan it once more.`);
    value = (value << 5 | five) & 4095;
    bits += 5;
    if (bits >= 8) bytes.push(value >> (bits -= 8) & 255);
  }
  if (bits >= 5 || value & (1 << bits) - 1) refuse(say`The code is cut off. Scan it once more.`);
  return Uint8Array.from(bytes);
}

/* CBOR (RFC 8949), of its one canonical form as much as a claim uses */
function cbor(bytes) {
  let at = 0;
  const bad = () => refuse(say`The claim is damaged: it is not canonical CBOR.`);
  const take = (count) => {
    if (at + count > bytes.length) bad();
    at += count;
    return bytes.slice(at - count, at);
  };
  const length = (info) => {
    if (info < 24) return info;
    if (info > 27) bad();
    const value = take(1 << info - 24).reduce((sum, one) => sum * 256 + one, 0);
    if (value < [24, 256, 65536, 2 ** 32][info - 24] || value >= 2 ** 53) bad();
    return value;
  };
  const map = (count) => {
    const found = new Map();
    for (let before = ""; count > 0; count -= 1) {
      const start = at, key = item(), coded = hex(bytes.slice(start, at));
      if (coded <= before) bad();
      found.set(key, item());
      before = coded;
    }
    return found;
  };
  const item = () => {
    const first = take(1)[0], count = length(first & 31), list = [];
    switch (first >> 5) {
      case 0: return count;
      case 1: return -1 - count;
      case 2: return take(count);
      case 3: return readUtf8(take(count));
      case 4: while (list.length < count) list.push(item()); return list;
      case 5: return map(count);
      case 6: return { tag: count, value: item() };
      default: return bad();
    }
  };
  const whole = bytes.length > 2048 ? bad() : item();
  return at === bytes.length ? whole : bad();
}

/* COSE_Sign1 (RFC 9052) and the claim in it */
function takeApart(message) {
  const { tag, value } = cbor(message), four = tag === 18 && Array.isArray(value) && value.length === 4;
  const [headers, open, payload, signature] = four ? value : [];
  const bytes = [headers, payload, signature].every((one) => one instanceof Uint8Array);
  if (!bytes || !(open instanceof Map)) refuse(say`This is no signed claim.`);
  return { headers, open, payload, signature };
}

function toBeSigned(headers, payload) {
  const counted = (major, bytes) => joined(
    bytes.length < 24 ? [major + bytes.length]
      : bytes.length < 256 ? [major + 24, bytes.length]
        : [major + 25, bytes.length >> 8, bytes.length & 255], bytes);
  return joined([0x84], counted(0x60, utf8("Signature1")), counted(0x40, headers),
    counted(0x40, []), counted(0x40, payload));
}

function keyNamed({ headers, open }) {
  const head = cbor(headers), id = head instanceof Map && head.get(4);
  const fit = id instanceof Uint8Array && id.length === 8 && head.size === 2 && open.size === 0;
  return fit && [-19, -8].includes(head.get(1)) ? id : refuse(say`The claim's headers are not those of a certificate.`);
}

const PAPERS = ["finished", "raw_metal", "reservation", "from_object"];
const TEXTS = [["number", 1], ["origin", 6], ["artist", 8], ["title", 9], ["designation", 10], ["cast", 11], ["issued", 12]];

function claimOf(payload) {
  const map = cbor(payload), bad = () => refuse(say`The claim in the code cannot be read.`);
  if (!(map instanceof Map) || map.get(0) !== 1) bad();
  const [leaf, index, size, root, paper] = [2, 3, 4, 5, 7].map((key) => map.get(key));
  const claim = { leaf, index, size, root, paper: PAPERS[paper] };
  for (const [name, key] of TEXTS) claim[name] = map.get(key) ?? null;
  const text = TEXTS.every(([name, key]) => claim[name] && claim[name].normalize || claim[name] === null && (key === 10 || key === 11));
  const known = [...map.keys()].every((key) => Number.isInteger(key) && key >= 0 && key <= 12);
  if (!text || !known || !claim.paper || leaf.length !== 32 || root.length !== 32 || !(index < size)) bad();
  return claim;
}

/* Digests and signatures, by the browser's own cryptography */
const sha256 = async (...parts) =>
  new Uint8Array(await crypto.subtle.digest("SHA-256", joined(...parts)));

async function signed(key, signature, message) {
  let ready;
  try {
    ready = await crypto.subtle.importKey("raw", key, { name: "Ed25519" }, false, ["verify"]);
  } catch (fault) {
    if (fault.name === "NotSupportedError") passOver(say`This browser cannot check Ed25519 signatures.`);
    refuse(say`The key that this page shows is no key.`);
  }
  return crypto.subtle.verify({ name: "Ed25519" }, ready, signature, message);
}

/* A public key's text, a signed note, a checkpoint (C2SP signed-note, tlog-checkpoint) */
async function keyOf(text) {
  const [, name, id, coded] = /^([^\s+]+)\+([0-9a-f]{8})\+(\S+)$/.exec(text) ?? refuse(say`This page shows no key.`);
  const typed = base64(coded), made = (await sha256(utf8(`${name}\n`), typed)).slice(0, 4);
  if (typed.length !== 33 || typed[0] !== 1 || hex(made) !== id) refuse(say`This page shows no key.`);
  return { name, id: made, raw: typed.slice(1), print: await sha256(typed.slice(1)) };
}

/* The text of a signed note (C2SP signed-note), once a key of the book's log is verified. */
const sealsOf = (note, key) => note.slice(note.lastIndexOf("\n\n") + 2).split("\n")
  .filter((line) => line.startsWith(`— ${key.name} `)).map((line) => base64(line.slice(key.name.length + 3)))
  .filter((seal) => same(seal.slice(0, 4), key.id));

async function openNote(note, keys, unsigned, broken) {
  const text = note.slice(0, note.lastIndexOf("\n\n") + 1), key = keys.find((one) => sealsOf(note, one).length);
  if (!text || !key) refuse(unsigned);
  for (const seal of sealsOf(note, key)) {
    if (!await signed(key.raw, seal.slice(4), utf8(text))) refuse(broken);
  }
  return text;
}

/* The log's key of issue and those that followed, as far as a key that is trusted here countersigned
   them; asked for only where the note is not by the first. */
const HANDOVER = /(bronzebook-countersign-1\nbook (\S+)\nparty \S+\nuse (foundry|log)\nkey (\S+)\n)by \S+\nsignature (\S+)\n/g;

async function logKeys(note, first, foundry) {
  const keys = [first], trusted = [first, foundry];
  const file = sealsOf(note, first).length ? null : await fetched("/rotations.txt");
  for (const [, text, book, use, key, seal] of file ? readUtf8(file).matchAll(HANDOVER) : []) {
    const vouched = await Promise.all(trusted.map((one) => signed(one.raw, base64(seal), utf8(text))));
    if (book !== first.name || !vouched.includes(true)) continue;
    trusted.push(await keyOf(key));
    if (use === "log") keys.push(trusted.at(-1));
  }
  return keys;
}

async function openCheckpoint(note, keys) {
  const text = await openNote(note, keys, say`The checkpoint is not signed by the book’s key.`,
    say`The signature of the checkpoint does not hold.`);
  const [, origin, size, root] = /^(.+)\n(0|[1-9]\d{0,15})\n(\S{44})\n$/.exec(text) ?? refuse(say`This is no checkpoint.`);
  if (origin !== keys[0].name) refuse(say`The checkpoint is that of another book.`);
  return { origin, size: Number(size), root: base64(root) };
}

/* The status note: what no longer stands, by issuing leaf, as of a date. */
async function openStatus(note, keys) {
  const text = await openNote(note, keys, say`The status note is not signed by the book’s key.`,
    say`The signature of the status note does not hold.`);
  const head = /^bronzebook-status-1\norigin (.+)\nissued (\S{20})\nsize (0|[1-9]\d{0,15})\nroot \S{44}\n/;
  const [all, origin, issued, size] = head.exec(text) ?? refuse(say`This is no status note.`);
  if (origin !== keys[0].name) refuse(say`The status note is that of another book.`);
  const ended = text.slice(all.length).split("\n").slice(0, -2).map((line) => line.split(" "));
  return { issued, size: Number(size), ended: new Map(ended.map(([leaf, word, on]) => [leaf, [word, on]])) };
}

/* The tree (RFC 9162, 2.1) */
const leafHash = (entry) => sha256([0], entry);
const nodeHash = (left, right) => sha256([1], left, right);

async function rootFrom(leaf, index, size, path) {
  let at = leaf, number = index, last = size - 1;
  if (!(index < size)) refuse(say`The checkpoint does not cover this entry.`);
  for (const other of path) {
    if (last === 0) refuse(say`The proof is longer than the tree is high.`);
    const right = number % 2 === 1 || number === last;
    at = await (right ? nodeHash(other, at) : nodeHash(at, other));
    while (right && number % 2 === 0 && number > 0) [number, last] = [number / 2, Math.floor(last / 2)];
    [number, last] = [Math.floor(number / 2), Math.floor(last / 2)];
  }
  return last === 0 ? at : refuse(say`The proof is shorter than the tree is high.`);
}

/* The root over leaves low to high.  Nodes astride the old size are taken apart, so that the roots
   of the old and the new size are made from the same nodes: the one then holds the other unchanged. */
async function rootOver(low, high, old, read) {
  let half = 1;
  while (half * 2 < high - low) half *= 2;
  const full = high - low === 1 ? 1 : half * 2;
  if (full === high - low && (high <= old || low >= old)) return read(Math.log2(full), low / full);
  return nodeHash(await rootOver(low, low + half, old, read), await rootOver(low + half, high, old, read));
}

function tilePath(level, index, width) {
  const parts = [String(index % 1000).padStart(3, "0")];
  for (let rest = Math.floor(index / 1000); rest; rest = Math.floor(rest / 1000)) {
    parts.unshift(`x${String(rest % 1000).padStart(3, "0")}`);
  }
  return `/tile/${level}/${parts.join("/")}${width < 256 ? `.p/${width}` : ""}`;
}

/* Reads nodes from the tiles (C2SP tlog-tiles) of a tree of this size; asks for each tile once. */
function tiles(size, fetched) {
  const asked = {}, ask = (path) => asked[path] ??= fetched(path);
  return async (level, index) => {
    const row = Math.floor(level / 8), below = 2 ** (level % 8), at = Math.floor(index * below / 256);
    const width = Math.min(256, Math.floor(size / 256 ** row) - at * 256), start = index * below % 256;
    const tile = await ask(tilePath(row, at, width)) ?? await ask(tilePath(row, at, 256));
    if (!tile) passOver(say`Growth was not checked: this site does not publish the tree.`);
    let hashes = Array.from({ length: below }, (_, one) => tile.slice((start + one) * 32, (start + one) * 32 + 32));
    while (hashes.length > 1) {
      hashes = await Promise.all(hashes.filter((_, one) => one % 2 === 0).map((left, one) => nodeHash(left, hashes[one * 2 + 1])));
    }
    return hashes[0];
  };
}

async function fetched(path) {
  let answer;
  try {
    answer = await fetch(path, { cache: "no-cache", credentials: "omit", redirect: "error" });
  } catch {
    passOver(say`Not bridged to today: this site does not answer.`);
  }
  return answer.ok ? new Uint8Array(await answer.arrayBuffer()) : null;
}
