// The table under a finger: prints slide under their patches, and patches can have true size.
// Everything here also goes by the page's forms; this only answers faster.

import { arrowStep } from "../stash/arrows.js";
import { freshKey } from "../stash/keys.js";
import { isMeasured, pixelsPerMm, read, write } from "./scale.js";
import { shownScale, slidTo } from "./sliding.js";

const SIZE = "clothlight-audition-size";
const KEY_STEP = 2; // millimetres
const LEAST = 3; // pixels that a finger moves before it slides the print

const tables = () => document.querySelectorAll("svg.on-table");

// --- size ---

function wantsTrueSize() {
  return read(SIZE) === "true";
}

function showSize() {
  const isTrue = wantsTrueSize();
  for (const svg of tables()) {
    svg.classList.toggle("true-size", isTrue);
    for (const side of ["width", "height"]) {
      svg.style[side] = isTrue ? `${Number(svg.dataset[side]) * pixelsPerMm()}px` : "";
    }
  }
  const sizes = document.querySelector(".sizes");
  if (!sizes) return;
  sizes.hidden = false;
  for (const button of sizes.querySelectorAll("[data-size]")) {
    button.setAttribute("aria-pressed", String((button.dataset.size === "true") === isTrue));
  }
  tellSize(isTrue);
}

function tellSize(isTrue) {
  const said = document.getElementById("size-said");
  if (!isTrue) { said.textContent = ""; return; }
  said.textContent = isMeasured()
    ? "Shown at true size: hold a ruler to a patch. "
    : "True size is a guess until this screen is measured. ";
  const link = document.createElement("a");
  link.href = "/auditions/screen/";
  link.textContent = isMeasured() ? "Measure the screen again" : "Measure it now";
  link.setAttribute("hx-boost", "false");
  said.append(link);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-size]");
  if (!button) return;
  write(SIZE, button.dataset.size);
  showSize();
});
window.addEventListener("resize", () => { if (wantsTrueSize()) showSize(); });

// --- sliding a print ---

let slide = null;
let justSlid = false;
const waiting = { place: null, right: 0, down: 0, timer: 0 };

function patchAt(event) {
  const patch = event.target.closest?.("a.patch");
  return patch && patch.closest("svg").dataset.slides === "yes" ? patch : null;
}

function printsOf(patch) {
  return patch.closest("svg").querySelectorAll(`pattern[data-place="${patch.dataset.place}"]`);
}

document.addEventListener("pointerdown", (event) => {
  const patch = patchAt(event);
  if (!patch || event.button !== 0) return;
  if (event.pointerType === "touch" && !patch.hasAttribute("aria-current")) return;
  const svg = patch.closest("svg");
  slide = {
    patch, x: event.clientX, y: event.clientY, scale: shownScale(svg.viewBox.baseVal, svg.getBoundingClientRect()), right: 0, down: 0, moving: false,
    prints: [...printsOf(patch)].map((print) => [print, print.getAttribute("patternTransform")]),
  };
});

document.addEventListener("pointermove", (event) => {
  if (!slide) return;
  const x = event.clientX - slide.x, y = event.clientY - slide.y;
  if (!slide.moving && Math.hypot(x, y) < LEAST) return;
  slide.moving = true;
  slide.patch.classList.add("sliding");
  [slide.right, slide.down] = [x * slide.scale, y * slide.scale];
  for (const [print, place] of slide.prints) print.setAttribute("patternTransform", slidTo(slide, place));
});

// A finger on the picked patch slides its print; everywhere else it scrolls the page.
function holdPage(event) {
  if (slide) event.preventDefault();
}

function letGo(event) {
  if (!slide) return;
  const done = slide;
  slide = null;
  done.patch.classList.remove("sliding");
  if (event.type === "pointercancel") {
    for (const [print, place] of done.prints) print.setAttribute("patternTransform", place);
    return;
  }
  if (!done.moving) return;
  justSlid = true;
  setTimeout(() => { justSlid = false; }, 0);
  send(done.patch.dataset.place, done.right, done.down);
}
for (const kind of ["pointerup", "pointercancel"]) document.addEventListener(kind, letGo);

// Sliding ends on a link; it must neither be followed nor be dragged away.
document.addEventListener("click", (event) => {
  if (justSlid && event.target.closest?.("a.patch")) { event.preventDefault(); event.stopPropagation(); }
}, true);
document.addEventListener("dragstart", (event) => { if (event.target.closest?.("a.patch")) event.preventDefault(); });

document.addEventListener("keydown", (event) => {
  const patch = event.target.closest?.("a.patch");
  const way = arrowStep(event.key, event.shiftKey ? 5 * KEY_STEP : KEY_STEP);
  if (!patch || !way || patch.closest("svg").dataset.slides !== "yes") return;
  event.preventDefault();
  const [right, down] = way;
  for (const print of printsOf(patch)) print.setAttribute("patternTransform", slidTo({ right, down }, print.getAttribute("patternTransform")));
  if (waiting.place !== patch.dataset.place) sendWaiting();
  waiting.place = patch.dataset.place;
  waiting.right += right;
  waiting.down += down;
  clearTimeout(waiting.timer);
  waiting.timer = setTimeout(sendWaiting, 400);
});

function sendWaiting() {
  clearTimeout(waiting.timer);
  const { place, right, down } = waiting;
  Object.assign(waiting, { place: null, right: 0, down: 0 });
  if (place) send(place, right, down);
}

function send(place, right, down) {
  const root = document.getElementById("audition");
  const body = new FormData();
  for (const [name, said] of Object.entries({ do: "slide", seen: "yes", place, right: right.toFixed(3), down: down.toFixed(3) })) body.append(name, said);
  const headers = { "X-CSRFToken": JSON.parse(document.body.getAttribute("hx-headers"))["x-csrftoken"], "X-Act": freshKey() };
  fetch(root.dataset.act, { method: "POST", body, headers, keepalive: true })
    .then((answer) => { if (!answer.ok) throw new Error(answer.statusText); })
    .catch(() => window.location.reload());
}

// What is still on its way is sent before the page changes.
window.addEventListener("pagehide", sendWaiting);
document.addEventListener("htmx:beforeRequest", sendWaiting);

function begin() {
  showSize();
  for (const svg of tables()) svg.addEventListener("touchmove", holdPage, { passive: false });
  for (const help of document.querySelectorAll(".slide-help")) help.hidden = false;
}
// Once at the swap, so that a quick finger finds the table held, and once after htmx has settled
// the sizes.
for (const moment of ["htmx:afterSwap", "htmx:afterSettle"]) document.addEventListener(moment, begin);
begin();
