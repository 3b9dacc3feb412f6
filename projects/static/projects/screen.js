// An outline is stretched until it fits a card or a ruler held against the screen.

import { RULERS, cardOn, marksOf } from "./gauge.js";
import { forgetMeasure, isMeasured, keepMeasure, pixelsPerMm } from "./scale.js";

const NS = "http://www.w3.org/2000/svg";
const HELP = {
  card: "Hold the card flat against the screen and change the outline until both edges meet.",
  cm: "Hold the ruler against the screen and change the line until it is 5 cm long.",
  in: "Hold the ruler against the screen and change the line until it is 2 in long.",
};

const svg = document.getElementById("gauge");
const slide = document.getElementById("gauge-size");
const said = document.getElementById("gauge-said");
const forget = document.getElementById("gauge-forget");

const gauge = () => document.querySelector("[name=gauge]:checked").value;

function shape(name, facts, text) {
  const made = document.createElementNS(NS, name);
  for (const [key, fact] of Object.entries(facts)) made.setAttribute(key, fact);
  if (text) made.textContent = text;
  svg.append(made);
}

function draw() {
  const scale = Number(slide.value);
  svg.replaceChildren();
  if (gauge() === "card") drawCard(scale); else drawRuler(scale, ...RULERS[gauge()]);
  document.getElementById("gauge-help").textContent = HELP[gauge()];
  slide.setAttribute("aria-valuetext", `${scale.toFixed(2)} pixels for a millimetre`);
}

function drawCard(scale) {
  const { wide, high, upright } = cardOn(svg.parentElement.clientWidth, scale);
  size(wide, high);
  shape("rect", { class: "edge", x: 0.5, y: 0.5, width: wide - 1, height: high - 1, rx: 3.18 * scale });
  shape("text", { x: wide / 2, y: high / 2 }, upright ? "53.98 mm across" : "85.60 mm across");
}

function drawRuler(scale, length, step, unit) {
  const wide = length * scale;
  size(wide, 56);
  shape("rect", { class: "edge", x: 0.5, y: 0.5, width: wide - 1, height: 55 });
  for (const at of marksOf(length, step)) shape("path", { d: `M${at * scale} 0V22`, stroke: "#1f1f1f" });
  shape("text", { x: wide / 2, y: 44 }, `${Math.round(length / step)} ${unit}`);
}

function size(wide, high) {
  svg.setAttribute("width", wide);
  svg.setAttribute("height", high);
}

function tell() {
  forget.hidden = !isMeasured();
  said.textContent = isMeasured()
    ? "This browser knows the size of its screen; patches can be shown at true size."
    : "This browser does not know the size of its screen yet.";
}

slide.value = pixelsPerMm();
slide.addEventListener("input", draw);
document.addEventListener("change", (event) => { if (event.target.name === "gauge") draw(); });
window.addEventListener("resize", draw);
for (const button of document.querySelectorAll("[data-widen]")) {
  button.addEventListener("click", () => {
    slide.value = Number(slide.value) + 0.01 * Number(button.dataset.widen);
    draw();
  });
}
document.getElementById("gauge-keep").addEventListener("click", () => {
  const worked = keepMeasure(Number(slide.value));
  tell();
  if (!worked) said.textContent = "This browser keeps nothing for this site, so the size is forgotten at once.";
});
forget.addEventListener("click", () => {
  forgetMeasure();
  slide.value = pixelsPerMm();
  draw();
  tell();
});
draw();
tell();
