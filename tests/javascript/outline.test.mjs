// The outline around the cloth. Expected numbers: own derivation.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { cornerAdded, cornerMoved, cornerRemoved, crosses, edgesOf, frameBetween, isInside, middles, MOST, nearest, ofEdges, outlineMoved } = await load("stash/static/stash/outline.js");
const EDGES = { left: 20, top: 30, right: 60, bottom: 70 };
const FRAME = ofEdges(EDGES);
const TRIANGLE = [[10, 10], [50, 10], [10, 90]];

test("edges make an outline, and an upright outline has edges, wherever it begins", () => {
  assert.deepEqual(FRAME, [[20, 30], [60, 30], [60, 70], [20, 70]]);
  assert.deepEqual(edgesOf([...FRAME.slice(2), ...FRAME.slice(0, 2)]), EDGES);
  assert.equal(edgesOf(TRIANGLE), null);
  assert.equal(edgesOf(cornerMoved(FRAME, 0, 21, 30)), null);
});

test("a corner moves alone and stays in the photo", () => {
  assert.deepEqual(cornerMoved(TRIANGLE, 1, 140, -3), [[10, 10], [100, 0], [10, 90]]);
});

test("the outline keeps its shape where it meets the edge", () => {
  assert.deepEqual(outlineMoved(TRIANGLE, 5, -5), [[15, 5], [55, 5], [15, 85]]);
  assert.deepEqual(outlineMoved(TRIANGLE, 500, 500), [[60, 20], [100, 20], [60, 100]]);
});

test("a frame is drawn from any corner, and not by a tap", () => {
  assert.deepEqual(edgesOf(frameBetween([40, 50], 10, 80)), { left: 10, right: 40, top: 50, bottom: 80 });
  assert.equal(frameBetween([40, 50], 41, 90), null);
});

test("a corner comes into the middle of its side, the last side too, up to the most", () => {
  assert.deepEqual(middles(TRIANGLE), [[30, 10], [30, 50], [10, 50]]);
  assert.deepEqual(cornerAdded(TRIANGLE, 0), [[10, 10], [30, 10], [50, 10], [10, 90]]);
  assert.deepEqual(cornerAdded(TRIANGLE, 2), [[10, 10], [50, 10], [10, 90], [10, 50]]);
  let many = TRIANGLE;
  for (let time = 0; time < 40; time += 1) many = cornerAdded(many, 0);
  assert.equal(many.length, MOST);
});

test("a corner goes, but never one of the last three", () => {
  assert.deepEqual(cornerRemoved(FRAME, 1), [[20, 30], [60, 70], [20, 70]]);
  assert.deepEqual(cornerRemoved(TRIANGLE, 1), TRIANGLE);
});

test("what lies in a bay is not inside", () => {
  const bay = [[0, 0], [100, 0], [100, 100], [50, 20], [0, 100]];
  assert.deepEqual([isInside(bay, 50, 10), isInside(bay, 50, 60), isInside(bay, 90, 60)], [true, false, true]);
});

test("sides that cross are told, sides that meet at a corner are not", () => {
  assert.equal(crosses(FRAME), false);
  assert.equal(crosses([[10, 10], [90, 90], [90, 10], [10, 90]]), true);
});

test("the nearest point counts pixels, each way its own", () => {
  assert.equal(nearest(TRIANGLE, [48, 12], [10, 1], 22), 1);
  assert.equal(nearest(TRIANGLE, [47, 10], [10, 1], 22), -1);
});
