// Keeps a copy of the page on the device, so that it opens when the helper cannot be reached, and
// says so. What the helper tells is never kept here: an answer must come from the helper.

const FILES = KEPT_FILES;
const KEPT = "helper-page";
const page = new URL("./", location).pathname;
const isPage = (path) => path === page || FILES.some((name) => path === page + name);

self.addEventListener("install", (event) => {
  const fresh = FILES.map((name) => new Request(name, { cache: "reload" }));
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll([...fresh, "./"]))
    .then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  const ours = event.request.method === "GET" && origin === location.origin && isPage(pathname);
  if (ours) event.respondWith(newest(event.request));
});

/** From the helper while it answers; the copy is for when it does not. */
async function newest(request) {
  const kept = await caches.open(KEPT);
  try {
    const reply = await fetch(request);
    if (reply.ok && !reply.redirected) await kept.put(request, reply.clone());
    return reply;
  } catch {
    return (await kept.match(request, { ignoreSearch: true })) ?? Response.error();
  }
}
