// The stash map: moving about, and a box as words. Expected numbers: own derivation.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { bounded, boxBetween, movedBy, nearest, placeIn, wordsOfBox, zoomed } = await load("stash/static/stash/view_box.js");
const WHOLE = [0, 0, 1000, 600];

test("the view keeps inside the whole and in its proportions", () => {
  assert.deepEqual(bounded([-50, 900, 500], WHOLE), [0, 300, 500, 300]);
  assert.deepEqual(bounded([0, 0, 5000], WHOLE), WHOLE);
});

test("nobody comes nearer than twelve times", () => {
  let view = WHOLE;
  for (let turn = 0; turn < 30; turn += 1) view = zoomed(view, WHOLE, 1.5);
  assert.ok(Math.abs(view[2] - 1000 / 12) < 1e-9);
  assert.ok(Math.abs(view[3] - 50) < 1e-9);
});

test("zooming keeps the place under the pointer", () => {
  const frame = { left: 10, top: 20, width: 500, height: 300 };
  const before = [200, 100, 500, 300];
  const at = placeIn(before, frame, 310, 140);
  const after = zoomed(before, WHOLE, 1.2, at);
  const [x, y] = placeIn(after, frame, 310, 140);
  assert.ok(Math.hypot(x - at[0], y - at[1]) < 1e-9);
});

test("zooming in and out again comes back", () => {
  const view = zoomed(zoomed([200, 100, 500, 300], WHOLE, 1.5), WHOLE, 1 / 1.5);
  [200, 100, 500, 300].forEach((number, place) => { assert.ok(Math.abs(view[place] - number) < 1e-9); });
});

test("moving stops at the edge", () => {
  assert.deepEqual(movedBy([800, 0, 200, 120], WHOLE, 50, -50), [800, 0, 200, 120]);
  assert.deepEqual(movedBy([400, 100, 200, 120], WHOLE, 50, -50), [450, 50, 200, 120]);
});

test("a box is the same drawn from any corner", () => {
  const box = { x: 10, y: 20, width: 30, height: 40 };
  assert.deepEqual(boxBetween([10, 20], [40, 60]), box);
  assert.deepEqual(boxBetween([40, 20], [10, 60]), box);
});

test("a box among the hues is a value and a hue", () => {
  // Hues run from 110 to 990 when the neutrals end at 100: a quarter of them is 220 wide.
  assert.deepEqual(wordsOfBox([110, 150], [330, 450], 100), ["value 2.5 to 7.5", "hue 0 to 90"]);
});

test("a box among the neutrals says so, and one over both names the value alone", () => {
  assert.deepEqual(wordsOfBox([10, 0], [60, 600], 100), ["value 0.0 to 10.0", "neutral"]);
  assert.deepEqual(wordsOfBox([10, 60], [500, 0], 100), ["value 9.0 to 10.0"]);
});

test("a press opens the nearest fabric within a fingertip", () => {
  const places = [[0, 0], [30, 40], [31, 41]];
  assert.equal(nearest(places, [27, 36], 22), 1);
  assert.equal(nearest(places, [0, 22], 22), 0);
  assert.equal(nearest(places, [0, 22.1], 22), -1);
  assert.equal(nearest([], [0, 0], 22), -1);
});
