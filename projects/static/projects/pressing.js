// What was pressed at the table: where one stands, and what is still to be sent. Nothing here
// touches the page. `table` is what the site told (screens, strips that are cut), `kept` what the
// device keeps: the number of the screen shown, and the presses that are not answered yet.

/** What is kept for a sheet: as it was left, or as the site shows it. Presses are never dropped. */
export function taken(kept, table) {
  const queue = Array.isArray(kept?.queue) ? kept.queue : [];
  const isSame = kept?.sheet === table.sheet && !table.asked;
  const fresh = { sheet: table.sheet, at: isSame ? kept.at : table.at, queue };
  const here = screenAt(table, fresh.at);
  if (!here) return { ...fresh, at: table.at };
  return isSame && isPassed(table, fresh, here) ? { ...fresh, at: following(table, fresh, here.number) } : fresh;
}

export function screenAt(table, number) {
  return table.screens.find((screen) => screen.number === number);
}

/** The strips that are cut, as far as the site told and as it will once all presses are sent. */
export function cutBy(table, kept) {
  const cut = new Set(table.done);
  for (const press of kept.queue) {
    if (press.sheet !== table.sheet) continue;
    if (press.deed === "cut") cut.add(press.strip);
    if (press.deed === "back") cut.delete(press.strip);
  }
  return cut;
}

function isPassed(table, kept, screen) {
  const at = table.screens.indexOf(screen);
  const strip = table.screens.slice(at).find((other) => other.strip)?.strip;
  return cutBy(table, kept).has(strip);
}

/** The number of the next screen with something to do; nothing (0) once all is cut. */
export function following(table, kept, number) {
  const open = table.screens.filter((screen) => !isPassed(table, kept, screen));
  return (open.find((screen) => screen.number > number) ?? open.find((screen) => screen.strip))?.number ?? 0;
}

/** The main button: the strip is cut, or what was made ready is done. */
export function pressed(table, kept, key) {
  const screen = screenAt(table, kept.at);
  if (!screen) return kept;
  let after = kept;
  if (screen.strip && !cutBy(table, kept).has(screen.strip)) {
    after = { ...kept, queue: [...kept.queue, { sheet: table.sheet, deed: "cut", strip: screen.strip, key }] };
  }
  return { ...after, at: following(table, after, screen.number) };
}

/** One step back. What was not sent yet is dropped, but for what is on its way (`isSending`). */
export function undone(table, kept, key, isSending) {
  const number = (kept.at || table.screens.length + 1) - 1;
  const screen = screenAt(table, number);
  if (!screen) return kept;
  if (!screen.strip || !cutBy(table, kept).has(screen.strip)) return { ...kept, at: number };
  const last = kept.queue.at(-1);
  const isOnItsWay = isSending && kept.queue.length === 1;
  if (last?.deed === "cut" && last.strip === screen.strip && last.sheet === table.sheet && !isOnItsWay) {
    return { ...kept, at: number, queue: kept.queue.slice(0, -1) };
  }
  return { ...kept, at: number, queue: [...kept.queue, { sheet: table.sheet, deed: "back", strip: screen.strip, key }] };
}

/** Something was mis-cut; `fields` are those of the form. */
export function misCut(table, kept, key, fields) {
  const { strip } = screenAt(table, kept.at);
  return { ...kept, queue: [...kept.queue, { sheet: table.sheet, deed: "mis-cut", strip, key, fields }] };
}

export const isWaitingForPlan = (kept) => kept.queue.some((press) => press.deed === "mis-cut");

/** What an answer to the first press that waits means: `later`, `sign in`, or what is kept now. */
export function answered(table, kept, status, answer) {
  if (status === 0 || status === 429 || status >= 500) return { again: "later" };
  if (status === 401 || status === 403 || (status < 300 && !answer)) return { again: "sign in" };
  const [press, ...queue] = kept.queue;
  const isHere = press.sheet === table.sheet;
  // A conflict that tells no strips: it acted when it was sent before, and that answer was lost.
  const hasActed = status < 300 || (status === 409 && answer && !answer.done);
  const asPressed = hasActed ? [...cutBy(table, { queue: [press] })] : table.done;
  const done = isHere && answer?.done ? answer.done : asPressed;
  if (hasActed) return { kept: { ...kept, queue }, done, goes: press.deed === "mis-cut" };
  const why = answer?.error || "This could not be booked; look at the cut sheet.";
  const screen = isHere ? table.screens.find((other) => other.strip === press.strip) : null;
  return { kept: { ...kept, queue, at: screen?.number ?? kept.at }, done, why };
}

/** How many presses wait, in words. */
export function waiting(kept) {
  const count = kept.queue.length;
  if (!count) return "";
  return `${count} ${count === 1 ? "press" : "presses"} kept here, to be sent.`;
}
