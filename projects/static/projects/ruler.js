// Widths in marks of a ruler: what a drag makes of them, and how they are written.

// Which side of the quilt a press lies nearest to, so that outward is wider there.
export function outward({ x, y }, { width, height }) {
  const ways = [
    [x / width, { x: -1, y: 0 }],
    [1 - x / width, { x: 1, y: 0 }],
    [y / height, { x: 0, y: -1 }],
    [1 - y / height, { x: 0, y: 1 }],
  ];
  return ways.reduce((best, way) => (way[0] < best[0] ? way : best))[1];
}

// The width in whole marks after a move in steps of the drawing; never less than one mark.
export function widened(marks, moved, way, mark) {
  const out = moved.x * way.x + moved.y * way.y;
  return Math.max(1, Math.round(marks + out / mark));
}

// By how many marks a key changes a width: one, or a whole inch or centimetre with Shift.
export function keyMarks(key, isWhole, size) {
  const ways = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 };
  if (!(key in ways)) return 0;
  return ways[key] * (isWhole ? Math.max(1, Math.round(1 / size)) : 1);
}

// As a field takes it: a plain decimal with its unit.
export function written(marks, size, unit) {
  return `${Number((marks * size).toFixed(6))} ${unit}`;
}

// As a person reads it: inches with a fraction, centimetres with a decimal.
export function told(marks, size, unit) {
  const width = marks * size;
  if (unit !== "in") return `${Number(width.toFixed(2))} ${unit}`;
  const whole = Math.floor(width + 1e-9);
  let parts = Math.round((width - whole) * 64), of = 64;
  while (parts && parts % 2 === 0) { parts /= 2; of /= 2; }
  if (!parts) return `${whole} in`;
  return `${whole ? `${whole} ` : ""}${parts}/${of} in`;
}
