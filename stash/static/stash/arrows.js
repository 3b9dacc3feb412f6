// What an arrow key means: so far to the right, so far down; nothing for any other key.

export function arrowStep(key, across, down = across) {
  return { ArrowLeft: [-across, 0], ArrowRight: [across, 0], ArrowUp: [0, -down], ArrowDown: [0, down] }[key];
}
