/* Checks this record on the reader's own machine.  What is checked lies in this page, or in the code
   that was scanned (the address after "#"); the server is believed in nothing.  Nothing here can tell
   whose the key is: that is for the eye. */

const ENDED = {
  withdrawn: say`withdrawn`, replaced: say`replaced`, lost: say`reported lost`, stolen: say`reported stolen`,
  disputed: say`withdrawn, because it is disputed`, lapsed: say`lapsed`,
};

/* A day in the reader's words; a month or a year alone stays as it is. */
const LANGUAGE = document.documentElement.lang.replace(/^en$/, "en-GB");
const day = (date) => /^\d{4}-\d\d-\d\d/.test(date)
  ? new Date(date.slice(0, 10)).toLocaleDateString(LANGUAGE, { dateStyle: "long", timeZone: "UTC" }) : date;

/* The steps: each returns what agrees, in words, or refuses, or passes over */
const STEPS = [
  [say`Claim`, async (known) => {
    const code = location.hash.slice(1), scanned = code && !document.getElementById(code);
    if (!scanned && !known.claim) passOver(say`This page came without the signed claim. Scan the code on the paper to have it checked here.`);
    known.message = scanned ? base32(code) : base64(known.claim);
    known.parts = takeApart(known.message);
    known.said = claimOf(known.parts.payload);
    const { number } = known, other = known.said.number;
    if (other !== number) refuse(say`The claim is that of certificate ${other}, this page that of ${number}.`);
    return scanned ? say`Read from the code that was scanned.` : say`Read from this page, which carries it as the paper’s code does.`;
  }],
  [say`Signature of the foundry`, async (known) => {
    const { parts, said } = known, key = known.foundryKey = await keyOf(known.foundry);
    if (!said) passOver(say`Without a claim there is no signature to check.`);
    if (!same(keyNamed(parts), key.print.slice(0, 8))) refuse(say`The claim names another key than the one shown here.`);
    const { origin } = said, { name } = key;
    if (origin !== name) refuse(say`The claim is of the book ${origin}, the key of ${name}.`);
    if (!await signed(key.raw, parts.signature, toBeSigned(parts.headers, parts.payload))) {
      refuse(say`The signature does not hold: the claim was altered, or never signed with this key.`);
    }
    return say`The claim is signed with the key shown below.`;
  }],
  [say`Entry`, async (known) => {
    const bytes = known.entry.startsWith("{") ? utf8(known.entry) : base64(known.entry), entry = JSON.parse(readUtf8(bytes));
    known.leaf = await leafHash(bytes);
    if (known.said && !same(known.leaf, known.said.leaf)) refuse(say`The entry does not hash to the leaf that the claim names.`);
    if (entry.kind !== "certificate_issued" || entry.subject !== known.number || entry.facts.number !== known.number) {
      refuse(say`The entry issues another certificate.`);
    }
    known.statement = entry.facts.statement;
    const leaf = groups(known.leaf.slice(0, 8));
    return known.said ? say`The entry’s bytes, hashed here, give the leaf that the claim names.`
      : say`The entry’s bytes, hashed here, give the leaf ${leaf} …: compare the paper.`;
  }],
  [say`Inclusion`, async (known) => {
    const cut = known.proof.indexOf("\n\n"), [first, place, ...path] = known.proof.slice(0, cut).split("\n");
    if (first !== "c2sp.org/tlog-proof@v1" || !/^index \d{1,16}$/.test(place)) refuse(say`The proof cannot be read.`);
    known.note = known.proof.slice(cut + 2);
    const size = Number(known.note.split("\n")[1]), index = Number(place.slice(6));
    known.root = await rootFrom(known.leaf, index, size, path.map(base64));
    if (known.said && (index !== known.said.index || size !== known.said.size || !same(known.root, known.said.root))) {
      refuse(say`The proof does not lead to the place and root that the claim names.`);
    }
    const count = path.length;
    return say`From the leaf of entry ${index}, ${count} hashes lead to a root over ${size} entries.`;
  }],
  [say`Checkpoint`, async (known) => {
    known.logKey = await keyOf(known.log);
    const issued = await openCheckpoint(known.note, [known.logKey]);
    if (known.logKey.name !== known.foundryKey.name) refuse(say`The two keys are of different books.`);
    if (!known.root || !same(issued.root, known.root)) refuse(say`The entry does not lead to the root that was signed.`);
    const { origin } = known.issued = issued;
    return say`That root was signed by the key of the book ${origin}, when the paper was issued.`;
  }],
  [say`Words of the claim`, async ({ said, statement }) => {
    if (!said) passOver(say`Without a claim there are no words to compare.`);
    const cut = (short, long) => short.endsWith("…") && long.length > short.length && long.startsWith(short.slice(0, -1));
    const facts = {
      number: say`Number`, paper: say`Paper`, artist: say`Artist`, title: say`Title`,
      designation: say`Designation`, cast: say`Cast`, issued: say`Issued`,
    };
    for (const [name, fact] of Object.entries(facts)) {
      const sealed = statement[name] ?? null, here = said[name];
      if (here !== sealed && !(sealed && here && cut(here, sealed))) {
        refuse(say`${fact}: the claim says “${here}”, the sealed entry “${sealed}”.`);
      }
    }
    return say`Number, artist, title, designation and dates of the claim are those of the sealed entry.`;
  }],
  [say`Words of this page`, async ({ statement, leaf, root, foundryKey }) => {
    const texts = (where) => Array.from(document.querySelectorAll(where), (one) => one.textContent.trim());
    const code = (where) => texts(`#proof ${where} code`).join("").replaceAll(" ", "").toLowerCase();
    const shown = [
      [say`Number`, texts(".no")[0].replaceAll(/\s/g, ""), statement.number],
      [say`Artist`, texts(".artist bdi")[0], statement.artist],
      [say`Title`, texts("h1")[0], statement.title],
      [say`Designation`, texts(".designation bdi")[0], statement.designation ?? texts(".designation bdi")[0]],
      [say`Marks`, texts(".compare .mark").join(" · "), (statement.marks ?? []).map((mark) => mark.text.trim()).join(" · ")],
      [say`Leaf`, code(".leaf"), hex(leaf)],
      [say`Root`, code(".root"), hex(root)],
      [say`Fingerprint`, code(".print"), hex(foundryKey.print)],
    ];
    for (const [fact, here, sealed] of shown) {
      if (here !== sealed) refuse(say`${fact}: this page shows “${here}”; what is sealed is “${sealed}”.`);
    }
    return say`Number, artist, title, designation and marks shown above are those of the sealed entry; leaf, root and fingerprint are those found here.`;
  }],
  [say`Photograph`, async (known) => {
    const picture = find("figure img"), digest = known.statement.photograph;
    if (!digest || !picture) passOver(digest ? say`The photograph is not on this page.` : say`None was sealed with this certificate.`);
    const source = picture.getAttribute("src");
    known.picture = source.startsWith("data:") ? base64(source.split(",")[1]) : await fetched(source);
    if (!known.picture) passOver(say`The photograph is not at hand.`);
    return hex(await sha256(known.picture)) === digest ? say`The photograph shown is the one whose digest was sealed.`
      : refuse(say`The photograph shown is not the one that was sealed.`);
  }],
  [say`The book today`, async (known) => {
    const { issued, logKey, foundryKey } = known, kept = day(known.kept);
    if (kept) passOver(say`This page was kept on ${kept} and asks no network. Look at its address for the book today.`);
    if (!issued) passOver(say`Without the checkpoint of issue there is nothing to bridge.`);
    const note = await fetched("/checkpoint") ?? passOver(say`Not bridged to today: this site publishes no checkpoint.`);
    known.logKeys = await logKeys(readUtf8(note), logKey, foundryKey);
    const today = known.today = await openCheckpoint(readUtf8(note), known.logKeys);
    const { size } = today, old = issued.size;
    if (size < old) refuse(say`The book has shrunk: ${size} entries today, ${old} when this was issued.`);
    const read = tiles(size, fetched);
    const [before, now] = [await rootOver(0, old, old, read), await rootOver(0, size, old, read)];
    if (!same(now, today.root)) refuse(say`The tree that this site publishes is not that of today’s checkpoint.`);
    if (!same(before, issued.root)) refuse(say`The book was rewritten: today’s checkpoint does not hold the one under which this was issued.`);
    return say`Today’s signed checkpoint, of ${size} entries, holds that one unchanged.`;
  }],
  [say`Standing today`, async (known) => {
    const { issued, logKey, logKeys: keys, leaf, today } = known, kept = day(known.kept);
    if (kept) passOver(say`This page was kept on ${kept}: it cannot say how the paper stands today.`);
    const note = await fetched("/status") ?? passOver(say`This site publishes no status note.`);
    const status = await openStatus(readUtf8(note), keys ?? [logKey]), { size } = status, made = day(status.issued);
    const shown = find(".banner:not(.alarm)").className;
    const [word, ended] = status.ended.get(hex(leaf)) ?? [], now = today?.size;
    if (word && !shown.includes(word === "disputed" ? "withdrawn" : word)) {
      const standing = ENDED[word] ?? word, since = day(ended);
      refuse(say`This is an old page, or one that was altered. By the status note of ${made} the paper stands no more: ${standing}, ${since}.`);
    }
    if (issued && size < issued.size) passOver(say`The status note, of ${made}, is old: it was made before this paper was issued.`);
    if (size < now) passOver(say`The status note, of ${made}, is old: it speaks of ${size} entries, the book has ${now}.`);
    if (!word && !/stands|reservation|contradicts/.test(shown)) passOver(say`The status note of ${made} does not name this paper.`);
    return say`As the page shows, by the book’s status note of ${made}.`;
  }],
  [say`Whose key it is`, async ({ foundryKey }) => {
    const fingerprint = groups(foundryKey.print);
    passOver(say`For you to compare, always: ${fingerprint}. Ask an independent place for the fingerprint: the artist, a museum, an earlier certificate.`);
  }],
];
