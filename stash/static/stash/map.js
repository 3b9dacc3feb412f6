// Moving about the stash map, and a box on it that becomes a search.

const map = document.getElementById("map");
const mark = document.getElementById("map-mark");
const boxed = document.getElementById("map-box");
const whole = map.getAttribute("viewBox").split(" ").map(Number);
let view = [...whole];

function show([x, y, width, height]) {
  const w = Math.min(Math.max(width, whole[2] / 12), whole[2]);
  const h = w * whole[3] / whole[2];
  view = [
    Math.min(Math.max(x, whole[0]), whole[0] + whole[2] - w),
    Math.min(Math.max(y, whole[1]), whole[1] + whole[3] - h), w, h,
  ];
  map.setAttribute("viewBox", view.join(" "));
}

function zoom(factor, at = [view[0] + view[2] / 2, view[1] + view[3] / 2]) {
  const width = Math.min(Math.max(view[2] / factor, whole[2] / 12), whole[2]);
  const scale = width / view[2];
  show([at[0] - (at[0] - view[0]) * scale, at[1] - (at[1] - view[1]) * scale, width, 0]);
}

const steps = {
  in: () => zoom(1.5), out: () => zoom(1 / 1.5), all: () => show(whole),
  left: () => show([view[0] - view[2] / 4, view[1], view[2], 0]),
  right: () => show([view[0] + view[2] / 4, view[1], view[2], 0]),
  up: () => show([view[0], view[1] - view[3] / 4, view[2], 0]),
  down: () => show([view[0], view[1] + view[3] / 4, view[2], 0]),
};
for (const button of document.querySelectorAll("[data-map]")) {
  button.addEventListener("click", () => steps[button.dataset.map]());
}

function onMap(event) {
  const frame = map.getBoundingClientRect();
  return [
    view[0] + (event.clientX - frame.left) / frame.width * view[2],
    view[1] + (event.clientY - frame.top) / frame.height * view[3],
  ];
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
    else show([view[0] + start[0] - here[0], view[1] + start[1] - here[1], view[2], 0]);
    return;
  } else return;
  fingers.set(event.pointerId, event);
});

function draw(from, to) {
  const corner = [Math.min(from[0], to[0]), Math.min(from[1], to[1])];
  mark.setAttribute("x", corner[0]);
  mark.setAttribute("y", corner[1]);
  mark.setAttribute("width", Math.abs(to[0] - from[0]));
  mark.setAttribute("height", Math.abs(to[1] - from[1]));
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
map.addEventListener("dragstart", (event) => event.preventDefault());

// The box in words of the search box; the map is 1000 wide, neutrals left of the hues.
function ask(from, to) {
  const hues = Number(map.dataset.huesFrom) + 10;
  const angle = (x) => Math.round(Math.min(Math.max((x - hues) / (990 - hues) * 360, 0), 360));
  const value = (y) => Math.min(Math.max(10 * (1 - y / 600), 0), 10).toFixed(1);
  const [left, right] = [from[0], to[0]].sort((a, b) => a - b);
  const [top, bottom] = [from[1], to[1]].sort((a, b) => a - b);
  const words = [`value ${value(bottom)} to ${value(top)}`];
  if (right < hues - 10) words.push("neutral");
  else if (left >= hues - 10) words.push(`hue ${angle(left)} to ${angle(right)}`);
  const asked = [map.dataset.words, ...words].filter(Boolean).join(" ");
  const go = document.getElementById("map-go");
  const address = new URL(map.dataset.shelf, location.href);
  address.searchParams.set("words", asked);
  go.href = address;
  document.getElementById("map-said").textContent = asked;
  document.getElementById("map-found").hidden = false;
}
