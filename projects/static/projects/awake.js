// The screen stays on while this page is open, where the browser allows it (over https only).

const told = document.querySelector("[data-awake]");

async function stayAwake() {
  if (document.visibilityState !== "visible" || !navigator.wakeLock) return;
  try {
    await navigator.wakeLock.request("screen");
    if (told) told.hidden = false;
  } catch {
    // A low battery may refuse; the screen then goes dark as usual.
  }
}

document.addEventListener("visibilitychange", stayAwake);
stayAwake();
