// Works between this phone and the site, where the site has https: without a signal it shows the
// stash as it was kept last, and it holds photos that another program of the phone hands over until
// a shop trip takes them.

const POCKET = "pocket";
const SHARED = "shared-photos";
const PAGE = "/pocket/my-stash.html";

self.addEventListener("install", (event) => event.waitUntil(keep().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  if (event.data === "keep") event.waitUntil(keep());
});

self.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.method === "POST" && pathname === "/add/shared/") {
    event.respondWith(takeShared(event.request));
  } else if (event.request.mode === "navigate" && event.request.method === "GET") {
    event.respondWith(fetch(event.request).catch(() => kept()));
  }
});

async function keep() {
  const answer = await fetch(PAGE, { credentials: "same-origin" });
  if (!answer.ok || answer.redirected) return;
  // The page brings its own rules of what may run in it; those of the site forbid what it carries.
  const page = new Response(await answer.blob(), { headers: { "Content-Type": "text/html; charset=utf-8" } });
  await (await caches.open(POCKET)).put(PAGE, page);
}

async function kept() {
  const found = await (await caches.open(POCKET)).match(PAGE);
  return found ?? Response.error();
}

async function takeShared(request) {
  const photos = (await request.formData()).getAll("photos").filter((photo) => photo instanceof File);
  const shared = await caches.open(SHARED);
  for (const photo of photos) {
    await shared.put(`/shared/${self.crypto.randomUUID()}`, new Response(photo, { headers: { "Content-Type": photo.type } }));
  }
  return Response.redirect("/add/", 303);
}
