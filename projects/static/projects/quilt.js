// The drawn quilt under a finger and a keyboard: arrow keys walk from block to block, a border is
// dragged or moved by keys from mark to mark, and the slip opens where it was asked for.

import { arrowStep } from "../stash/arrows.js";
import { keyMarks, outward, told, widened, written } from "./ruler.js";

const WAIT = 350; // milliseconds in which further keys belong to the same change
const FAR = 6; // pixels from which a press is a drag

const form = document.querySelector("#quilt");
const picture = () => form.querySelector(".quilt-picture");
const blocks = () => [...form.querySelectorAll("foreignObject > [value*='.']")];

// --- what is sent ---

// A change of a field sends no button, whichever has the focus meanwhile.
form.addEventListener("htmx:configRequest", (event) => {
  const { parameters, triggeringEvent } = event.detail;
  const pressed = triggeringEvent?.submitter;
  if (pressed?.name) return;
  delete parameters.do;
  const typed = form.querySelector("#id_at");
  parameters.at = typed?.value || form.querySelector("input[name=at]").value;
});

// --- from block to block ---

function walkable() {
  const all = blocks();
  const current = all.find((block) => block.getAttribute("aria-pressed")) ?? all[0];
  for (const block of all) block.tabIndex = block === current ? 0 : -1;
}

form.addEventListener("keydown", (event) => {
  const block = event.target.closest("foreignObject > [value*='.']");
  if (!block) return;
  const way = arrowStep(event.key, 1, 1);
  if (!way) return;
  event.preventDefault();
  const [row, place] = block.value.split(".").map(Number);
  const next = blocks().find(({ value }) => value === `${row + way[1]}.${place + way[0]}`);
  if (!next) return;
  block.tabIndex = -1;
  next.tabIndex = 0;
  next.focus({ preventScroll: true });
});

// --- borders ---

let drag = null;
let keyed = null;

function showWidth(name, marks) {
  const board = picture();
  const { mark, markSize, markUnit } = board.dataset;
  const there = board.querySelector(`foreignObject > [value=${name}]`);
  const round = there.parentNode;
  const more = (marks - Number(there.dataset.border)) * Number(mark);
  const box = ["x", "y", "width", "height"].map((side) => Number(round.getAttribute(side)));
  const thick = Number(there.dataset.border) * Number(mark);
  const outer = rectangle(box[0] - more, box[1] - more, box[2] + 2 * more, box[3] + 2 * more);
  const inner = rectangle(box[0] + thick, box[1] + thick, box[2] - 2 * thick, box[3] - 2 * thick);
  const ghost = board.querySelector(".border-ghost");
  ghost.setAttribute("d", outer + inner);
  ghost.removeAttribute("hidden");
  form.querySelector("#border-told").textContent = told(marks, Number(markSize), markUnit);
}

function rectangle(x, y, width, height) {
  return `M${x} ${y}h${width}v${height}h${-width}z`;
}

function keepWidth(name, marks) {
  const { markSize, markUnit } = picture().dataset;
  const field = form.querySelector(`[name=${name}]`);
  form.querySelector("input[name=at]").value = name;
  field.value = written(marks, Number(markSize), markUnit);
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

function onBoard(event) {
  const point = new DOMPoint(event.clientX, event.clientY);
  return point.matrixTransform(picture().getScreenCTM().inverse());
}

form.addEventListener("pointerdown", (event) => {
  const border = event.target.closest("foreignObject > [data-border]");
  if (!border || event.button !== 0) return;
  const board = picture();
  const size = { width: board.viewBox.baseVal.width, height: board.viewBox.baseVal.height };
  const from = onBoard(event);
  const rim = -board.viewBox.baseVal.x;
  drag = {
    name: border.value, from, x: event.clientX, y: event.clientY, isFar: false,
    way: outward({ x: from.x + rim, y: from.y + rim }, size),
    marks: Number(border.dataset.border), pointer: event.pointerId,
  };
  border.setPointerCapture(event.pointerId);
});

form.addEventListener("pointermove", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  drag.isFar ||= Math.hypot(event.clientX - drag.x, event.clientY - drag.y) > FAR;
  if (!drag.isFar) return;
  const now = onBoard(event);
  const moved = { x: now.x - drag.from.x, y: now.y - drag.from.y };
  drag.now = widened(drag.marks, moved, drag.way, Number(picture().dataset.mark));
  showWidth(drag.name, drag.now);
});

let wasDragged = false;
form.addEventListener("pointerup", () => {
  wasDragged = Boolean(drag?.isFar);
  if (wasDragged) keepWidth(drag.name, drag.now);
  drag = null;
});
form.addEventListener("pointercancel", () => {
  if (drag) picture().querySelector(".border-ghost").setAttribute("hidden", "");
  drag = null;
});
// The press that ends a drag picks nothing.
form.addEventListener("click", (event) => {
  if (wasDragged) { event.preventDefault(); event.stopPropagation(); }
  wasDragged = false;
}, true);

form.addEventListener("keydown", (event) => {
  const border = event.target.closest("[data-border]");
  if (!border) return;
  const size = Number(picture().dataset.markSize);
  const more = keyMarks(event.key, event.shiftKey, size);
  if (!more) return;
  event.preventDefault();
  const start = keyed?.name === border.value ? keyed.marks : Math.round(Number(border.dataset.border));
  if (keyed) clearTimeout(keyed.timer);
  const marks = Math.max(1, start + more);
  // The key is answered first, and drawn in the next moment.
  setTimeout(() => { if (keyed) showWidth(border.value, keyed.marks); });
  const timer = setTimeout(() => { keepWidth(border.value, marks); keyed = null; }, WAIT);
  keyed = { name: border.value, marks, timer };
});

// --- when the drawing is swapped ---

let picked = null;
let left = null;
let held = null;
form.addEventListener("submit", (event) => {
  const pressed = event.submitter;
  picked = pressed?.name === "at" && pressed.value ? pressed.value : null;
  left = pressed?.id === "put-away" ? pressed.dataset.away : null;
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") form.querySelector("#put-away")?.click();
});

// The picture stays until the new one is there.
form.addEventListener("htmx:beforeSwap", () => { held = form.querySelector(".quilt-cloth"); });
form.addEventListener("htmx:afterSwap", () => {
  const cloth = form.querySelector(".quilt-cloth");
  const old = held?.lastElementChild;
  held = null;
  const made = cloth?.lastElementChild;
  if (!old || !made) return;
  for (const name of ["width", "height"]) old.setAttribute(name, made.getAttribute(name));
  old.setAttribute("class", "is-held");
  cloth.prepend(old);
  for (const event of ["load", "error"]) made.addEventListener(event, () => old.remove(), { once: true });
});

form.addEventListener("htmx:afterSettle", () => {
  walkable();
  pin();
  showChosen();
  if (picked) form.querySelector("#slip-name")?.focus({ preventScroll: false });
  if (left) form.querySelector(`[id="at-${left}"]`)?.focus({ preventScroll: false });
  picked = left = null;
});

// On a wide page the slip lies level with what it changes.
const wide = window.matchMedia("(min-width: 60rem)");
function pin() {
  const slip = form.querySelector("#slip");
  const spot = form.querySelector("foreignObject > [aria-pressed]");
  if (!slip) return;
  slip.style.removeProperty("margin-top");
  if (!wide.matches || !spot) return;
  const room = form.querySelector(".quilt-board").getBoundingClientRect();
  const below = spot.getBoundingClientRect().top - room.top;
  const free = Math.max(0, room.height - slip.offsetHeight);
  slip.style.setProperty("margin-top", `${Math.min(Math.max(0, below), free)}px`);
}

// The line of blocks begins at the one that is there.
function showChosen() {
  const chosen = form.querySelector(".block-choice[aria-pressed]");
  const line = chosen?.closest(".block-line");
  if (line) line.scrollLeft = chosen.offsetLeft - line.offsetLeft - chosen.offsetWidth / 2;
}

wide.addEventListener("change", pin);
walkable();
pin();
showChosen();
