// Lets a phone open its looks without a signal, and shows messages. It sends nothing itself: a page that the network does not give becomes the page that was
// kept, and a message that comes in is an occasion to fetch looks ahead.
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

self.addEventListener('push', (event) => {
  let message = {};
  try {
    message = event.data.json();
  } catch (unreadable) {
    // A browser that shows nothing for a message may be sent none any more.
    message = { title: 'Lampkeeper', text: 'A message came that this phone cannot read. Open Lampkeeper.', link: '/phone', key: 'unreadable' };
  }
  event.waitUntil(Promise.all([
    self.registration.showNotification(message.title, {
      body: message.text,
      // A repeat of the same takes the place of the first.
      tag: message.key,
      data: { link: message.link },
      requireInteraction: Boolean(message.stays),
      icon: '/static/lamp.svg',
    }),
    fetchAhead(),
  ]));
});

self.addEventListener('notificationclick', (event) => {
  event.notification.close();
  const link = new URL(event.notification.data.link, self.location.origin);
  // Only to what is ours, whoever wrote the message.
  const to = link.origin === self.location.origin ? link.href : new URL('/phone', self.location.origin).href;
  event.waitUntil(self.clients.matchAll({ type: 'window' }).then((open) => {
    const there = open.find((client) => client.url === to);
    return there ? there.focus() : self.clients.openWindow(to);
  }));
});

// W3C Push API, section 10.5: the push service has ended the subscription, or made it anew. Where that fails, or a browser does not say so, the page of the
// phone finds out.
self.addEventListener('pushsubscriptionchange', (event) => event.waitUntil(subscribedAnew(event)));

async function subscribedAnew(event) {
  try {
    const fresh = event.newSubscription || (await self.registration.pushManager.subscribe(event.oldSubscription.options));
    const { endpoint, keys } = fresh.toJSON();
    await fetch('/phone/push', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
      body: JSON.stringify({ endpoint, keys: { p256dh: keys.p256dh, auth: keys.auth } }),
    });
  } catch (noNetworkOrNotAllowed) {
    // The next page tries.
  }
}

// As the page does, with the same store; what is kept on the phone stays when this fails.
async function fetchAhead() {
  try {
    const answer = await fetch('/phone/ahead', { headers: { Accept: 'application/json' } });
    if (!answer.ok) {
      return;
    }
    const { person, looks } = await answer.json();
    const open = await new Promise((resolve, reject) => {
      const opening = indexedDB.open(KEPT, 1);
      // The page has made it; a worker without one has nothing to keep.
      opening.onupgradeneeded = () => opening.transaction.abort();
      opening.onsuccess = () => resolve(opening.result);
      opening.onerror = () => reject(opening.error);
    });
    const store = open.transaction('looks', 'readwrite').objectStore('looks');
    store.clear();
    looks.forEach((look) => store.put({ ...look, person }));
    store.transaction.oncomplete = () => open.close();
  } catch (noNetwork) {
    // The next page fetches them.
  }
}
