// The outline around the cloth: corners [across, down] in order around it, in percent of the photo.

import { clamp } from "./points.js";

export const FEWEST = 3;
export const MOST = 24;
const LEAST = 1;

// The four corners of an upright frame, from its top left one clockwise.
export function ofEdges({ left, top, right, bottom }) {
  return [[left, top], [right, top], [right, bottom], [left, bottom]];
}

// The edges of an outline that is an upright frame; nothing for any other.
export function edgesOf(outline) {
  const across = outline.map(([x]) => x), down = outline.map(([, y]) => y);
  const edges = { left: Math.min(...across), top: Math.min(...down), right: Math.max(...across), bottom: Math.max(...down) };
  const missing = ofEdges(edges).filter(([x, y]) => !outline.some((corner) => corner[0] === x && corner[1] === y));
  return outline.length === 4 && missing.length === 0 ? edges : null;
}

export function cornerMoved(outline, number, x, y) {
  return outline.map((corner, at) => (at === number ? [clamp(x, 0, 100), clamp(y, 0, 100)] : corner));
}

// The outline keeps its shape where it meets the edge of the photo.
export function outlineMoved(outline, dx, dy) {
  const across = outline.map(([x]) => x), down = outline.map(([, y]) => y);
  const right = clamp(dx, -Math.min(...across), 100 - Math.max(...across));
  const below = clamp(dy, -Math.min(...down), 100 - Math.max(...down));
  return outline.map(([x, y]) => [x + right, y + below]);
}

// Nothing before the finger has drawn a frame worth the name.
export function frameBetween([x0, y0], x, y) {
  if (Math.abs(x - x0) <= LEAST || Math.abs(y - y0) <= LEAST) return null;
  return ofEdges({ left: Math.min(x, x0), right: Math.max(x, x0), top: Math.min(y, y0), bottom: Math.max(y, y0) });
}

// The middle of each side; the first is that of the side from the first corner to the second.
export function middles(outline) {
  return outline.map(([x, y], number) => {
    const [toX, toY] = outline[(number + 1) % outline.length];
    return [(x + toX) / 2, (y + toY) / 2];
  });
}

// A new corner in the middle of a side, or the same where there are enough.
export function cornerAdded(outline, side) {
  return outline.length < MOST ? [...outline.slice(0, side + 1), middles(outline)[side], ...outline.slice(side + 1)] : outline;
}

export function cornerRemoved(outline, number) {
  return outline.length > FEWEST ? outline.filter((_, at) => at !== number) : outline;
}

// By the rule of even and odd crossings.
export function isInside(outline, x, y) {
  let inside = false;
  outline.forEach(([x0, y0], number) => {
    const [x1, y1] = outline[(number + 1) % outline.length];
    if ((y0 > y) !== (y1 > y) && x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)) inside = !inside;
  });
  return inside;
}

function turn([ax, ay], [bx, by], [cx, cy]) {
  return Math.sign((bx - ax) * (cy - ay) - (by - ay) * (cx - ax));
}

// Whether two sides cross.
export function crosses(outline) {
  const sides = outline.map((corner, number) => [corner, outline[(number + 1) % outline.length]]);
  return sides.some(([a, b], number) => sides.slice(number + 1).some(([c, d]) =>
    turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0));
}

// Which of the points lies nearest, within this reach in pixels; -1 for none.
export function nearest(points, [x, y], [perAcross, perDown], reach) {
  let best = -1, least = reach;
  points.forEach(([px, py], number) => {
    const away = Math.hypot((px - x) * perAcross, (py - y) * perDown);
    if (away <= least) { best = number; least = away; }
  });
  return best;
}
