// Points in a photo, in percent of it: as they are written, and those of a card.

const WANTED = { grey_point: 1, paper_point: 1, chart_corners: 4, paper_corners: 4 };

export function clamp(number, low, high) {
  return Math.min(high, Math.max(low, number));
}

// How many points a kind of mark takes.
export function pointsWanted(kind) {
  return WANTED[kind] || 0;
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
