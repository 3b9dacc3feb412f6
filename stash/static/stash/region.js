// The frame around the cloth and the points of a card, drawn over the photo. The number fields
// hold the truth; dragging, arrow keys and typing all go through them.

import { arrowStep } from "./arrows.js";
import { clamp, cornerMoved, frameBetween, frameMoved, isInside, pointsWanted, readPoints, tapHelp, withPoint, writePoints } from "./frame.js";

const svg = document.querySelector("#look svg");
const form = document.getElementById("look-form");
const width = svg.viewBox.baseVal.width;
const height = svg.viewBox.baseVal.height;
const grip = Number(svg.dataset.grip);
const NS = "http://www.w3.org/2000/svg";
const CORNERS = [["left", "top"], ["right", "top"], ["right", "bottom"], ["left", "bottom"]];
const WORDS = { left: "left", top: "top", right: "right", bottom: "bottom" };

const edges = () => Object.fromEntries(Object.keys(WORDS).map((name) => [name, Number(form.elements[name].value || 0)]));
const markKind = () => form.elements.mark.value;
const wantedPoints = () => pointsWanted(markKind());
const points = () => readPoints(form.elements.points.value);

function setEdges(wanted) {
  for (const [name, number] of Object.entries(wanted)) form.elements[name].value = clamp(number, 0, 100).toFixed(1);
  draw();
}

const moveCorner = (corner, x, y) => setEdges(cornerMoved(edges(), corner, x, y));

// --- drawing ---

const grips = CORNERS.map((corner) => {
  const circle = document.createElementNS(NS, "circle");
  circle.setAttribute("class", "look-grip");
  circle.setAttribute("r", grip);
  circle.setAttribute("tabindex", "0");
  circle.setAttribute("role", "button");
  circle.setAttribute("aria-label", `${WORDS[corner[1]]} ${WORDS[corner[0]]} corner of the frame; arrow keys move it`);
  circle.addEventListener("keydown", (event) => keyed(event, corner));
  svg.querySelector(".look-grips").append(circle);
  return { circle, corner };
});

function keyed(event, corner) {
  const move = arrowStep(event.key, event.shiftKey ? 5 : 1);
  if (!move) return;
  event.preventDefault();
  const now = edges();
  moveCorner(corner, now[corner[0]] + move[0], now[corner[1]] + move[1]);
}

function draw() {
  const now = edges();
  const x0 = now.left * width / 100, x1 = now.right * width / 100;
  const y0 = now.top * height / 100, y1 = now.bottom * height / 100;
  svg.querySelector(".look-shade").setAttribute("d", `M0 0H${width}V${height}H0ZM${x0} ${y0}V${y1}H${x1}V${y0}Z`);
  for (const rect of svg.querySelectorAll(".look-frame, .look-frame-under")) {
    rect.setAttribute("x", x0); rect.setAttribute("y", y0);
    rect.setAttribute("width", Math.max(0, x1 - x0)); rect.setAttribute("height", Math.max(0, y1 - y0));
  }
  for (const { circle, corner } of grips) {
    circle.setAttribute("cx", now[corner[0]] * width / 100);
    circle.setAttribute("cy", now[corner[1]] * height / 100);
  }
  drawMarks();
}

function drawMarks() {
  const group = svg.querySelector(".look-marks");
  group.replaceChildren();
  if (!wantedPoints()) return;
  const found = points().map(([x, y]) => [x * width / 100, y * height / 100]);
  for (const name of ["look-mark-under", "look-mark"]) {
    const path = document.createElementNS(NS, "path");
    const crosses = found.map(([x, y]) => `M${x - grip} ${y}H${x + grip}M${x} ${y - grip}V${y + grip}`).join("");
    const ring = found.length > 1 ? `M${found.map((point) => point.join(" ")).join("L")}${found.length === 4 ? "Z" : ""}` : "";
    path.setAttribute("class", name);
    path.setAttribute("d", crosses + ring);
    group.append(path);
  }
}

// --- pointing ---

let drag = null;

function at(event) {
  const box = svg.getBoundingClientRect();
  return [clamp(100 * (event.clientX - box.left) / box.width, 0, 100), clamp(100 * (event.clientY - box.top) / box.height, 0, 100)];
}

svg.addEventListener("pointerdown", (event) => {
  const [x, y] = at(event);
  if (wantedPoints()) { addPoint(x, y); return; }
  const held = grips.find(({ circle }) => circle === event.target);
  const now = edges();
  drag = held ? { corner: held.corner } : isInside(now, x, y) ? { from: now, x, y } : { start: [x, y] };
  svg.setPointerCapture(event.pointerId);
});

svg.addEventListener("pointermove", (event) => {
  if (!drag) return;
  const [x, y] = at(event);
  if (drag.corner) moveCorner(drag.corner, x, y);
  else if (drag.from) setEdges(frameMoved(drag.from, x - drag.x, y - drag.y));
  else {
    const frame = frameBetween(drag.start, x, y);
    if (frame) setEdges(frame);
  }
});
for (const kind of ["pointerup", "pointercancel"]) svg.addEventListener(kind, () => { drag = null; });

function addPoint(x, y) {
  form.elements.points.value = writePoints(withPoint(points(), wantedPoints(), [x, y]));
  draw();
  tell();
}

function tell() {
  document.getElementById("look-tap-help").textContent = tapHelp(markKind(), wantedPoints() - points().length);
}

form.addEventListener("input", (event) => {
  if (event.target.name === "mark") form.elements.points.value = "";
  draw();
  tell();
});
draw();
tell();
