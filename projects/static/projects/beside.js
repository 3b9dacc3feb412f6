// Cloth beside the picture: a tile is tried by a press, by an arrow and Enter, or by dragging it
// onto a part of the picture. The server draws; this only listens.

import { movePress, partUnder, restFor, startPress, tileBeside, triedWith } from "./drag.js";

const panel = () => document.querySelector("#beside-panel");
const tried = () => (panel()?.dataset.tried || "").split(" ").filter(Boolean);

// A press shows at once, before the picture is drawn again.
document.addEventListener("submit", (event) => {
  const tile = event.submitter?.closest?.(".beside-tile");
  if (!tile) return;
  for (const other of document.querySelectorAll(".beside-tile[aria-pressed=true]")) if (other !== tile) other.setAttribute("aria-pressed", "false");
  tile.setAttribute("aria-pressed", String(tile.getAttribute("aria-pressed") !== "true"));
}, true);

// A patch of the picture leads to its part with all that is tried already.
document.addEventListener("htmx:configRequest", (event) => {
  const { elt, parameters } = event.detail;
  if (elt.closest("#quilt-picture")) for (const text of tried()) parameters.append("try", text);
});

document.addEventListener("keydown", (event) => {
  const tile = event.target.closest?.(".beside-tile");
  if (!tile || event.ctrlKey || event.metaKey || event.altKey) return;
  const all = [...tile.closest("[data-tiles]").querySelectorAll(".beside-tile")];
  const next = tileBeside(all.map((one) => one.getBoundingClientRect()), all.indexOf(tile), event.key);
  if (next === undefined) return;
  event.preventDefault();
  all[next].focus();
});

// --- dragging ---

let press = null;

function over(x, y) {
  return partUnder(document.elementsFromPoint(x, y));
}

function mark(part) {
  for (const patch of document.querySelectorAll("#quilt-picture .is-under")) patch.classList.remove("is-under");
  if (part) for (const patch of document.querySelectorAll(`#quilt-picture [data-part="${part}"]`)) patch.classList.add("is-under");
}

function lift() {
  press.ghost = press.tile.querySelector("svg").cloneNode(true);
  press.ghost.classList.add("beside-ghost");
  document.body.append(press.ghost);
  press.tile.classList.add("is-lifted");
}

function follow(x, y) {
  press.ghost.style.transform = `translate(${x - 36}px, ${y - 60}px)`;
  press.part = over(x, y);
  mark(press.part);
}

function end() {
  clearTimeout(press?.timer);
  press?.ghost?.remove();
  press?.tile.classList.remove("is-lifted");
  mark("");
  press = null;
}

document.addEventListener("pointerdown", (event) => {
  const tile = event.target.closest?.(".beside-tile");
  if (!tile || event.button || press || !document.querySelector("#quilt-picture")) return;
  press = { ...startPress(event.clientX, event.clientY, event.pointerType, event.timeStamp), tile, id: event.pointerId };
  if (event.pointerType !== "mouse") press.timer = setTimeout(() => {
    if (press?.tile === tile && movePress(press, press.x, press.y, press.time + restFor) === "dragging") { lift(); follow(press.x, press.y); }
  }, restFor);
});

document.addEventListener("pointermove", (event) => {
  if (press?.id !== event.pointerId) return;
  const was = press.state;
  const is = movePress(press, event.clientX, event.clientY, event.timeStamp);
  if (is === "over") { end(); return; }
  if (is !== "dragging") return;
  if (was !== "dragging" && !press.ghost) lift();
  follow(event.clientX, event.clientY);
});

document.addEventListener("touchmove", (event) => {
  if (press?.state === "dragging") event.preventDefault();
}, { passive: false });

document.addEventListener("contextmenu", (event) => {
  if (event.target.closest?.(".beside-tile") && press) event.preventDefault();
});

document.addEventListener("pointerup", (event) => {
  if (press?.id !== event.pointerId) return;
  const { state, part, tile } = press;
  end();
  if (state !== "dragging") return;
  document.addEventListener("click", noClick, { capture: true, once: true });
  setTimeout(() => document.removeEventListener("click", noClick, true), 300);
  const way = part && document.querySelector(`#quilt-picture [data-part="${part}"][hx-get]`);
  if (!way) return;
  const asked = new URLSearchParams([["draw", "1"], ["part", part], ...triedWith(tried(), part, tile.dataset.fabric).map((text) => ["try", text])]);
  window.htmx.ajax("GET", `${way.getAttribute("hx-get").split("?")[0]}?${asked}`, { source: panel(), target: "#beside" });
});

for (const gone of ["pointercancel", "blur"]) window.addEventListener(gone, () => { if (press) end(); });
document.addEventListener("keydown", (event) => { if (event.key === "Escape" && press) end(); });

function noClick(event) {
  event.preventDefault();
  event.stopPropagation();
}
