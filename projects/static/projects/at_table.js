// The table under a knuckle: shows one step after another, keeps what was pressed on the device,
// and sends it in order, each press once, when the site can be reached.

import { freshKey } from "../stash/keys.js";
import { answered, cutBy, isWaitingForPlan, misCut, pressed, screenAt, taken, undone, waiting } from "./pressing.js";

const table = JSON.parse(document.querySelector("#table").textContent);
const KEPT = `table-${table.project}`;
const HERE = location.pathname;
// Two presses of one knuckle are one press.
const ONE_PRESS = 350;
const PAUSES = [1500, 5000, 12000, 20000];

const find = (name) => document.querySelector(`[data-${name}]`);
const main = { cut: find("cut"), ready: find("ready"), back: find("back"), oneBack: find("one-back") };
const wrong = document.querySelector("#wrong");
const token = main.cut.elements.csrfmiddlewaretoken.value;

let kept = taken(read(), table);
let isSending = false;
let tries = 0;
let last = -ONE_PRESS;
let told = "";
let timer = 0;

function read() {
  try {
    return JSON.parse(localStorage.getItem(KEPT));
  } catch {
    return null;
  }
}

function keep(now) {
  kept = now;
  try {
    localStorage.setItem(KEPT, JSON.stringify(kept));
  } catch {
    // A browser that keeps nothing: what was pressed is sent as long as the page is open.
  }
}

function text(name, value) {
  const place = find(name);
  place.textContent = value ?? "";
  place.hidden = !value;
}

const unbroken = (line) => line.replace(/(\d) (?=\d+\/\d)/g, "$1\u00a0");

function paint() {
  const screen = screenAt(table, kept.at);
  const wait = waiting(kept);
  find("waiting").textContent = [wait, told].filter(Boolean).join(" ");
  if (!screen) {
    // All is cut: the site says so as soon as everything has arrived.
    finish();
    return;
  }
  const isCut = Boolean(screen.strip) && cutBy(table, kept).has(screen.strip);
  const isToCut = Boolean(screen.strip) && !isCut;
  find("head").textContent = screen.head;
  find("do").textContent = (screen.do ?? []).map(unbroken).join(" ");
  find("then").replaceChildren(...(screen.then ?? []).map((line) => {
    const made = document.createElement("li");
    made.textContent = unbroken(line);
    return made;
  }));
  text("label", screen.label);
  text("after", screen.after && unbroken(screen.after));
  document.querySelectorAll("[data-cloth]").forEach((cloth, place) => { cloth.hidden = place !== screen.cloth; });
  for (const number of document.querySelectorAll("[data-number]")) number.textContent = screen.number;
  for (const stays of document.querySelectorAll("[data-stays]")) stays.hidden = Number(stays.dataset.stays) !== screen.cloth;
  find("iron").hidden = screen.caution !== "iron";
  find("cutter").hidden = screen.caution !== "cutter";
  find("guard").hidden = !isToCut;
  find("booked").hidden = !isCut;
  main.cut.hidden = !isToCut;
  main.ready.hidden = isToCut;
  find("wrong").hidden = !isToCut;
  main.back.hidden = true;
  main.oneBack.hidden = screen.number === 1;
  ask(screen, isToCut);
}

/** The form for a mis-cut, for the strip that is shown. */
function ask(screen, isToCut) {
  wrong.hidden = !isToCut;
  const form = find("mis-cut");
  if (!isToCut || Number(form.elements.strip.value) === screen.strip) return;
  form.reset();
  form.elements.strip.value = screen.strip;
  const cloth = table.cloths[screen.cloth];
  const choices = cloth.pack ? [] : (screen.cuts ?? []);
  find("spoiled").replaceChildren(
    new Option(cloth.pack ? "this piece" : "this strip", ""),
    ...choices.map(([number]) => new Option(`only some of ${unbroken(cloth.cuts[number])}`, number)),
  );
}

function focusPress() {
  (main.cut.hidden ? main.ready : main.cut.querySelector("button")).focus({ preventScroll: true });
}

function isSecondOfOne(event) {
  if (event.timeStamp - last < ONE_PRESS) return true;
  last = event.timeStamp;
  return false;
}

function go(now) {
  find("refused").hidden = true;
  if (location.hash) history.replaceState(null, "", HERE);
  keep(now);
  paint();
  if (screenAt(table, kept.at)) focusPress();
  scrollTo(0, 0);
  send();
}

function next(event) {
  event.preventDefault();
  if (!isSecondOfOne(event) && !isWaitingForPlan(kept)) go(pressed(table, kept, freshKey()));
}

function back(event) {
  event.preventDefault();
  if (!isSecondOfOne(event) && !isWaitingForPlan(kept)) go(undone(table, kept, freshKey(), isSending));
}

main.cut.addEventListener("submit", next);
main.ready.addEventListener("click", next);
main.oneBack.addEventListener("click", back);
find("mis-cut").addEventListener("submit", (event) => {
  event.preventDefault();
  if (isWaitingForPlan(kept)) return;
  const { cut, count, came_out, good_width, good_length } = Object.fromEntries(new FormData(event.target));
  told = "Put the cutter down: the rest is worked out anew.";
  keep(misCut(table, kept, freshKey(), { cut, count, came_out, good_width, good_length }));
  paint();
  send();
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
  if (event.target.closest("input, select, textarea")) return;
  if (event.repeat) {
    // A key that is held down presses once.
    if (event.key === "Enter" || event.key === " ") event.preventDefault();
  } else if (event.key === "Backspace") {
    back(event);
  } else if (event.key === " " && event.target === main.ready) {
    next(event);
  } else if ((event.key === "Enter" || event.key === " ") && !event.target.closest("a, button, summary")) {
    next(event);
  }
});

async function send() {
  clearTimeout(timer);
  if (isSending || !kept.queue.length) return;
  isSending = true;
  const { status, answer } = await sent(kept.queue[0]);
  isSending = false;
  const what = answered(table, kept, status, answer);
  if (what.again) {
    told = what.again === "later" ? "No network." : "You have been signed out: open this page again.";
    if (what.again === "later") timer = setTimeout(send, PAUSES[Math.min(tries++, PAUSES.length - 1)]);
    paint();
    return;
  }
  tries = 0;
  told = "";
  table.done = what.done;
  keep(what.kept);
  paint();
  if (what.why) {
    const place = find("refused");
    place.textContent = what.why;
    place.hidden = false;
  } else if (what.goes) {
    location.assign(HERE);
    return;
  }
  send();
}

async function sent(press) {
  const body = new URLSearchParams({ ...press.fields, strip: press.strip, act: press.key, csrfmiddlewaretoken: token });
  const address = `${HERE}${press.sheet}/${press.deed}/`;
  try {
    const response = await fetch(address, {
      method: "POST", body, headers: { Accept: "application/json" }, signal: AbortSignal.timeout(20_000),
    });
    const isJson = (response.headers.get("Content-Type") ?? "").includes("json");
    return { status: response.status, answer: isJson ? await response.json() : null };
  } catch {
    return { status: 0, answer: null };
  }
}

function finish() {
  find("head").textContent = "All of it is cut";
  for (const name of ["do", "label", "after", "iron", "cutter", "guard", "booked"]) find(name).hidden = true;
  find("then").replaceChildren();
  main.cut.hidden = main.ready.hidden = find("wrong").hidden = wrong.hidden = true;
  main.oneBack.hidden = false;
  if (!kept.queue.length) location.assign(HERE);
}

addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") send(); });
if (location.search) history.replaceState(null, "", HERE + location.hash);
keep(kept);
paint();
focusPress();
send();
