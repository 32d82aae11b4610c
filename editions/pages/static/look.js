/* Looking something up, on the visitor's own machine: what is typed is sent nowhere.
   A number leads to its one address; words and marks lead to the public pages of works and runs. */
"use strict";
const ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ", STANDARD = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*", LENGTH = 11;
const MOST_SHOWN = 50;
/* The site in the language of this page: "" or "/fr". */
const ROOT = location.pathname.replace(/\/look\/.*$/, "");
const byId = (id) => document.getElementById(id);

/* A number: ISO 7064 MOD 37-2 over its first ten characters */
const asKept = (typed) => typed.toUpperCase().replace(/[\s\-\u2010-\u2015\u2212._]/g, "").replace(/[IL]/g, "1").replace(/O/g, "0");
const grouped = (number) => `${number.slice(0, 4)} ${number.slice(4, 8)} ${number.slice(8)}`;

function checkCharacter(payload) {
  let sum = 0;
  for (const one of payload) sum = (sum + STANDARD.indexOf(one)) * 2 % 37;
  return STANDARD[(38 - sum) % 37];
}

/* What is wrong with a number as typed, in a sentence; nothing if it is one. */
function wrong(kept) {
  const characters = [...new Set(kept)].filter((one) => !ALPHABET.includes(one)).join(" ");
  const number = grouped(kept).trim(), count = [...kept].length;
  if (!kept) return say`Type the number that stands on the paper.`;
  if (characters) return say`A number never holds ${characters}. Compare it with the paper.`;
  if (count !== LENGTH) return say`A number has eleven characters; ${number} has ${count}. Compare it with the paper.`;
  if (checkCharacter(kept.slice(0, -1)) === kept.at(-1)) return "";
  return say`${number} is no certificate number: the last character checks the others, and does not agree with them. One was mistyped, or two changed places. Compare it with the paper.`;
}

function lookUpNumber(event) {
  event.preventDefault();
  const typed = byId("typed-number"), kept = asKept(typed.value.replace(/^.*\/C\/([^#?]*).*$/i, "$1"));
  const fault = wrong(kept), number = grouped(kept);
  byId("number-says").textContent = fault || say`${number} is a number as certificates have. Opening its page.`;
  typed.setAttribute("aria-invalid", String(Boolean(fault)));
  if (fault) typed.focus();
  else location.assign(`${ROOT}/C/${kept}`);
}

/* Words: case, accents and marks aside */
const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const words = (text) => folded(text).split(/[^\p{L}\p{N}]+/u).filter(Boolean);
const holds = (text, wanted) => { const have = words(text); return wanted.every((one) => have.some((word) => word.startsWith(one))); };

/* Marks: "3/8", "AP II/IV" tell how many a run or a series of proofs has */
const ROMAN = { I: 1, V: 5, X: 10, L: 50, C: 100, D: 500, M: 1000 };
const roman = (text) => [...text].reduce((sum, one, at, all) => sum + (ROMAN[one] < (ROMAN[all[at + 1]] ?? 0) ? -ROMAN[one] : ROMAN[one]), 0);
const figure = (text) => /^\d+$/.test(text) ? Number(text) : /^[IVXLCDM]+$/.test(text) ? roman(text) : 0;

function told(marks) {
  const found = marks.toUpperCase().replaceAll(".", "").match(/([A-Z]{1,4}\s+)?([0-9IVXLCDM]+)\s*\/\s*([0-9IVXLCDM]+)/);
  return found ? { of: figure(found[3]), series: (found[1] ?? "").trim() } : null;
}

function fits(run, mark) {
  if (!mark) return true;
  if (run.size === undefined && !run.proofs) return true;
  return mark.of === run.size || (run.proofs ?? []).some(([, count]) => count === mark.of);
}

function matching(index, artist, title, mark) {
  const named = new Map(index.artists.map((one) => [one.code, one.name]));
  return index.works.filter((work) => holds(named.get(work.artist), artist) && holds([work.title, ...work.titles ?? []].join(" "), title))
    .map((work) => ({ ...work, name: named.get(work.artist), runs: work.runs.filter((run) => fits(run, mark)) }))
    .filter((work) => work.runs.length);
}

function linked(address, text) {
  const link = document.createElement("a");
  link.href = address;
  link.textContent = text;
  return link;
}

const apart = (text) => { const own = document.createElement("bdi"); own.textContent = text; return own; };

function shown(work) {
  const row = document.createElement("li"), title = linked(`${ROOT}/work/${work.code}/`, "");
  title.append(apart(work.title));
  row.append(apart(work.name), ", ", title);
  for (const run of work.runs) row.append(" ", linked(`${ROOT}/run/${run.code}/`, run.said));
  return row;
}

let index = null;
async function lookUpWords(event) {
  event.preventDefault();
  const [artist, title] = ["typed-artist", "typed-title"].map((id) => words(byId(id).value));
  const marks = byId("typed-marks").value, mark = told(marks), says = byId("words-say"), list = byId("found");
  list.replaceChildren();
  if (!artist.length && !title.length && !mark) {
    says.textContent = marks.trim() ? say`These marks do not tell how large a run is. Type an artist or a title.`
      : say`Type an artist or a title; marks make the search narrower.`;
    return;
  }
  try {
    index ??= await (await fetch(`${ROOT}/look/index.json`)).json();
  } catch {
    says.textContent = say`The index cannot be reached now. The list below has the same works.`;
    return;
  }
  const found = matching(index, artist, title, mark), count = found.length;
  says.textContent = count ? say`Works found: ${count}. Open a run to see what to compare and whom to ask.`
    : mark ? say`No published run of that name fits these marks. Try without the marks. A mark may be wrong, or the run not published; ask the foundry.`
      : say`No published work of this book is called so. Try one word of the name alone. That it is not here says nothing about the bronze.`;
  list.append(...found.slice(0, MOST_SHOWN).map(shown));
}

byId("number-form").addEventListener("submit", lookUpNumber);
byId("words-form").addEventListener("submit", lookUpWords);
for (const part of document.querySelectorAll("[data-needs-script]")) part.hidden = false;
