"use strict";
/* Checks this record on the reader's own machine.  What is checked lies in this page, or in the code
   that was scanned (the address after "#"); the server is believed in nothing.  Text is only ever
   put in as text.  Nothing here can tell whose the key is: that is for the eye. */

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
const toBase64 = (bytes) => btoa(String.fromCharCode(...bytes));

function base64(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const whole = Array.from(bytes, (one) => String.fromCharCode(one)).join("");
  return btoa(whole) === text ? bytes : refuse("A text in base64 is damaged.");
}

function base32(text) {
  const bytes = [];
  let bits = 0, value = 0;
  for (const letter of text.toUpperCase()) {
    const five = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567".indexOf(letter);
    if (five < 0) refuse("The code is damaged. Scan it once more.");
    value = (value << 5 | five) & 4095;
    bits += 5;
    if (bits >= 8) bytes.push(value >> (bits -= 8) & 255);
  }
  if (bits >= 5 || value & (1 << bits) - 1) refuse("The code is cut off. Scan it once more.");
  return Uint8Array.from(bytes);
}

/* CBOR (RFC 8949), of its one canonical form as much as a claim uses */
function cbor(bytes) {
  let at = 0;
  const bad = () => refuse("The claim is damaged: it is not canonical CBOR.");
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
  const { tag, value } = cbor(message);
  const bytes = (one) => one instanceof Uint8Array;
  if (tag !== 18 || !Array.isArray(value) || value.length !== 4) refuse("This is no signed claim.");
  const [protectedBytes, open, payload, signature] = value;
  if (!bytes(protectedBytes) || !(open instanceof Map) || !bytes(payload) || !bytes(signature)) {
    refuse("This is no signed claim.");
  }
  return { protectedBytes, open, payload, signature };
}

function toBeSigned(protectedBytes, payload) {
  const counted = (major, bytes) => joined(
    bytes.length < 24 ? [major + bytes.length]
      : bytes.length < 256 ? [major + 24, bytes.length]
        : [major + 25, bytes.length >> 8, bytes.length & 255], bytes);
  return joined([0x84], counted(0x60, utf8("Signature1")), counted(0x40, protectedBytes),
    counted(0x40, []), counted(0x40, payload));
}

function keyNamed({ protectedBytes, open }) {
  const head = cbor(protectedBytes), id = head instanceof Map && head.get(4);
  const fit = id instanceof Uint8Array && id.length === 8 && head.size === 2 && open.size === 0;
  return fit && [-19, -8].includes(head.get(1)) ? id : refuse("The claim's headers are not those of a certificate.");
}

const PAPERS = ["finished", "raw_metal", "reservation", "from_object"];
const TEXTS = [["number", 1], ["origin", 6], ["artist", 8], ["title", 9], ["designation", 10], ["cast", 11], ["issued", 12]];

function claimOf(payload) {
  const map = cbor(payload), bad = () => refuse("The claim in the code cannot be read.");
  if (!(map instanceof Map) || map.get(0) !== 1) bad();
  const [leaf, index, size, root, paper] = [2, 3, 4, 5, 7].map((key) => map.get(key));
  const claim = { leaf, index, size, root, paper: PAPERS[paper] };
  for (const [name, key] of TEXTS) claim[name] = map.get(key) ?? null;
  const text = TEXTS.every(([name, key]) => key === 10 || key === 11 ? claim[name] === null || claim[name]
    : claim[name] && claim[name].normalize);
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
    if (fault.name === "NotSupportedError") passOver("This browser cannot check Ed25519 signatures.");
    refuse("The key that this page shows is no key.");
  }
  return crypto.subtle.verify({ name: "Ed25519" }, ready, signature, message);
}

/* A public key's text, a signed note, a checkpoint (C2SP signed-note, tlog-checkpoint) */
async function keyOf(text) {
  const [, name, id, coded] = /^([^\s+]+)\+([0-9a-f]{8})\+(\S+)$/.exec(text) ?? refuse("This page shows no key.");
  const typed = base64(coded), made = (await sha256(utf8(`${name}\n`), typed)).slice(0, 4);
  if (typed.length !== 33 || typed[0] !== 1 || hex(made) !== id) refuse("This page shows no key.");
  return { name, id: made, raw: typed.slice(1), print: await sha256(typed.slice(1)) };
}

/* The text of a signed note (C2SP signed-note), once a key of the book's log is verified. */
const sealsOf = (note, key) => note.slice(note.lastIndexOf("\n\n") + 2).split("\n")
  .filter((line) => line.startsWith(`— ${key.name} `)).map((line) => base64(line.slice(key.name.length + 3)))
  .filter((seal) => same(seal.slice(0, 4), key.id));

async function openNote(note, keys, what) {
  const text = note.slice(0, note.lastIndexOf("\n\n") + 1), key = keys.find((one) => sealsOf(note, one).length);
  if (!text || !key) refuse(`The ${what} is not signed by the book’s key.`);
  for (const seal of sealsOf(note, key)) {
    if (!await signed(key.raw, seal.slice(4), utf8(text))) refuse(`The signature of the ${what} does not hold.`);
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
  const text = await openNote(note, keys, "checkpoint");
  const [, origin, size, root] = /^(.+)\n(0|[1-9]\d{0,15})\n(\S{44})\n$/.exec(text) ?? refuse("This is no checkpoint.");
  if (origin !== keys[0].name) refuse("The checkpoint is that of another book.");
  return { origin, size: Number(size), root: base64(root) };
}

/* The status note: what no longer stands, by issuing leaf, as of a date. */
async function openStatus(note, keys) {
  const text = await openNote(note, keys, "status note");
  const head = /^bronzebook-status-1\norigin (.+)\nissued (\S{20})\nsize (0|[1-9]\d{0,15})\nroot \S{44}\n/;
  const [all, origin, issued, size] = head.exec(text) ?? refuse("This is no status note.");
  if (origin !== keys[0].name) refuse("The status note is that of another book.");
  const ended = text.slice(all.length).split("\n").slice(0, -2).map((line) => line.split(" "));
  return { issued, size: Number(size), ended: new Map(ended.map(([leaf, word, on]) => [leaf, [word, on]])) };
}

/* The tree (RFC 9162, 2.1) */
const leafHash = (entry) => sha256([0], entry);
const nodeHash = (left, right) => sha256([1], left, right);

async function rootFrom(leaf, index, size, path) {
  let at = leaf, number = index, last = size - 1;
  if (!(index < size)) refuse("The checkpoint does not cover this entry.");
  for (const other of path) {
    if (last === 0) refuse("The proof is longer than the tree is high.");
    const right = number % 2 === 1 || number === last;
    at = await (right ? nodeHash(other, at) : nodeHash(at, other));
    while (right && number % 2 === 0 && number > 0) [number, last] = [number / 2, Math.floor(last / 2)];
    [number, last] = [Math.floor(number / 2), Math.floor(last / 2)];
  }
  return last === 0 ? at : refuse("The proof is shorter than the tree is high.");
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

/* Reads nodes from the tiles (C2SP tlog-tiles) of a tree of this size. */
function tiles(size, fetched) {
  return async (level, index) => {
    const row = Math.floor(level / 8), below = 2 ** (level % 8), at = Math.floor(index * below / 256);
    const width = Math.min(256, Math.floor(size / 256 ** row) - at * 256), start = index * below % 256;
    const tile = await fetched(tilePath(row, at, width)) ?? await fetched(tilePath(row, at, 256));
    if (!tile) passOver("Growth was not checked: this site does not publish the tree.");
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
    passOver("Not bridged to today: this site does not answer.");
  }
  return answer.ok ? new Uint8Array(await answer.arrayBuffer()) : null;
}

/* The steps: each returns what agrees, in words, or refuses, or passes over */
const STEPS = [
  ["Claim", async (known) => {
    const code = location.hash.slice(1), scanned = code && !document.getElementById(code);
    if (!scanned && !known.claim) passOver("This page came without the signed claim. Scan the code on the paper to have it checked here.");
    known.message = scanned ? base32(code) : base64(known.claim);
    known.parts = takeApart(known.message);
    known.said = claimOf(known.parts.payload);
    if (known.said.number !== known.number) refuse(`The claim is that of certificate ${known.said.number}, this page that of ${known.number}.`);
    return `Read from ${scanned ? "the code that was scanned" : "this page, which carries it as the paper’s code does"}.`;
  }],
  ["Signature of the foundry", async (known) => {
    const { parts } = known, key = known.foundryKey = await keyOf(known.foundry);
    if (!known.said) passOver("Without a claim there is no signature to check.");
    if (!same(keyNamed(parts), key.print.slice(0, 8))) refuse("The claim names another key than the one shown here.");
    if (known.said.origin !== key.name) refuse(`The claim is of the book ${known.said.origin}, the key of ${key.name}.`);
    if (!await signed(key.raw, parts.signature, toBeSigned(parts.protectedBytes, parts.payload))) {
      refuse("The signature does not hold: the claim was altered, or never signed with this key.");
    }
    return "The claim is signed with the key shown below.";
  }],
  ["Entry", async (known) => {
    const bytes = base64(known.entry), entry = JSON.parse(readUtf8(bytes));
    known.leaf = await leafHash(bytes);
    if (known.said && !same(known.leaf, known.said.leaf)) refuse("The entry does not hash to the leaf that the claim names.");
    if (entry.kind !== "certificate_issued" || entry.subject !== known.number || entry.facts.number !== known.number) {
      refuse("The entry issues another certificate.");
    }
    known.statement = entry.facts.statement;
    return known.said ? "The entry’s bytes, hashed here, give the leaf that the claim names."
      : `The entry’s bytes, hashed here, give the leaf ${groups(known.leaf.slice(0, 8))} …: compare the paper.`;
  }],
  ["Inclusion", async (known) => {
    const cut = known.proof.indexOf("\n\n"), [first, place, ...path] = known.proof.slice(0, cut).split("\n");
    if (first !== "c2sp.org/tlog-proof@v1" || !/^index \d{1,16}$/.test(place)) refuse("The proof cannot be read.");
    known.note = known.proof.slice(cut + 2);
    const size = Number(known.note.split("\n")[1]), index = Number(place.slice(6));
    known.root = await rootFrom(known.leaf, index, size, path.map(base64));
    if (known.said && (index !== known.said.index || size !== known.said.size || !same(known.root, known.said.root))) {
      refuse("The proof does not lead to the place and root that the claim names.");
    }
    return `From the leaf of entry ${index}, ${path.length} hashes lead to a root over ${size} entries.`;
  }],
  ["Checkpoint", async (known) => {
    known.logKey = await keyOf(known.log);
    const issued = await openCheckpoint(known.note, [known.logKey]);
    if (known.logKey.name !== known.foundryKey.name) refuse("The two keys are of different books.");
    if (!known.root || !same(issued.root, known.root)) refuse("The entry does not lead to the root that was signed.");
    known.issued = issued;
    return `That root was signed by the key of the book ${issued.origin}, when the paper was issued.`;
  }],
  ["Words of the claim", async ({ said, statement }) => {
    if (!said) passOver("Without a claim there are no words to compare.");
    const cut = (short, long) => short.endsWith("…") && long.length > short.length && long.startsWith(short.slice(0, -1));
    for (const name of ["number", "paper", "artist", "title", "designation", "cast", "issued"]) {
      const whole = statement[name] ?? null;
      if (said[name] !== whole && !(whole && said[name] && cut(said[name], whole))) {
        refuse(`As ${name} the claim says “${said[name]}”, the sealed entry “${whole}”.`);
      }
    }
    return "Number, artist, title, designation and dates of the claim are those of the sealed entry.";
  }],
  ["Words of this page", async ({ statement, leaf, root, foundryKey }) => {
    const texts = (where) => Array.from(document.querySelectorAll(where), (one) => one.textContent.trim());
    const code = (where) => texts(`#proof ${where} code`).join("").replaceAll(" ", "").toLowerCase();
    const shown = [
      ["number", texts(".no")[0].replaceAll(/\s/g, ""), statement.number],
      ["artist", texts(".artist bdi")[0], statement.artist],
      ["title", texts("h1")[0], statement.title],
      ["designation", texts(".designation bdi")[0], statement.designation ?? texts(".designation bdi")[0]],
      ["marks", texts(".compare .mark").join(" · "), (statement.marks ?? []).map((mark) => mark.text.trim()).join(" · ")],
      ["leaf", code(".leaf"), hex(leaf)],
      ["root", code(".root"), hex(root)],
      ["fingerprint", code(".print"), hex(foundryKey.print)],
    ];
    for (const [name, here, sealed] of shown) {
      if (here !== sealed) refuse(`As ${name} this page shows “${here}”; what is sealed is “${sealed}”.`);
    }
    return "Number, artist, title, designation and marks shown above are those of the sealed entry; leaf, root and fingerprint are those found here.";
  }],
  ["Photograph", async (known) => {
    const picture = document.querySelector("figure img"), digest = known.statement.photograph;
    if (!digest || !picture) passOver(digest ? "The photograph is not on this page." : "None was sealed with this certificate.");
    const source = picture.getAttribute("src");
    known.picture = source.startsWith("data:") ? base64(source.split(",")[1]) : await fetched(source);
    if (!known.picture) passOver("The photograph is not at hand.");
    return hex(await sha256(known.picture)) === digest ? "The photograph shown is the one whose digest was sealed." : refuse("The photograph shown is not the one that was sealed.");
  }],
  ["The book today", async (known) => {
    const { kept, issued, logKey, foundryKey } = known;
    if (kept) passOver(`This page was kept on ${kept} and asks no network. Look at its address for the book today.`);
    if (!issued) passOver("Without the checkpoint of issue there is nothing to bridge.");
    const note = await fetched("/checkpoint") ?? passOver("Not bridged to today: this site publishes no checkpoint.");
    known.logKeys = await logKeys(readUtf8(note), logKey, foundryKey);
    const today = known.today = await openCheckpoint(readUtf8(note), known.logKeys);
    if (today.size < issued.size) refuse(`The book has shrunk: ${today.size} entries today, ${issued.size} when this was issued.`);
    const read = tiles(today.size, fetched);
    const [before, now] = [await rootOver(0, issued.size, issued.size, read), await rootOver(0, today.size, issued.size, read)];
    if (!same(now, today.root)) refuse("The tree that this site publishes is not that of today’s checkpoint.");
    if (!same(before, issued.root)) refuse("The book was rewritten: today’s checkpoint does not hold the one under which this was issued.");
    return `Today’s signed checkpoint, of ${today.size} entries, holds that one unchanged.`;
  }],
  ["Standing today", async ({ kept, issued, logKey, logKeys: keys, leaf, today }) => {
    if (kept) passOver(`This page was kept on ${kept}: it cannot say how the paper stands today.`);
    const note = await fetched("/status") ?? passOver("This site publishes no status note.");
    const status = await openStatus(readUtf8(note), keys ?? [logKey]), old = `The status note, of ${status.issued}, is old:`;
    const shown = document.querySelector("[aria-label=Standing]").className;
    const [word, on] = status.ended.get(hex(leaf)) ?? [], said = word === "disputed" ? "withdrawn" : word;
    if (word && !shown.includes(said)) refuse(`This is an old page, or one that was altered: the paper is ${word} since ${on}, as the status note of ${status.issued} says.`);
    if (issued && status.size < issued.size) passOver(`${old} it was made before this paper was issued.`);
    if (today && status.size < today.size) passOver(`${old} it speaks of ${status.size} entries, the book has ${today.size}.`);
    if (!word && !/stands|reservation|contradicts/.test(shown)) passOver(`The status note of ${status.issued} does not name this paper.`);
    return `As the page shows, by the book’s status note of ${status.issued}.`;
  }],
  ["Whose key it is", async ({ foundryKey }) => passOver(`For you to compare, always: ${groups(foundryKey.print)}. Ask an independent place for the fingerprint: the artist, a museum, an earlier certificate.`)],
];

/* Showing */
function told(section, name, result, says) {
  const put = (kind, text) => Object.assign(document.createElement(kind), { textContent: text });
  const item = document.createElement("li"), line = document.createElement("p");
  const sign = section.querySelector("template").content.querySelector(`.${result.replace(" ", "-")}`);
  const word = Object.assign(put("span", result), { className: "result" });
  line.append(put("b", name), " ", word, document.createElement("br"), says);
  item.className = result.replace(" ", "-");
  item.append(sign.cloneNode(true), line);
  section.querySelector("ul").append(item);
}

async function take(step, known) {
  try {
    return ["agrees", await step(known)];
  } catch (fault) {
    if (fault instanceof NotChecked) return ["not checked", fault.message];
    return ["contradicts", fault instanceof Contradiction ? fault.message : "What this check needs is missing or cannot be read."];
  }
}

async function checkPage(section, known) {
  const sum = section.querySelector("[role=status]"), found = { agrees: 0, contradicts: 0, "not checked": 0 };
  section.hidden = false;
  if (!globalThis.crypto?.subtle) {
    sum.textContent = "This browser cannot check here: it needs https, and a browser that knows cryptography. Take the certificate’s file instead, and run the command below.";
    return;
  }
  sum.textContent = "Checking …";
  for (const [name, step] of STEPS) {
    const [result, says] = await take(step, known);
    found[result] += 1;
    told(section, name, result, says);
  }
  const bad = found.contradicts, missed = found["not checked"] - 1, alarm = document.getElementById("alarm");
  if (alarm) alarm.hidden = bad === 0;
  sum.textContent = bad ? `${bad} of ${STEPS.length} checks contradict. Do not rely on this page; keep the paper.`
    : `${found.agrees} checks agree${missed ? `, ${missed} could not be made here` : ""}. That proves only that the page agrees with itself: now compare the fingerprint.`;
}

/* Keeping: this page as one file that still checks itself, without a network */
function keptPage(known) {
  const { message, picture, number, entry, proof, foundry, log } = known;
  const root = document.implementation.createHTMLDocument("").importNode(document.documentElement, true);
  const find = (where) => root.querySelector(where), policy = find("meta[http-equiv]");
  policy.content = policy.content.replace("img-src 'self'", "img-src data:").replace(" connect-src 'self';", "");
  const data = { number, entry, proof, foundry, log, claim: message ? toBase64(message) : "", kept: new Date().toISOString().slice(0, 10) };
  find("#carried").replaceChildren(JSON.stringify(data).replaceAll("<", "\\u003c"));
  if (find("figure img")) find("figure img").setAttribute("src", picture ? `data:image/jpeg;base64,${btoa(Array.from(picture, (one) => String.fromCharCode(one)).join(""))}` : "data:,");
  for (const link of root.querySelectorAll("a[href^='/']")) link.removeAttribute("href");
  for (const gone of [find("link[rel=icon]"), find(".keep"), ...find("#check ul").children]) gone.remove();
  find("#check [role=status]").textContent = "";
  for (const part of root.querySelectorAll("#check, #alarm")) part.hidden = true;
  return `<!doctype html>\n${root.outerHTML}\n`;
}

function keep(known) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([keptPage(known)], { type: "text/html;charset=utf-8" }));
  link.download = `${known.number}.html`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

const known = JSON.parse(document.getElementById("carried").textContent), section = document.getElementById("check");
const checked = checkPage(section, known);
section.querySelector("button")?.addEventListener("click", () => checked.then(() => keep(known)));
