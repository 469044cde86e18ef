// Keeps every file of one version of the pages together, and gives out nothing else: once it is here, no request leaves but the
// browser's own look for a newer one of these lines.

const VERSION = 'VERSION_OF_THESE_FILES';
const FILES = ["LIST_OF_THESE_FILES"];
const POLICY = "POLICY_OF_THESE_FILES";
const NAME = 'solderlast-';
const SCOPE = self.registration.scope;
const KEPT = `${NAME}${SCOPE} ${VERSION}`;

// All of them or none: a version that did not come whole is not one.
self.addEventListener('install', (event) => {
  const fetched = async () => {
    const kept = await caches.open(KEPT);
    const named = (file) => new Request(new URL(file, SCOPE), { cache: file.startsWith('assets/') ? 'default' : 'no-cache' });
    await kept.addAll(FILES.map(named));
  };
  event.waitUntil(fetched());
});

self.addEventListener('activate', (event) => {
  const taken = async () => {
    for (const name of await caches.keys()) if (name.startsWith(`${NAME}${SCOPE} `) && name !== KEPT) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(taken());
});

// A person said so.
self.addEventListener('message', (event) => {
  if (event.data === 'go on') event.waitUntil(self.skipWaiting());
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const given = async () => {
    const address = new URL(request.url);
    const at = request.mode === 'navigate' ? new URL('index.html', SCOPE) : address;
    const kept = request.method === 'GET' && address.href.startsWith(SCOPE) ? await (await caches.open(KEPT)).match(at, { ignoreSearch: true }) : undefined;
    if (kept === undefined) return Response.error();
    const headers = new Headers(kept.headers);
    headers.set('content-security-policy', POLICY);
    headers.set('x-content-type-options', 'nosniff');
    headers.set('referrer-policy', 'no-referrer');
    return new Response(kept.body, { status: kept.status, headers });
  };
  event.respondWith(given());
});
