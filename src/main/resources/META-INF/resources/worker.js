// Lets a phone open its looks without a signal. It answers nothing itself: what fails for want of a network gets the page that was kept.
const KEPT = 'lampkeeper-phone';
const SHELL = '/phone/offline';
const PAGES = /^\/(c|at)\/[^/]+$|^\/phone$/;
// Ours: whoever stands in the rain looks at an empty page no longer. Opening records nothing, so it may be asked twice.
const PATIENCE = 8000;

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  const address = new URL(event.request.url);
  if (address.origin !== self.location.origin) {
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
  if (request.method !== 'GET') {
    return answer.catch(() => kept(SHELL));
  }
  const late = new Promise((resolve, reject) => setTimeout(() => reject(new Error('no answer')), PATIENCE));
  return Promise.race([answer, late]).catch(async () => (await caches.match(SHELL)) || answer);
}

async function kept(address) {
  return (await caches.match(address)) || Response.error();
}
