// The frame around the cloth and the points of a card, in percent of the photo.

export const LEAST = 1;
const WANTED = { grey_point: 1, paper_point: 1, chart_corners: 4, paper_corners: 4 };

export function clamp(number, low, high) {
  return Math.min(high, Math.max(low, number));
}

// How many points a kind of mark takes.
export function pointsWanted(kind) {
  return WANTED[kind] || 0;
}

// A corner never passes the one across from it.
export function cornerMoved(now, [across, down], x, y) {
  return {
    [across]: across === "left" ? Math.min(x, now.right - LEAST) : Math.max(x, now.left + LEAST),
    [down]: down === "top" ? Math.min(y, now.bottom - LEAST) : Math.max(y, now.top + LEAST),
  };
}

// The frame keeps its size at the edge of the photo.
export function frameMoved(from, dx, dy) {
  const x = clamp(dx, -from.left, 100 - from.right);
  const y = clamp(dy, -from.top, 100 - from.bottom);
  return { left: from.left + x, right: from.right + x, top: from.top + y, bottom: from.bottom + y };
}

// Nothing before the finger has drawn a frame worth the name.
export function frameBetween([x0, y0], x, y) {
  if (Math.abs(x - x0) <= LEAST || Math.abs(y - y0) <= LEAST) return null;
  return { left: Math.min(x, x0), right: Math.max(x, x0), top: Math.min(y, y0), bottom: Math.max(y, y0) };
}

export function isInside(now, x, y) {
  return x > now.left && x < now.right && y > now.top && y < now.bottom;
}

export function readPoints(text) {
  return text.split(/\s+/).map((pair) => pair.split(",").map(Number)).filter((pair) => pair.length === 2 && pair.every(Number.isFinite));
}

export function writePoints(points) {
  return points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
}

// One more point; where all are there, it begins anew.
export function withPoint(before, wanted, point) {
  return [...(before.length < wanted ? before : []), point];
}

export function tapHelp(kind, missing) {
  const over = "All four corners are marked; tapping again starts over.";
  if (kind === "chart_corners") return missing > 0 ? `Tap the corners of the chart clockwise, first the one beside the brown patch: ${missing} to go.` : over;
  if (kind === "paper_corners") return missing > 0 ? `Tap the corners of the sheet, one after the other around it: ${missing} to go.` : over;
  if (pointsWanted(kind)) return missing > 0 ? "Now tap it in the picture." : "It is marked; tapping again moves the mark.";
  return "Choose one, then tap it in the picture.";
}
