// An enrolled phone: fetches its looks ahead, keeps what is said without a signal, and sends it once there is one.
const DATABASE = 'lampkeeper-phone';
const KEPT = 'lampkeeper-phone';
const SHELL = '/phone/offline';
const ENROLLED = 'lampkeeper-enrolled';

const said = document.querySelector('[data-said]');
let shown;

function database() {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open(DATABASE, 1);
    opening.onupgradeneeded = () => {
      opening.result.createObjectStore('looks', { keyPath: 'id' });
      opening.result.createObjectStore('answers', { keyPath: 'id' });
    };
    opening.onsuccess = () => resolve(opening.result);
    opening.onerror = () => reject(opening.error);
  });
}

/** Resolves when it is written, not before: only then may the page say that it is kept. */
async function inStore(name, mode, work) {
  const open = await database();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = open.transaction(name, mode);
      const asked = work(transaction.objectStore(name));
      transaction.oncomplete = () => resolve(asked && asked.result);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    open.close();
  }
}

const all = (name) => inStore(name, 'readonly', (store) => store.getAll());

function say(words) {
  if (said) {
    said.textContent = words;
    said.hidden = false;
  }
}

function clock(time) {
  return new Date(time).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}

async function fetchAhead() {
  const answer = await fetch('/phone/ahead', { headers: { Accept: 'application/json' } });
  if (!answer.ok) {
    return;
  }
  const { looks } = await answer.json();
  await inStore('looks', 'readwrite', (store) => {
    store.clear();
    looks.forEach((look) => store.put(look));
  });
}

/** The page for no signal, and all that it is made of as it is now: after an upgrade it is another. */
async function keepShell() {
  const answer = await fetch(SHELL);
  const page = new DOMParser().parseFromString(await answer.clone().text(), 'text/html');
  const parts = [...page.querySelectorAll('link[href], script[src]')].map((part) => part.getAttribute('href') || part.getAttribute('src'));
  const cache = await caches.open(KEPT);
  await cache.addAll(parts);
  await cache.put(SHELL, answer);
}

const WHY = {
  RECORDED: (it) => `Sent, and recorded: ${it.words}, looked at ${clock(it.lookedAt)}.`,
  REPEATED: (it) => `Sent, and recorded: ${it.words}, looked at ${clock(it.lookedAt)}.`,
  NOT_ASKED: (it) => `Sent, but not recorded: this look is not one of yours (${it.words}, looked at ${clock(it.lookedAt)}). Call whoever is on duty.`,
  OVER: (it) => `Sent, but not recorded: the time for this look is over (${it.words}, looked at ${clock(it.lookedAt)}). Call whoever is on duty.`,
  NO_ANSWER: (it) => `Sent, but not recorded: that is no answer to this look (${it.words}).`,
};

/** One page at a time; whatever is sent twice all the same counts once, by its id. */
function send() {
  return navigator.locks.request('lampkeeper-answers', async () => {
    const waiting = (await all('answers')).sort((a, b) => a.place - b.place).slice(0, 50);
    if (waiting.length === 0) {
      return;
    }
    let answer;
    try {
      answer = await fetch('/phone/answers', {
        method: 'POST',
        headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
        body: JSON.stringify({
          sentAt: new Date().toISOString(),
          answers: waiting.map(({ id, look, answer: what, note, lookedAt }) => ({ id, look, answer: what, note, lookedAt })),
        }),
      });
    } catch (noNetwork) {
      // It stays where it is; the next signal, or the next page, sends it.
      return;
    }
    if (!answer.ok) {
      const problem = await answer.json().catch(() => ({}));
      say(`Kept on this phone, not yet sent. ${problem.detail || 'Lampkeeper could not take it now.'}`);
      return;
    }
    const { answers } = await answer.json();
    await inStore('answers', 'readwrite', (store) => answers.forEach((each) => store.delete(each.id)));
    const taken = answers.map((each) => ({ ...waiting.find((it) => it.id === each.id), taken: each.taken }));
    say(taken.map((it) => WHY[it.taken](it)).join(' '));
  });
}

/** The look that a link is about stands in its token, readable; that it is genuine is for the server to see. */
function lookOfLink(token) {
  try {
    const bytes = Uint8Array.from(atob(token.replace(/-/g, '+').replace(/_/g, '/')), (it) => it.charCodeAt(0));
    return Number(new DataView(bytes.buffer).getBigInt64(3));
  } catch (notALink) {
    return 0;
  }
}

async function showKept() {
  const looks = await all('looks');
  const token = location.pathname.startsWith('/c/') ? location.pathname.slice(3) : '';
  const own = token ? looks.filter((look) => look.id === lookOfLink(token)) : looks;
  const place = document.querySelector('[data-looks]');
  const headline = document.querySelector('h1');
  if (own.length === 0) {
    headline.textContent = token ? 'There is no signal, and this phone does not know this look.' : 'There is no signal, and no look is kept on this phone.';
    return;
  }
  if (own.length === 1) {
    show(own[0]);
    return;
  }
  headline.textContent = 'There is no signal. Which lamp do you see?';
  place.replaceChildren(...own.map((look) => {
    const button = document.createElement('button');
    button.className = 'second';
    button.textContent = look.question;
    button.addEventListener('click', () => show(look));
    return button;
  }));
}

function show(look) {
  shown = look;
  document.querySelector('h1').textContent = look.question;
  const lines = look.what.map((text) => {
    const line = document.createElement('p');
    line.className = 'remark';
    line.textContent = text;
    return line;
  });
  const buttons = look.answers.map(({ value, label }) => {
    const button = document.createElement('button');
    button.className = 'big';
    button.textContent = label;
    button.addEventListener('click', () => keep(value, label));
    return button;
  });
  document.querySelector('[data-looks]').replaceChildren(...lines, ...buttons);
  document.querySelector('[data-note]').hidden = false;
}

async function keep(answer, label) {
  const lookedAt = new Date();
  const words = label.toLowerCase();
  const note = document.querySelector('#note').value.trim().slice(0, 500);
  const one = { id: crypto.randomUUID(), place: lookedAt.getTime(), look: shown.id, answer, note, lookedAt: lookedAt.toISOString(), words };
  try {
    await inStore('answers', 'readwrite', (store) => store.put(one));
  } catch (full) {
    say('This phone could not keep it. Nothing is recorded: call whoever is on duty.');
    return;
  }
  const urgent = answer === 'OUT' || answer === 'DAMAGED' ? ' Nobody is told before it is sent: call whoever is on duty.' : '';
  say(`Kept on this phone at ${clock(lookedAt)}, not yet sent: ${words}.${urgent} If that was tapped wrong, tap what is right; both are kept.`);
  await send();
}

if (document.querySelector('[data-phone]')) {
  localStorage.setItem(ENROLLED, 'yes');
  if (navigator.serviceWorker) {
    await navigator.serviceWorker.register('/worker.js');
    await keepShell();
    await fetchAhead();
    await navigator.serviceWorker.ready;
    document.documentElement.dataset.ready = 'yes';
    const hint = document.querySelector('[data-without-signal]');
    hint.hidden = false;
  }
}
if (document.querySelector('[data-looks]')) {
  await showKept();
}
if (localStorage.getItem(ENROLLED)) {
  addEventListener('online', send);
  await send();
}
