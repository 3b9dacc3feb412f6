// Borders that are dragged from mark to mark of a ruler.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { keyMarks, outward, told, widened, written } = await load("projects/static/projects/ruler.js");

const QUILT = { width: 800, height: 1000 };

test("outward is away from the nearest side", () => {
  assert.deepEqual(outward({ x: 20, y: 500 }, QUILT), { x: -1, y: 0 });
  assert.deepEqual(outward({ x: 790, y: 500 }, QUILT), { x: 1, y: 0 });
  assert.deepEqual(outward({ x: 400, y: 15 }, QUILT), { x: 0, y: -1 });
  assert.deepEqual(outward({ x: 400, y: 980 }, QUILT), { x: 0, y: 1 });
});

test("a width moves by whole marks and never to nothing", () => {
  const right = { x: 1, y: 0 };
  assert.equal(widened(24, { x: 10.4, y: 300 }, right, 2), 29);
  assert.equal(widened(24, { x: -10.4, y: 300 }, right, 2), 19);
  assert.equal(widened(24, { x: -1000, y: 0 }, right, 2), 1);
  // A width between two marks comes to one of them.
  assert.equal(widened(24.4, { x: 0, y: 0 }, right, 2), 24);
});

test("keys move by a mark, with Shift by a whole inch or centimetre", () => {
  assert.equal(keyMarks("ArrowUp", false, 1 / 8), 1);
  assert.equal(keyMarks("ArrowLeft", true, 1 / 8), -8);
  assert.equal(keyMarks("ArrowRight", true, 0.1), 10);
  assert.equal(keyMarks("Enter", false, 1 / 8), 0);
});

test("a width is written for the form and told to the person", () => {
  assert.equal(written(27, 1 / 8, "in"), "3.375 in");
  assert.equal(written(75, 0.1, "cm"), "7.5 cm");
  assert.equal(told(27, 1 / 8, "in"), "3 3/8 in");
  assert.equal(told(28, 1 / 8, "in"), "3 1/2 in");
  assert.equal(told(3, 1 / 16, "in"), "3/16 in");
  assert.equal(told(32, 1 / 8, "in"), "4 in");
  assert.equal(told(75, 0.1, "cm"), "7.5 cm");
});
