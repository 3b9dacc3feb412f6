/** The pocket stash on the phone: searching, nearest cloth, and what was bought on the way. */

import { answering, nearest, packed } from "./asking.js";
import { labOfHex, labOfPixels } from "./difference.js";

const MOST_SHOWN = 60;
const MIDDLE = 96;

const { fabrics, site, made } = JSON.parse(document.querySelector("#stash").textContent);
const KEPT = `pocket-bought-${made}`;
const list = document.querySelector("#found");
const told = document.querySelector("#told");
const words = document.querySelector("#words");
const home = document.querySelector("#home");
let bought = kept();

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEPT)) ?? [];
  } catch {
    return [];
  }
}

function keep() {
  try {
    localStorage.setItem(KEPT, JSON.stringify(bought));
  } catch {
    // A browser that keeps nothing for a saved page: what was bought is then in the address below.
  }
  showBought();
}

function show(found, say) {
  list.replaceChildren(...found.slice(0, MOST_SHOWN).map(card));
  const more = found.length > MOST_SHOWN ? `, the first ${MOST_SHOWN} of them shown` : "";
  told.textContent = `${found.length} ${found.length === 1 ? "fabric" : "fabrics"}${say}${more}.`;
}

function card({ fabric, away }) {
  const line = document.createElement("li");
  const cloth = document.createElement(fabric.thumb ? "img" : "span");
  cloth.className = "cloth";
  if (fabric.thumb) {
    cloth.src = fabric.thumb;
    cloth.alt = "";
  } else {
    cloth.textContent = "no photo";
  }
  const said = document.createElement("div");
  const name = document.createElement("strong");
  name.textContent = fabric.name;
  said.append(name, ...fabric.lines.map(paragraph));
  if (away !== undefined) said.append(paragraph(`difference ${fabric.bare ? "about " : ""}${away.toFixed(1)}`));
  line.append(cloth, said);
  return line;
}

function paragraph(text) {
  const made = document.createElement("p");
  made.textContent = text;
  return made;
}

function search() {
  const found = answering(fabrics, words.value).map((fabric) => ({ fabric }));
  show(found, words.value.trim() ? ` for “${words.value.trim()}”` : "");
}

function showNearest(lab, what) {
  words.value = "";
  const found = nearest(fabrics, lab);
  const without = fabrics.length - found.length;
  show(found, `, nearest to ${what} first${without ? ` (${without} without a colour left out)` : ""}`);
}

async function fromPhoto(file) {
  const picture = await createImageBitmap(file);
  const side = Math.min(picture.width, picture.height) / 2;
  const canvas = Object.assign(document.createElement("canvas"), { width: MIDDLE, height: MIDDLE });
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  const [x, y] = [(picture.width - side) / 2, (picture.height - side) / 2];
  pen.drawImage(picture, x, y, side, side, 0, 0, MIDDLE, MIDDLE);
  const lab = labOfPixels(pen.getImageData(0, 0, MIDDLE, MIDDLE).data);
  showNearest(lab, "the middle of your photo, as the phone took it: an estimate");
}

function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function showBought() {
  document.querySelector("#bought").replaceChildren(...bought.map((thing) => {
    const line = document.createElement("li");
    const away = document.createElement("button");
    away.type = "button";
    away.textContent = "Not bought";
    away.addEventListener("click", () => {
      bought = bought.filter((other) => other.key !== thing.key);
      keep();
    });
    line.append(`${thing.text} `, away);
    return line;
  }));
  for (const tick of document.querySelectorAll("[data-part]")) {
    tick.checked = bought.some((thing) => thing.part === tick.dataset.part);
  }
  home.href = `${site}#${packed(bought)}`;
  document.querySelector("#take-home").hidden = bought.length === 0;
}

words.addEventListener("input", search);
document.querySelector("#colour").addEventListener("input", (event) => {
  showNearest(labOfHex(event.target.value), `the colour ${event.target.value}`);
});
document.querySelector("#photo").addEventListener("change", (event) => {
  const [file] = event.target.files;
  if (!file) return;
  fromPhoto(file).catch(() => { told.textContent = "This phone cannot open that photo; try another."; });
});
document.querySelector("#note").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = event.target.elements.text.value.trim();
  if (!text) return;
  bought = [...bought, { key: newKey(), text }];
  event.target.reset();
  keep();
});
for (const tick of document.querySelectorAll("[data-part]")) {
  tick.addEventListener("change", () => {
    bought = bought.filter((thing) => thing.part !== tick.dataset.part);
    if (tick.checked) {
      bought = [...bought, { key: newKey(), part: tick.dataset.part, text: tick.dataset.text }];
    }
    keep();
  });
}
search();
showBought();
