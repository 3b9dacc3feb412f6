// Moving about the stash map, and a box on it that becomes a search.

import { bounded, boxBetween, movedBy, nearest, placeIn, wordsOfBox, zoomed } from "./view_box.js";

const map = document.getElementById("map");
const mark = document.getElementById("map-mark");
const boxed = document.getElementById("map-box");
const whole = map.getAttribute("viewBox").split(" ").map(Number);
let view = [...whole];

function show(wanted) {
  view = wanted;
  map.setAttribute("viewBox", view.join(" "));
}

const zoom = (factor, at) => show(zoomed(view, whole, factor, at));
const move = (right, down) => show(movedBy(view, whole, right, down));

const steps = {
  in: () => zoom(1.5), out: () => zoom(1 / 1.5), all: () => show(bounded(whole, whole)),
  left: () => move(-view[2] / 4, 0), right: () => move(view[2] / 4, 0),
  up: () => move(0, -view[3] / 4), down: () => move(0, view[3] / 4),
};
for (const button of document.querySelectorAll("[data-map]")) {
  button.addEventListener("click", () => steps[button.dataset.map]());
}

function onMap(event) {
  return placeIn(view, map.getBoundingClientRect(), event.clientX, event.clientY);
}

map.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, onMap(event));
}, { passive: false });

const fingers = new Map();
let start = null;
let dragged = false;

map.addEventListener("pointerdown", (event) => {
  fingers.set(event.pointerId, event);
  dragged = false;
  start = fingers.size === 1 && event.button === 0 ? onMap(event) : null;
});

map.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  if (fingers.size === 2) {
    const [other] = [...fingers.values()].filter((one) => one.pointerId !== event.pointerId);
    const gap = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
    mark.setAttribute("visibility", "hidden");
    dragged = true;
    zoom(gap(event) / Math.max(gap(before), 1), onMap(other));
  } else if (start && Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY) + dragged * 9 > 4) {
    if (!dragged) map.setPointerCapture(event.pointerId);
    dragged = true;
    const here = onMap(event);
    if (boxed.checked) draw(start, here);
    else move(start[0] - here[0], start[1] - here[1]);
    return;
  } else return;
  fingers.set(event.pointerId, event);
});

function draw(from, to) {
  for (const [name, number] of Object.entries(boxBetween(from, to))) mark.setAttribute(name, number);
  mark.setAttribute("visibility", "visible");
}

function lift(event) {
  const was = fingers.delete(event.pointerId);
  if (was && start && dragged && boxed.checked && event.type === "pointerup") ask(start, onMap(event));
  if (!fingers.size) start = null;
}
map.addEventListener("pointerup", lift);
map.addEventListener("pointercancel", lift);
map.addEventListener("click", (event) => { if (dragged) event.preventDefault(); }, true);

// A fingertip is larger than a fabric on the map: a press beside one opens the nearest.
const FINGERTIP = 22;
map.addEventListener("click", (event) => {
  if (dragged || event.target.closest("a")) return;
  const spots = [...map.querySelectorAll("a")];
  const middles = spots.map((spot) => {
    const box = spot.getBoundingClientRect();
    return [box.x + box.width / 2, box.y + box.height / 2];
  });
  const found = nearest(middles, [event.clientX, event.clientY], FINGERTIP);
  if (found >= 0) location.assign(spots[found].href.baseVal);
});
map.addEventListener("dragstart", (event) => event.preventDefault());

function ask(from, to) {
  const words = wordsOfBox(from, to, Number(map.dataset.huesFrom));
  const asked = [map.dataset.words, ...words].filter(Boolean).join(" ");
  const go = document.getElementById("map-go");
  const address = new URL(map.dataset.shelf, location.href);
  address.searchParams.set("words", asked);
  go.href = address;
  document.getElementById("map-said").textContent = asked;
  document.getElementById("map-found").hidden = false;
}
