// Sending photos: one a request, two in flight, each with its own progress and its own retry.
// What arrived is on the server; leaving the page loses only what was still on its way.

import { freshKey } from "./keys.js";
import { outcome, pauseAfter, told, tooLarge } from "./sending.js";
import { letGo, sharedPhotos } from "./shared_photos.js";

const IN_FLIGHT = 2;
const form = document.getElementById("sending");
const list = document.getElementById("sending-list");
const sum = document.getElementById("sending-sum");
const maxBytes = Number(form.dataset.maxBytes);
const waiting = [];
let flying = 0;
let arrived = 0;
let known = 0;

function choose(files, done = () => {}) {
  for (const file of files) waiting.push({ ...addRow(file), done });
  document.getElementById("refused").replaceChildren();
  next();
}

function addRow(file) {
  const item = document.createElement("li");
  const name = document.createElement("span");
  const bar = document.createElement("progress");
  const said = document.createElement("span");
  name.className = "sending-name";
  name.textContent = file.name;
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute("aria-label", `Progress of ${file.name}`);
  said.className = "sending-said";
  said.textContent = "waits";
  item.append(name, bar, said);
  list.append(item);
  // The key stays the same when the photo is sent again, so that it arrives once.
  return { file, item, bar, said, tries: 0, key: freshKey() };
}

function next() {
  while (flying < IN_FLIGHT && waiting.length) send(waiting.shift());
  say();
  // Answers may overtake each other; the last word on the count is the server's.
  if (!flying && !waiting.length) window.htmx.ajax("GET", window.location.pathname, { target: "#trip-summary", swap: "innerHTML" });
}

function say() {
  const stuck = list.querySelectorAll(".sending-refused").length;
  sum.textContent = told({ open: flying + waiting.length, arrived, known, stuck });
}

function send(row) {
  const why = tooLarge(row.file.size, maxBytes);
  if (why) { refuse(row, why, false); return; }
  flying += 1;
  row.tries += 1;
  row.said.textContent = "is being sent";
  const request = new XMLHttpRequest();
  const body = new FormData();
  // The phone's file name stays on the phone.
  body.append("photos", row.file, "photo");
  body.append("view", form.elements.view.value);
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "application/json");
  request.setRequestHeader("X-CSRFToken", form.elements.csrfmiddlewaretoken.value);
  request.setRequestHeader("X-Act", row.key);
  request.responseType = "json";
  request.timeout = 180000;
  request.upload.addEventListener("progress", (event) => {
    if (!event.lengthComputable) return;
    row.bar.value = event.loaded / event.total;
    if (event.loaded === event.total) row.said.textContent = "is being read";
  });
  request.addEventListener("load", () => { flying -= 1; answered(row, request); next(); });
  for (const kind of ["error", "timeout", "abort"]) {
    request.addEventListener(kind, () => { flying -= 1; again(row, "The connection broke off."); next(); });
  }
  request.send(body);
}

function answered(row, request) {
  const answer = request.response;
  const { isTaken, again: when, why } = outcome(request.status, answer);
  if (!isTaken) {
    if (when === "later") again(row, why); else refuse(row, why, when === "press");
    return;
  }
  row.done(row.file);
  if (answer.is_new) arrived += 1; else known += 1;
  row.item.remove();
  for (const card of answer.cards) show(card);
  fill(document.getElementById("trip-summary"), answer.summary);
}

function again(row, why) {
  const pause = pauseAfter(row.tries);
  if (pause === undefined) { refuse(row, why, true); return; }
  row.bar.value = 0;
  row.said.textContent = `${why} Trying again soon.`;
  setTimeout(() => { waiting.push(row); next(); }, pause);
}

function refuse(row, why, canRetry) {
  if (!canRetry) row.done(row.file);
  row.item.classList.add("sending-refused");
  row.bar.hidden = true;
  row.said.textContent = "";
  const text = document.createElement("span");
  text.className = "error";
  text.textContent = why;
  row.said.append(text);
  if (canRetry) {
    row.said.append(button("Send it again", () => {
      row.item.classList.remove("sending-refused");
      row.bar.hidden = false;
      row.tries = 0;
      row.said.textContent = "waits";
      waiting.push(row);
      next();
    }));
  }
  row.said.append(button("Leave it out", () => { row.item.remove(); say(); }));
}

function button(words, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "button-quiet button-small";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

function show(card) {
  const holder = document.createElement("template");
  holder.innerHTML = card.html;
  const fresh = holder.content.querySelector(".draft");
  const old = document.getElementById(`draft-${card.id}`);
  if (old) old.replaceWith(fresh); else document.querySelector("#drafts .drafts").append(fresh);
  window.htmx.process(fresh);
  document.getElementById("chosen-tools").hidden = false;
  countTicks();
}

function fill(element, html) {
  element.innerHTML = html;
  window.htmx.process(element);
}

// --- choosing: picker, camera, drag and drop ---

for (const id of ["photos", "camera"]) {
  const input = document.getElementById(id);
  const take = () => { choose(input.files); input.value = ""; };
  input.addEventListener("change", take);
  // Somebody may have been quicker than this script.
  if (input.files.length) take();
}
form.addEventListener("submit", (event) => event.preventDefault());

sharedPhotos().then((photos) => { if (photos.length) choose(photos, letGo); });

if (window.matchMedia("(pointer: coarse)").matches) {
  document.querySelector(".camera-button").hidden = false;
  document.getElementById("camera").hidden = false;
} else {
  document.querySelector(".drop-words").hidden = false;
}

const zone = form.closest("section");
for (const kind of ["dragenter", "dragover"]) {
  document.addEventListener(kind, (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    zone.classList.add("drop-over");
  });
}
document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) zone.classList.remove("drop-over"); });
document.addEventListener("drop", (event) => {
  if (!event.dataTransfer?.files.length) return;
  event.preventDefault();
  zone.classList.remove("drop-over");
  choose(event.dataTransfer.files);
});

window.addEventListener("beforeunload", (event) => {
  if (flying || waiting.length) event.preventDefault();
});

// --- names: Enter goes on to the next card; what was typed is saved when the field is left ---

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.isComposing || !event.target.matches?.("[data-name]")) return;
  event.preventDefault();
  const names = [...document.querySelectorAll("[data-name]")];
  const next = names[names.indexOf(event.target) + 1];
  if (next) next.focus(); else event.target.blur();
});

// A card that is drawn anew keeps what is being typed into it.
let typing = null;
document.addEventListener("htmx:beforeSwap", () => {
  const now = document.activeElement;
  typing = now?.matches?.("[data-name]") ? { id: now.id, text: now.value, at: now.selectionStart } : null;
});
document.addEventListener("htmx:afterSwap", () => {
  const field = typing && document.getElementById(typing.id);
  if (!field || field === document.activeElement) return;
  field.value = typing.text;
  field.focus();
  field.setSelectionRange(typing.at, typing.at);
});

// --- ticking cards ---

function ticks() { return [...document.querySelectorAll('input[name="draft"]')]; }

function countTicks() {
  const all = ticks();
  const count = all.filter((box) => box.checked).length;
  const said = document.querySelector("[data-tick-count]");
  if (!said) return;
  said.textContent = count ? `${count} ticked` : "";
  document.getElementById("chosen-tools").classList.toggle("is-idle", !count);
  for (const one of document.querySelectorAll("[data-tick-all], [data-tick-lacking]")) one.hidden = all.length < 2;
}

document.addEventListener("click", (event) => {
  const wanted = event.target.closest("[data-tick-all], [data-tick-lacking]");
  if (!wanted) return;
  const boxes = ticks().filter((box) => wanted.hasAttribute("data-tick-all") || box.closest(".draft-lacks"));
  const tick = !boxes.every((box) => box.checked);
  for (const box of boxes) box.checked = tick;
  countTicks();
});
document.addEventListener("change", (event) => { if (event.target.name === "draft") countTicks(); });
document.addEventListener("htmx:afterSettle", countTicks);
countTicks();
