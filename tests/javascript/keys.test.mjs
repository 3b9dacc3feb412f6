// Arrow keys, and the key that makes a press act once.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { arrowStep } = await load("stash/static/stash/arrows.js");
const { freshKey } = await load("stash/static/stash/keys.js");

test("an arrow is a step, any other key is none", () => {
  assert.deepEqual(["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"].map((key) => arrowStep(key, 5)), [[-5, 0], [5, 0], [0, -5], [0, 5]]);
  assert.equal(arrowStep("Enter", 5), undefined);
});

test("in a table a row down is as many places as it has columns", () => {
  const places = (key) => arrowStep(key, 1, 7).reduce((sum, part) => sum + part);
  assert.deepEqual(["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"].map(places), [-1, 1, -7, 7]);
});

test("a fresh key is a random UUID and comes once", () => {
  // RFC 9562, section 5.4: version 4, variant 10.
  const keys = Array.from({ length: 200 }, freshKey);
  for (const key of keys) assert.match(key, /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.equal(new Set(keys).size, keys.length);
});
