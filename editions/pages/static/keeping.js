/* Shows what was found, and keeps this page as a file.  Text is only ever put in as text. */

const RESULTS = { agrees: say`agrees`, contradicts: say`contradicts`, "not-checked": say`not checked` };

function told(section, name, result, says) {
  const item = find("#proof li").cloneNode(true), part = (where) => item.querySelector(where);
  item.className = result;
  part("b").textContent = name;
  part("small").textContent = RESULTS[result];
  part("p").lastChild.data = says;
  section.querySelector("ul").append(item);
}

async function take(step, known) {
  try {
    return ["agrees", await step(known)];
  } catch (fault) {
    if (fault instanceof NotChecked) return ["not-checked", fault.message];
    return ["contradicts", fault instanceof Contradiction ? fault.message : say`What this check needs is missing or cannot be read.`];
  }
}

async function checkPage(section, known) {
  const sum = section.querySelector("[role=status]"), found = { agrees: 0, contradicts: 0, "not-checked": 0 };
  section.hidden = false;
  if (!globalThis.crypto?.subtle) {
    sum.textContent = say`This browser cannot check here: it needs https, and a browser that knows cryptography. Take the certificate’s file instead, and run the command below.`;
    return;
  }
  sum.textContent = say`Checking …`;
  section.ariaBusy = "true";
  for (const [name, step] of STEPS) {
    const [result, says] = await take(step, known);
    found[result] += 1;
    told(section, name, result, says);
  }
  const { agrees, contradicts: bad } = found, missed = found["not-checked"] - 1, every = STEPS.length;
  const alarm = find("#alarm");
  if (alarm) alarm.hidden = bad === 0;
  sum.textContent = bad ? say`Checks that contradict: ${bad} of ${every}. Do not rely on this page; keep the paper.`
    : say`Checks that agree: ${agrees}; that could not be made here: ${missed}. That proves only that the page agrees with itself: now compare the fingerprint.`;
  section.ariaBusy = "false";
}

/* Keeping: this page as one file that still checks itself, without a network */
function keptPage(known) {
  const { message, picture, number, entry, proof, foundry, log } = known;
  const root = document.implementation.createHTMLDocument("").importNode(document.documentElement, true);
  const inside = (where) => root.querySelector(where), policy = inside("meta[http-equiv]");
  policy.content = policy.content.replace("img-src 'self'", "img-src data:").replace(" connect-src 'self';", "");
  const data = { number, entry, proof, foundry, log, claim: message ? toBase64(message) : "", kept: new Date().toISOString().slice(0, 10) };
  inside("#carried").replaceChildren(JSON.stringify(data).replaceAll("<", "\\u003c"));
  inside("figure img")?.setAttribute("src", picture ? `data:image/jpeg;base64,${toBase64(picture)}` : "data:,");
  for (const link of root.querySelectorAll("a[href^='/']")) link.removeAttribute("href");
  for (const gone of [...root.querySelectorAll("link, .keep, .offer, a[hreflang], #check li")]) gone.remove();
  inside("#check [role=status]").textContent = "";
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

const known = JSON.parse(find("#carried").textContent), section = find("#check");
const checked = checkPage(section, known);
section.querySelector("button")?.addEventListener("click", () => checked.then(() => keep(known)));
