/** Finding in the pocket: words that were typed, and what is nearest to a colour. */

import { difference } from "./difference.js";

/** Text as it is compared: small letters, no accents, no plural of the last word. */
export function folded(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}

/** The fabrics of which every word typed begins a word of theirs. */
export function answering(fabrics, typed) {
  const asked = folded(typed).split(/[\s,;]+/).filter(Boolean);
  return fabrics.filter((fabric) => {
    const words = folded(fabric.words).split(/[\s,;/›()-]+/);
    return asked.every((word) => words.some((known) => known.startsWith(singular(word)) || known.startsWith(word)));
  });
}

function singular(word) {
  return word.length > 3 && word.endsWith("s") && !word.endsWith("ss") ? word.slice(0, -1) : word;
}

/** The fabrics whose colour is known, nearest first, each with how far it lies away. */
export function nearest(fabrics, lab) {
  return fabrics
    .filter((fabric) => fabric.lab)
    .map((fabric) => ({ fabric, away: difference(fabric.lab, lab) }))
    .sort((first, second) => first.away - second.away || first.fabric.id - second.fabric.id);
}

/** What goes home: a text for the part of an address after #, which no computer on the way reads. */
export function packed(bought) {
  const bytes = new TextEncoder().encode(JSON.stringify(bought));
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** The text again as what was bought; null for what is none. */
export function unpacked(text) {
  try {
    const plain = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
    return JSON.parse(new TextDecoder().decode(Uint8Array.from(plain, (sign) => sign.charCodeAt(0))));
  } catch {
    return null;
  }
}
