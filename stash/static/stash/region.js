// The outline around the cloth and the points of a card, drawn over the photo. The fields hold the
// truth; dragging, keys and typing all go through them.

import { arrowStep } from "./arrows.js";
import { cornerAdded, cornerMoved, cornerRemoved, crosses, edgesOf, FEWEST, frameBetween, isInside, middles, MOST, nearest, ofEdges, outlineMoved } from "./outline.js";
import { clamp, pointsWanted, readPoints, tapHelp, withPoint, writePoints } from "./points.js";

const svg = document.querySelector("#look svg");
const form = document.getElementById("look-form");
const tools = document.getElementById("look-tools");
const told = document.getElementById("look-told");
const width = svg.viewBox.baseVal.width;
const height = svg.viewBox.baseVal.height;
const grip = Number(svg.dataset.grip);
const NS = "http://www.w3.org/2000/svg";
const EDGES = ["left", "top", "right", "bottom"];
const REACH = 22; // pixels of the page: half of what a finger needs

const field = (name) => form.elements[name];
const markKind = () => field("mark").value;
const wantedPoints = () => pointsWanted(markKind());
const points = () => readPoints(field("points").value);

function outline() {
  const corners = readPoints(field("corners")?.value || "");
  if (corners.length >= FEWEST) return corners;
  return ofEdges(Object.fromEntries(EDGES.map((name) => [name, Number(field(name).value || 0)])));
}

function setOutline(corners) {
  const wanted = readPoints(writePoints(corners.map(([x, y]) => [clamp(x, 0, 100), clamp(y, 0, 100)])));
  const edges = edgesOf(wanted);
  for (const name of EDGES) field(name).value = edges ? edges[name].toFixed(1) : "";
  field("corners").value = edges ? "" : writePoints(wanted);
  draw();
}

// --- taking back ---

const before = [];
const typed = () => [...EDGES, "corners"].map((name) => field(name).value);

function remember() {
  const now = typed();
  if (now.join() !== before.at(-1)?.join()) before.push(now);
}

function takeBack() {
  const now = typed().join();
  let last = before.pop();
  while (last && last.join() === now) last = before.pop();
  if (!last) { say("Nothing to take back."); return; }
  const hadFocus = svg.contains(document.activeElement);
  fill(last);
  if (hadFocus) focusOn(chosen); // the handles were made anew
  say("Taken back.");
}

function fill(values) {
  [...EDGES, "corners"].forEach((name, number) => { field(name).value = values[number]; });
  chosen = Math.min(chosen, outline().length - 1);
  draw();
}

// --- drawing ---

let chosen = 0;
const corners = svg.querySelector(".look-grips");

function make(name, attributes, parent) {
  const element = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent.append(element);
  return element;
}

const unit = () => width / (svg.getBoundingClientRect().width || width); // of the photo for a pixel of the page
const place = ([x, y]) => [x * width / 100, y * height / 100];

// As many handles as there are corners, made only when their number changes: focus stays.
function fit(count) {
  if (corners.dataset.count === String(count)) return;
  corners.dataset.count = String(count);
  corners.replaceChildren();
  for (let side = 0; side < count; side += 1) {
    const group = make("g", { class: "look-side", "aria-hidden": "true" }, corners);
    make("circle", { class: "look-reach" }, group);
    make("path", { class: "look-plus-under" }, group);
    make("path", { class: "look-plus" }, group);
  }
  for (let number = 0; number < count; number += 1) {
    const group = make("g", { class: "look-grip", tabindex: "0", role: "button" }, corners);
    make("circle", { class: "look-reach" }, group);
    make("circle", { class: "look-dot" }, group);
    group.addEventListener("keydown", (event) => keyed(event, number));
    group.addEventListener("focus", () => { chosen = number; mark(); });
  }
}

function mark() {
  corners.querySelectorAll(".look-grip").forEach((group, number) => { group.classList.toggle("is-chosen", number === chosen); });
}

// On a short side a plus would lie under the finger that means a corner.
function hasPlus(now, side) {
  const [x, y] = place(now[side]), [toX, toY] = place(now[(side + 1) % now.length]);
  return now.length < MOST && Math.hypot(toX - x, toY - y) > 3 * REACH * unit();
}

function draw() {
  const now = outline();
  const path = `M${now.map((corner) => place(corner).map((part) => part.toFixed(1)).join(" ")).join("L")}Z`;
  const scale = unit();
  svg.querySelector(".look-shade").setAttribute("d", `M0 0H${width}V${height}H0Z${path}`);
  for (const line of svg.querySelectorAll(".look-frame, .look-frame-under")) line.setAttribute("d", path);
  svg.classList.toggle("is-crossed", crosses(now));
  fit(now.length);
  const halves = middles(now).map(place);
  corners.querySelectorAll(".look-side").forEach((group, side) => {
    const [x, y] = halves[side], arm = 6 * scale;
    group.setAttribute("visibility", hasPlus(now, side) ? "visible" : "hidden");
    put(group.querySelector(".look-reach"), x, y, REACH * scale);
    for (const plus of group.querySelectorAll("path")) plus.setAttribute("d", `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}`);
  });
  corners.querySelectorAll(".look-grip").forEach((group, number) => {
    const [x, y] = place(now[number]);
    put(group.querySelector(".look-reach"), x, y, REACH * scale);
    put(group.querySelector(".look-dot"), x, y, 9 * scale);
    group.setAttribute("aria-label", `Corner ${number + 1} of ${now.length}, ${now[number][0].toFixed(0)} % across and ${now[number][1].toFixed(0)} % down; arrow keys move it, plus adds one after it, Delete removes it`);
  });
  mark();
  drawMarks();
}

function put(circle, x, y, radius) {
  for (const [key, value] of [["cx", x], ["cy", y], ["r", radius]]) circle.setAttribute(key, value.toFixed(1));
}

function drawMarks() {
  const group = svg.querySelector(".look-marks");
  group.replaceChildren();
  if (!wantedPoints()) return;
  const found = points().map(place);
  for (const name of ["look-mark-under", "look-mark"]) {
    const crossed = found.map(([x, y]) => `M${x - grip} ${y}H${x + grip}M${x} ${y - grip}V${y + grip}`).join("");
    const ring = found.length > 1 ? `M${found.map((point) => point.join(" ")).join("L")}${found.length === 4 ? "Z" : ""}` : "";
    make("path", { class: name, d: crossed + ring }, group);
  }
}

function say(words) {
  if (told) told.textContent = words;
}

function sayHow() {
  if (crosses(outline())) say("Two sides cross: move a corner, or take the last step back.");
  else say("");
}

// --- keys and buttons ---

function keyed(event, number) {
  if (event.key === "z" && (event.ctrlKey || event.metaKey)) { event.preventDefault(); takeBack(); return; }
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Delete" || event.key === "Backspace") { event.preventDefault(); remove(number); return; }
  if (event.key === "+" || event.key === "Insert") { event.preventDefault(); add(number); return; }
  const move = arrowStep(event.key, event.shiftKey ? 5 : 1);
  if (!move) return;
  event.preventDefault();
  remember();
  const now = outline();
  setOutline(cornerMoved(now, number, now[number][0] + move[0], now[number][1] + move[1]));
  sayHow();
}

function focusOn(number) {
  corners.querySelectorAll(".look-grip")[number]?.focus({ preventScroll: true });
}

function add(side) {
  const now = outline();
  if (now.length >= MOST) { say(`An outline has at most ${MOST} corners.`); return; }
  remember();
  setOutline(cornerAdded(now, side));
  focusOn(side + 1);
  say(`Corner ${side + 2} of ${now.length + 1} was added.`);
}

function remove(number) {
  const now = outline();
  if (now.length <= FEWEST) { say(`An outline has at least ${FEWEST} corners.`); return; }
  remember();
  setOutline(cornerRemoved(now, number));
  focusOn(Math.max(0, number - 1));
  say(`Corner ${number + 1} was removed; ${now.length - 1} are left.`);
}

const DEEDS = { add: () => add(chosen), remove: () => remove(chosen), back: takeBack };
if (tools) {
  tools.hidden = false;
  for (const button of tools.querySelectorAll("[data-look]")) button.addEventListener("click", DEEDS[button.dataset.look]);
}

// --- pointing ---

let drag = null;

function at(event) {
  const box = svg.getBoundingClientRect();
  return [clamp(100 * (event.clientX - box.left) / box.width, 0, 100), clamp(100 * (event.clientY - box.top) / box.height, 0, 100)];
}

// The corner under the finger, or else the middle of a side, which becomes a corner.
function held(now, spot) {
  const box = svg.getBoundingClientRect();
  const scale = [box.width / 100, box.height / 100];
  const corner = nearest(now, spot, scale, REACH);
  if (corner >= 0) return corner;
  const side = nearest(middles(now), spot, scale, REACH);
  if (side < 0 || !hasPlus(now, side)) return -1;
  setOutline(cornerAdded(now, side));
  return side + 1;
}

svg.addEventListener("pointerdown", (event) => {
  if (event.button !== 0 || drag) return;
  const spot = at(event);
  if (wantedPoints()) { addPoint(...spot); return; }
  if (!field("corners")) return;
  const now = outline(), was = typed();
  remember();
  const corner = held(now, spot);
  if (corner >= 0) {
    event.preventDefault();
    const [x, y] = outline()[corner];
    drag = { corner, off: [x - spot[0], y - spot[1]] };
    focusOn(corner);
  } else drag = isInside(now, ...spot) ? { from: now, spot } : { start: spot };
  Object.assign(drag, { was, pointer: event.pointerId });
  svg.setPointerCapture(event.pointerId);
});

svg.addEventListener("pointermove", (event) => {
  if (!drag || event.pointerId !== drag.pointer) return;
  const [x, y] = at(event);
  if ("corner" in drag) setOutline(cornerMoved(outline(), drag.corner, x + drag.off[0], y + drag.off[1]));
  else if (drag.from) setOutline(outlineMoved(drag.from, x - drag.spot[0], y - drag.spot[1]));
  else {
    const frame = frameBetween(drag.start, x, y);
    if (frame) setOutline(frame);
  }
});
svg.addEventListener("pointerup", () => { drag = null; sayHow(); });
// The browser took the finger to scroll the page: nothing was meant.
svg.addEventListener("pointercancel", () => {
  if (drag) fill(drag.was);
  drag = null;
});

function addPoint(x, y) {
  field("points").value = writePoints(withPoint(points(), wantedPoints(), [x, y]));
  draw();
  tell();
}

function tell() {
  document.getElementById("look-tap-help").textContent = tapHelp(markKind(), wantedPoints() - points().length);
}

form.addEventListener("focusin", (event) => { if (EDGES.includes(event.target.name) || event.target.name === "corners") remember(); });
form.addEventListener("input", (event) => {
  if (event.target.name === "mark") field("points").value = "";
  draw();
  tell();
});
window.addEventListener("resize", draw);
draw();
tell();
