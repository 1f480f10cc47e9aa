// Lets a phone open its looks without a signal. It stores and sends nothing itself: a page that the network does not give becomes the page that was kept.
const KEPT = 'lampkeeper-phone';
const SHELL = '/phone/offline';
const PAGES = /^\/(c|at)\/[^/]+$|^\/phone$/;
// Ours: whoever stands in the rain looks at an empty page no longer. Opening records nothing, so it may be asked twice.
const PATIENCE_MS = 8000;
// RFC 9110, sections 15.6.3 to 15.6.5: a proxy answers in place of Lampkeeper, which it cannot reach.
const NOT_REACHED = [502, 503, 504];

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  const address = new URL(event.request.url);
  // What a form sends is left to the browser: it can be sent again, and the page for no signal would lose it.
  if (address.origin !== self.location.origin || event.request.method !== 'GET') {
    return;
  }
  if (event.request.mode === 'navigate' && PAGES.test(address.pathname)) {
    event.respondWith(page(event.request));
  } else if (address.pathname.startsWith('/static/')) {
    event.respondWith(fetch(event.request).catch(() => kept(event.request.url)));
  }
});

async function page(request) {
  const answer = fetch(request);
  const late = new Promise((resolve, reject) => setTimeout(() => reject(new Error('no answer')), PATIENCE_MS));
  try {
    const first = await Promise.race([answer, late]);
    return NOT_REACHED.includes(first.status) ? (await caches.match(SHELL)) || first : first;
  } catch (noNetwork) {
    return (await caches.match(SHELL)) || answer;
  }
}

async function kept(address) {
  return (await caches.match(address)) || Response.error();
}
