// The frame around the cloth and the points of a card, drawn over the photo. The number fields
// hold the truth; dragging, arrow keys and typing all go through them.

const svg = document.querySelector("#look svg");
const form = document.getElementById("look-form");
const width = svg.viewBox.baseVal.width;
const height = svg.viewBox.baseVal.height;
const grip = Number(svg.dataset.grip);
const NS = "http://www.w3.org/2000/svg";
const LEAST = 1;
const CORNERS = [["left", "top"], ["right", "top"], ["right", "bottom"], ["left", "bottom"]];
const WORDS = { left: "left", top: "top", right: "right", bottom: "bottom" };

const edges = () => Object.fromEntries(Object.keys(WORDS).map((name) => [name, Number(form.elements[name].value || 0)]));
const clamp = (number, low, high) => Math.min(high, Math.max(low, number));
const markKind = () => form.elements.mark.value;
const wantedPoints = () => ({ grey_point: 1, paper_point: 1, chart_corners: 4, paper_corners: 4 })[markKind()] || 0;

function setEdges(wanted) {
  for (const [name, number] of Object.entries(wanted)) form.elements[name].value = clamp(number, 0, 100).toFixed(1);
  draw();
}

function moveCorner([across, down], x, y) {
  const now = edges();
  const wanted = {};
  wanted[across] = across === "left" ? Math.min(x, now.right - LEAST) : Math.max(x, now.left + LEAST);
  wanted[down] = down === "top" ? Math.min(y, now.bottom - LEAST) : Math.max(y, now.top + LEAST);
  setEdges(wanted);
}

function moveFrame(from, dx, dy) {
  const x = clamp(dx, -from.left, 100 - from.right);
  const y = clamp(dy, -from.top, 100 - from.bottom);
  setEdges({ left: from.left + x, right: from.right + x, top: from.top + y, bottom: from.bottom + y });
}

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
  const step = event.shiftKey ? 5 : 1;
  const moves = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
  const move = moves[event.key];
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

function points() {
  return form.elements.points.value.split(/\s+/).map((pair) => pair.split(",").map(Number)).filter((pair) => pair.length === 2 && pair.every(Number.isFinite));
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
  const inside = x > now.left && x < now.right && y > now.top && y < now.bottom;
  drag = held ? { corner: held.corner } : inside ? { from: now, x, y } : { start: [x, y] };
  svg.setPointerCapture(event.pointerId);
});

svg.addEventListener("pointermove", (event) => {
  if (!drag) return;
  const [x, y] = at(event);
  if (drag.corner) moveCorner(drag.corner, x, y);
  else if (drag.from) moveFrame(drag.from, x - drag.x, y - drag.y);
  else if (Math.abs(x - drag.start[0]) > LEAST && Math.abs(y - drag.start[1]) > LEAST) {
    setEdges({ left: Math.min(x, drag.start[0]), right: Math.max(x, drag.start[0]), top: Math.min(y, drag.start[1]), bottom: Math.max(y, drag.start[1]) });
  }
});
for (const kind of ["pointerup", "pointercancel"]) svg.addEventListener(kind, () => { drag = null; });

function addPoint(x, y) {
  const before = points();
  const kept = before.length < wantedPoints() ? before : [];
  form.elements.points.value = [...kept, [x, y]].map(([px, py]) => `${px.toFixed(1)},${py.toFixed(1)}`).join(" ");
  draw();
  tell();
}

function tell() {
  const help = document.getElementById("look-tap-help");
  const missing = wantedPoints() - points().length;
  if (markKind() === "chart_corners") help.textContent = missing > 0 ? `Tap the corners of the chart clockwise, first the one beside the brown patch: ${missing} to go.` : "All four corners are marked; tapping again starts over.";
  else if (markKind() === "paper_corners") help.textContent = missing > 0 ? `Tap the corners of the sheet, one after the other around it: ${missing} to go.` : "All four corners are marked; tapping again starts over.";
  else if (wantedPoints()) help.textContent = missing > 0 ? "Now tap it in the picture." : "It is marked; tapping again moves the mark.";
  else help.textContent = "Choose one, then tap it in the picture.";
}

form.addEventListener("input", (event) => {
  if (event.target.name === "mark") form.elements.points.value = "";
  draw();
  tell();
});
draw();
tell();
