// Photos that another program of the phone handed to the site: its worker holds them (see
// pocket/worker.js) until a trip has taken them. Only a site with https has such a worker.

const SHARED = "shared-photos";
const keys = new Map();

export async function sharedPhotos() {
  if (!window.caches || !(await caches.has(SHARED))) return [];
  const held = await caches.open(SHARED);
  const photos = [];
  for (const key of await held.keys()) {
    const photo = new File([await (await held.match(key)).blob()], `shared photo ${photos.length + 1}`);
    keys.set(photo, key);
    photos.push(photo);
  }
  return photos;
}

/** Forget a photo that arrived, or that the site will never take. */
export async function letGo(photo) {
  await (await caches.open(SHARED)).delete(keys.get(photo));
}

const place = document.querySelector("[data-shared-photos]");
if (place) {
  const photos = await sharedPhotos();
  if (photos.length) {
    place.textContent = `${photos.length} shared ${photos.length === 1 ? "photo waits" : "photos wait"} on this phone: open the trip that takes ${photos.length === 1 ? "it" : "them"}, or start one.`;
    place.hidden = false;
  }
}
