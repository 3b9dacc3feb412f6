// Points in a photo. Expected numbers: own derivation.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { clamp, pointsWanted, readPoints, tapHelp, withPoint, writePoints } = await load("stash/static/stash/points.js");

test("a number is held between two", () => {
  assert.deepEqual([clamp(-1, 0, 100), clamp(50, 0, 100), clamp(101, 0, 100)], [0, 50, 100]);
});

test("points are read as they are written, and what is none is left out", () => {
  const points = [[1.25, 2], [99.94, 0]];
  assert.equal(writePoints(points), "1.3,2.0 99.9,0.0");
  assert.deepEqual(readPoints(" 1.3,2.0  99.9,0.0\n"), [[1.3, 2], [99.9, 0]]);
  assert.deepEqual(readPoints("1,2 nothing 3 4,5,6 7,x"), [[1, 2]]);
});

test("a point beyond the last begins anew", () => {
  assert.deepEqual(withPoint([[1, 1]], 4, [2, 2]), [[1, 1], [2, 2]]);
  assert.deepEqual(withPoint([[1, 1]], 1, [2, 2]), [[2, 2]]);
});

test("a card takes one point, a chart or a sheet four, a bare photo none", () => {
  assert.deepEqual(["grey_point", "paper_point", "chart_corners", "paper_corners", "none", ""].map(pointsWanted), [1, 1, 4, 4, 0, 0]);
});

test("the help counts what is to go and says when all is marked", () => {
  assert.match(tapHelp("chart_corners", 3), /brown patch: 3 to go\.$/);
  assert.match(tapHelp("paper_corners", 0), /^All four corners are marked/);
  assert.match(tapHelp("grey_point", 1), /^Now tap it/);
  assert.match(tapHelp("grey_point", 0), /^It is marked/);
  assert.match(tapHelp("none", 0), /^Choose one/);
});
