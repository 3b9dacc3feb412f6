// What becomes of a photo that was sent, and what is told of all of them.

const PAUSES = [1500, 5000, 12000];

// How long to wait before the next try, in milliseconds; nothing after the last.
export function pauseAfter(tries) {
  return PAUSES[tries - 1];
}

export function tooLarge(bytes, most) {
  return bytes > most ? `The file has ${Math.round(bytes / 1048576)} MB; photos may have 25 MB at most.` : "";
}

export function told({ open, arrived, known, stuck }) {
  const parts = [];
  if (open) parts.push(`${open} still to send`);
  if (arrived) parts.push(`${arrived} arrived`);
  if (known) parts.push(`${known} had been sent before`);
  if (stuck) parts.push(`${stuck} not taken, see below`);
  return parts.length ? `${parts.join(", ")}.` : "";
}

// Taken; or why not, and whether it is sent again by itself ("later") or by a press ("press").
export function outcome(status, answer) {
  if (status < 300 && answer) return { isTaken: true };
  if (status === 503) return { again: "later", why: sentence(answer, "The site is busy.") };
  if (status === 401) return { again: "press", why: "You have been signed out; sign in and send it again." };
  if (status === 413) return { again: "", why: sentence(answer, "The file is too large; photos may have 25 MB at most.") };
  if (answer?.refused?.length) return { again: status >= 500 ? "press" : "", why: answer.refused[0].why };
  return { again: "press", why: sentence(answer, "The site could not take it just now.") };
}

function sentence(answer, otherwise) {
  if (answer?.refused?.length) return answer.refused[0].why;
  return answer?.error ? answer.error : otherwise;
}
