/* Offers this page in the language its reader prefers, where the site has it, and lets the links to
   other languages keep what stands after "#": a scanned code is there, and reaches no server.
   Nothing is remembered, and nobody is sent elsewhere unasked. */
"use strict";
{
  const links = document.querySelectorAll("a[hreflang]"), language = (tag) => tag.split("-")[0].toLowerCase();
  const has = [document.documentElement.lang, ...Array.from(links, (link) => link.hreflang)];
  const wanted = navigator.languages.map((one) => has.find((tag) => language(tag) === language(one))).find(Boolean);
  for (const offer of document.querySelectorAll(".offer")) offer.hidden = offer.lang !== wanted;
  const carry = () => { for (const link of links) link.hash = location.hash; };
  carry();
  addEventListener("hashchange", carry);
}
