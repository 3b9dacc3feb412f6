// What is pressed at the table: kept, counted once, taken back. Meaning of the statuses: RFC 9110.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { answered, cutBy, following, isWaitingForPlan, misCut, pressed, taken, undone, waiting } =
  await load("projects/static/projects/pressing.js");

// Pressing and straightening, three strips, then another cloth: pressing and one strip.
const screens = [0, 0, 1, 2, 3, 0, 4].map((strip, place) => ({ number: place + 1, strip, cloth: place > 4 ? 1 : 0 }));
const table = (more = {}) => ({ sheet: 7, at: 1, asked: false, done: [], screens, ...more });
const cuts = (kept) => kept.queue.map((press) => [press.deed, press.strip]);

function walk(kept, presses, told = table()) {
  let now = kept;
  for (let number = 0; number < presses; number += 1) now = pressed(told, now, `key ${number}`);
  return now;
}

test("one press a step: what is made ready sends nothing, each strip one press", () => {
  const kept = walk(taken(null, table()), 7);
  assert.deepEqual(cuts(kept), [["cut", 1], ["cut", 2], ["cut", 3], ["cut", 4]]);
  assert.equal(new Set(kept.queue.map((press) => press.key)).size, 4);
  assert.equal(kept.at, 0);
});

test("what was pressed and where one stood is there after a reload", () => {
  const kept = JSON.parse(JSON.stringify(walk(taken(null, table()), 4)));
  assert.deepEqual(taken(kept, table()), kept);
  assert.equal(kept.at, 5);
});

test("another device has cut on: the screen that was kept gives way to the next open one", () => {
  const kept = walk(taken(null, table()), 2);
  assert.equal(taken(kept, table({ done: [1, 2] })).at, 5);
  assert.equal(taken({ sheet: 7, at: 1, queue: [] }, table({ done: [1] })).at, 4);
});

test("a step that was asked for is shown, also one that is cut", () => {
  const kept = walk(taken(null, table()), 4);
  assert.equal(taken(kept, table({ at: 3, asked: true, done: [1] })).at, 3);
});

test("a new sheet begins anew and keeps the presses of the old one", () => {
  const kept = walk(taken(null, table()), 3);
  const now = taken(kept, table({ sheet: 8 }));
  assert.equal(now.at, 1);
  assert.deepEqual(cuts(now), [["cut", 1]]);
  assert.equal(cutBy(table({ sheet: 8 }), now).size, 0);
});

test("undo drops what was not sent, and takes back what is on its way or arrived", () => {
  const kept = walk(taken(null, table()), 4);
  assert.deepEqual(cuts(undone(table(), kept, "back", false)), [["cut", 1]]);
  const first = walk(taken(null, table()), 3);
  const onItsWay = undone(table(), first, "back", true);
  assert.deepEqual(cuts(onItsWay), [["cut", 1], ["back", 1]]);
  assert.equal(onItsWay.at, 3);
  const arrived = undone(table({ done: [1] }), { ...first, queue: [] }, "back", false);
  assert.deepEqual(cuts(arrived), [["back", 1]]);
  assert.equal(cutBy(table({ done: [1] }), arrived).size, 0);
});

test("undo of what was made ready goes back one step, and after the end to the last strip", () => {
  const kept = walk(taken(null, table()), 1);
  assert.equal(undone(table(), kept, "back", false).at, 1);
  const all = walk(taken(null, table()), 7);
  assert.equal(undone(table(), all, "back", false).at, 7);
  assert.equal(undone(table(), { ...kept, at: 1 }, "back", false).at, 1);
});

test("a strip taken back is the next one, and cut with a new key", () => {
  const kept = undone(table(), walk(taken(null, table()), 3), "back", true);
  const again = pressed(table(), kept, "again");
  assert.deepEqual(cuts(again), [["cut", 1], ["back", 1], ["cut", 1]]);
  assert.equal(again.at, 4);
});

test("without a network everything waits; a busy site is asked again", () => {
  const kept = walk(taken(null, table()), 3);
  for (const status of [0, 429, 503]) assert.deepEqual(answered(table(), kept, status, null), { again: "later" });
  assert.equal(waiting(kept), "1 press kept here, to be sent.");
  assert.equal(waiting({ queue: [1, 2] }), "2 presses kept here, to be sent.");
  assert.equal(waiting({ queue: [] }), "");
});

test("signed out: nothing is lost, whatever page answers", () => {
  const kept = walk(taken(null, table()), 3);
  for (const status of [401, 403, 200]) assert.deepEqual(answered(table(), kept, status, null), { again: "sign in" });
});

test("an answer takes its press off, and tells what is cut", () => {
  const kept = walk(taken(null, table()), 4);
  const what = answered(table(), kept, 200, { done: [1] });
  assert.deepEqual([cuts(what.kept), what.done, what.goes], [[["cut", 2]], [1], false]);
  assert.equal(what.kept.at, 5);
});

test("a press that is refused is shown at its strip, and never sent again", () => {
  const kept = walk(taken(null, table()), 4);
  const what = answered(table(), kept, 409, { done: [], error: "It is promised." });
  assert.deepEqual([cuts(what.kept), what.kept.at, what.why], [[["cut", 2]], 3, "It is promised."]);
  assert.match(answered(table(), kept, 404, null).why, /could not be booked/);
});

test("a press whose answer was lost is done when it is sent again", () => {
  const kept = walk(taken(null, table()), 4);
  const what = answered(table(), kept, 409, { error: "This was already done." });
  assert.deepEqual([cuts(what.kept), what.done, what.why], [[["cut", 2]], [1], undefined]);
  const back = undone(table({ done: [1] }), { ...kept, at: 4, queue: [] }, "back", false);
  assert.deepEqual(answered(table({ done: [1] }), back, 409, { error: "Already done." }).done, []);
});

test("an answer about another sheet changes nothing of this one", () => {
  const kept = walk(taken(null, table()), 3);
  const here = table({ sheet: 8, done: [2] });
  assert.deepEqual(answered(here, taken(kept, here), 200, { done: [1] }).done, [2]);
});

test("after a mis-cut the plan is waited for", () => {
  const kept = misCut(table(), walk(taken(null, table()), 3), "key", { count: "2" });
  assert.ok(isWaitingForPlan(kept));
  assert.deepEqual(kept.queue.at(-1), { sheet: 7, deed: "mis-cut", strip: 2, key: "key", fields: { count: "2" } });
  const sent = answered(table(), { ...kept, queue: kept.queue.slice(-1) }, 200, { done: [1] });
  assert.ok(sent.goes);
});

test("a cloth that was passed over comes at the end", () => {
  const kept = { sheet: 7, at: 6, queue: [] };
  assert.equal(following(table(), { ...kept, queue: [{ sheet: 7, deed: "cut", strip: 4 }] }, 7), 3);
});
