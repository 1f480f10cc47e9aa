// An enrolled phone: fetches its looks ahead, keeps what is said without a signal, and sends it once there is one.
// What is said is written down here first, by an id of its own, and sent then: a reply that gets lost makes nothing count twice.

const DATABASE = 'lampkeeper-phone';
const KEPT = 'lampkeeper-phone';
const SHELL = '/phone/offline';
/** Holds whose phone it is. */
const ENROLLED = 'lampkeeper-enrolled';
/** What became of an answer, for the page of its look that is opened anew for it. */
const SAID = 'lampkeeper-said';
/** Ours: what waits is tried again this often while a page is open, for not every network that comes back says so. */
const AGAIN_AFTER_MS = 15_000;
/** Ours: longer than a poor connection takes for so little. */
const PATIENCE_MS = 20_000;
const PHOTO_PATIENCE_MS = 120_000;
/** As the server. */
const LONGEST_SIDE = 1600;
const MOST_BYTES = 5_000_000;
/** As many as surely go into what the server reads at once. */
const MOST_AT_ONCE = 8;
/** As the server: longer than a transfer takes. */
const CLOCK_IS_WRONG_AFTER_MS = 120_000;

const said = document.querySelector('[data-said]');
const news = 'BroadcastChannel' in window ? new BroadcastChannel(DATABASE) : null;
let shown;
let isRefused = false;

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
const answers = async () => (await all('answers')).sort((a, b) => a.place - b.place);

function say(words) {
  if (said) {
    said.textContent = words;
    said.hidden = false;
  }
}

function element(name, words, className = '') {
  const made = document.createElement(name);
  made.textContent = words;
  made.className = className;
  return made;
}

const pad = (number) => String(number).padStart(2, '0');

/** As the server writes it; with the day where it is not today's. */
function clock(time) {
  const at = new Date(time);
  const hour = `${pad(at.getHours())}:${pad(at.getMinutes())}`;
  return at.toDateString() === new Date().toDateString() ? hour : `${at.toLocaleDateString('en-GB', { day: 'numeric', month: 'short' })} ${hour}`;
}

const within = (milliseconds) => (AbortSignal.timeout ? AbortSignal.timeout(milliseconds) : undefined);

/** False where the server could not be asked. A phone that is not enrolled any more keeps no looks. */
async function fetchAhead() {
  let answer;
  try {
    answer = await fetch('/phone/ahead', { headers: { Accept: 'application/json' }, signal: within(PATIENCE_MS) });
  } catch (noNetwork) {
    return false;
  }
  if (answer.status === 401) {
    await inStore('looks', 'readwrite', (store) => store.clear());
  }
  if (!answer.ok) {
    return false;
  }
  const { person, now, looks } = await answer.json();
  localStorage.setItem(ENROLLED, String(person));
  await inStore('looks', 'readwrite', (store) => {
    store.clear();
    looks.forEach((look) => store.put({ ...look, person }));
  });
  sayClock(Date.parse(now) - Date.now());
  return true;
}

function sayClock(behind) {
  const place = document.querySelector('[data-clock-wrong]');
  if (place && Math.abs(behind) > CLOCK_IS_WRONG_AFTER_MS) {
    const minutes = Math.floor(Math.abs(behind) / 60_000);
    const words = minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
    place.textContent = `The clock of this phone is ${words} ${behind > 0 ? 'behind' : 'ahead'}. Set it right: without a signal, the time of a look is what it says.`;
    place.hidden = false;
  }
}

/** The page for no signal, and all that it is made of as it is now: after an upgrade it is another. */
async function keepShell() {
  try {
    const answer = await fetch(SHELL, { signal: within(PATIENCE_MS) });
    if (!answer.ok) {
      return;
    }
    const page = new DOMParser().parseFromString(await answer.clone().text(), 'text/html');
    const parts = [...page.querySelectorAll('link[href], script[src]')].map((part) => part.getAttribute('href') || part.getAttribute('src'));
    const cache = await caches.open(KEPT);
    await cache.addAll(parts);
    await cache.put(SHELL, answer);
  } catch (noNetwork) {
    // The one that is there stays.
  }
}

/**
 * One page at a time; whatever is sent twice all the same counts once, by its id.
 * @param tapped the id of what was tapped just now, if that is why: the page of its look says what became of it by itself
 * @returns what became of each that was sent, by id
 */
function send(tapped) {
  const work = async () => {
    const told = new Map();
    for (let most = 0; most < 50; most += 1) {
      const waiting = (await answers()).filter((it) => it.state === 'waiting').slice(0, MOST_AT_ONCE);
      if (waiting.length === 0 || !(await sent(waiting, told))) {
        break;
      }
    }
    if (told.size > 0) {
      const words = [...told.values()].map((it) => it.words).join(' ');
      say(words);
      news?.postMessage(words);
    }
    await showAnswers();
    const hasPhotos = (await answers()).some((it) => it.state === 'photo');
    const isOnItsPage = [...told.values()].some((it) => it.isTaken && it.look === ofLink()?.look) && document.querySelector('form[data-say][method=post]');
    if (isOnItsPage) {
      if (!told.has(tapped)) {
        sessionStorage.setItem(SAID, [...told.values()].map((it) => it.words).join(' '));
      }
      // What is on it now comes first; it sends the photo.
      location.replace(location.pathname);
    } else if (hasPhotos) {
      await sendPhotos();
    }
    return told;
  };
  return navigator.locks ? navigator.locks.request('lampkeeper-answers', work) : work();
}

/** @returns whether the server took them, or said why not */
async function sent(waiting, told) {
  let answer;
  try {
    answer = await fetch('/phone/answers', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
      signal: within(PATIENCE_MS),
      body: JSON.stringify({
        sentAt: new Date().toISOString(),
        answers: waiting.map(({ id, person, look, answer: what, note, no, lookedAt }) => ({ id, person, look, answer: what, note, no, lookedAt })),
      }),
    });
  } catch (noNetwork) {
    // It stays where it is; the next signal, or the next page, sends it.
    return false;
  }
  isRefused = answer.status === 401;
  if (!answer.ok) {
    const problem = await answer.json().catch(() => ({}));
    say(`Kept on this phone, not yet sent. ${problem.detail || 'Lampkeeper could not take it now.'}`);
    return false;
  }
  let taken;
  try {
    taken = (await answer.json()).answers;
  } catch (lostReply) {
    return false;
  }
  await inStore('answers', 'readwrite', (store) => taken.forEach((each) => {
    const it = waiting.find((one) => one.id === each.id);
    if (each.isTaken && it.photo) {
      store.put({ ...it, state: 'photo' });
    } else if (each.isTaken) {
      store.delete(each.id);
    } else {
      store.put({ ...waiting.find((it) => it.id === each.id), state: 'refused', why: each.words });
    }
  }));
  taken.forEach((each) => told.set(each.id, { ...each, look: waiting.find((it) => it.id === each.id).look }));
  return true;
}

/** After the answers that they belong to, so that none waits for a photo; the server keeps one only once. */
async function sendPhotos() {
  for (const it of (await answers()).filter((one) => one.state === 'photo')) {
    let told;
    try {
      const answer = await fetch(`/phone/photos?answer=${it.id}`, {
        method: 'POST',
        headers: { 'Content-Type': it.photo.type, Accept: 'application/json' },
        signal: within(PHOTO_PATIENCE_MS),
        body: it.photo,
      });
      if (!answer.ok) {
        return;
      }
      told = await answer.json();
    } catch (noNetwork) {
      return;
    }
    await inStore('answers', 'readwrite', (store) => (told.isTaken ? store.delete(it.id) : store.put({ ...it, state: 'refused', why: told.words })));
    say(`${it.question} ${it.label}, at ${clock(it.lookedAt)}. ${told.words}`);
    await showAnswers();
  }
}

/** What of a photo is needed, so that it fits on the phone and through a poor connection; as it was where the browser cannot say. */
async function made(file) {
  if (!file || file.size === 0) {
    return null;
  }
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const small = await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', 0.82));
    return small || file;
  } catch (cannotBeDrawn) {
    return file;
  }
}

/** All that is kept here and not recorded, with what somebody can do about it. */
async function showAnswers() {
  const place = document.querySelector('[data-kept]');
  if (!place) {
    return;
  }
  const kept = await answers();
  place.hidden = kept.length === 0;
  place.querySelector('ul').replaceChildren(...kept.map((it) => {
    const line = element('li', `${it.question} ${it.label}, at ${clock(it.lookedAt)}. `);
    line.append(element('strong', it.state === 'refused' ? it.why : it.state === 'photo' ? 'Recorded; its photo is kept on this phone, not yet sent.'
      : `Kept on this phone, not yet sent${it.photo ? ', with its photo' : ''}.`));
    if (it.state === 'refused') {
      const away = element('button', 'I have read that: put it away', 'second small');
      away.type = 'button';
      away.addEventListener('click', async () => {
        await inStore('answers', 'readwrite', (store) => store.delete(it.id));
        await showAnswers();
      });
      line.append(' ', away);
    }
    return line;
  }));
}

/** The look and the person that a link is for stand in its token, readable; that it is genuine is for the server to see. */
function ofLink() {
  if (!location.pathname.startsWith('/c/')) {
    return null;
  }
  try {
    const token = location.pathname.slice(3).replace(/-/g, '+').replace(/_/g, '/');
    const read = new DataView(Uint8Array.from(atob(token), (it) => it.charCodeAt(0)).buffer);
    return { look: Number(read.getBigInt64(3)), person: Number(read.getBigInt64(11)) };
  } catch (notALink) {
    return { look: 0, person: 0 };
  }
}

/** The page for no signal: what the link is about, or what may be looked at. */
async function showKept() {
  const looks = (await all('looks')).sort((a, b) => Date.parse(a.opens) - Date.parse(b.opens));
  const link = ofLink();
  const headline = document.querySelector('h1');
  if (link) {
    const look = looks.find((it) => it.id === link.look && it.person === link.person);
    if (look) {
      show(look);
    } else if (looks.some((it) => it.person !== link.person)) {
      headline.textContent = 'There is no signal, and this look is not asked of whoever this phone belongs to.';
    } else {
      headline.textContent = 'There is no signal, and this phone does not know this look.';
    }
  } else if (looks.length === 0) {
    headline.textContent = 'There is no signal, and no look is kept on this phone.';
  } else if (looks.length === 1) {
    show(looks[0]);
  } else {
    headline.textContent = 'There is no signal. What do you look at?';
    document.querySelector('[data-looks]').replaceChildren(...looks.map((look) => {
      const later = Date.parse(look.opens) > Date.now() ? ` (from ${clock(look.opens)})` : '';
      const button = element('button', look.question + later, 'second');
      button.type = 'button';
      button.addEventListener('click', () => show(look));
      return button;
    }));
  }
}

function show(look) {
  shown = look;
  const headline = document.querySelector('h1');
  headline.textContent = look.question;
  document.title = `${look.question} – Lampkeeper`;
  document.querySelector('[data-looks]').replaceChildren(...look.what.map((text) => element('p', text, 'remark')));
  const form = document.querySelector('form[data-say]');
  const questions = form.querySelector('fieldset');
  questions.hidden = look.questions.length === 0;
  questions.querySelectorAll('.tick').forEach((it) => it.remove());
  look.questions.forEach((text, i) => {
    const tick = element('div', '', 'field tick');
    const box = document.createElement('input');
    Object.assign(box, { type: 'checkbox', name: 'no', value: String(i), id: `no-${i}` });
    const label = element('label', text);
    label.htmlFor = box.id;
    tick.append(box, label);
    questions.append(tick);
  });
  form.querySelector('[data-buttons]').replaceChildren(...look.answers.map(({ value, label }) => {
    const button = element('button', label, 'big');
    Object.assign(button, { type: 'submit', name: 'answer', value });
    return button;
  }));
  form.hidden = false;
}

/** What whoever saw it out needs before anything else; the page with a signal says where to look as well. */
function showCautions(out) {
  const place = document.querySelector('[data-out]');
  if (!place) {
    return;
  }
  const call = element('p', 'Everything behind a cover is for an electrician only. ');
  if (out.electrician) {
    const who = element(out.phone ? 'a' : 'span', out.electrician);
    if (out.phone) {
      who.href = out.phone;
    }
    call.append('Call: ', who, '.');
  }
  place.querySelector('ul').replaceChildren(...out.cautions.map((caution) => element('li', caution)));
  place.querySelector('[data-call]').replaceChildren(call);
  place.hidden = false;
}

/** Takes a form of a look before the browser sends it. */
async function sayIt(form, button, look) {
  const ticked = [...form.querySelectorAll('[name=no]:checked')].map((box) => box.labels[0].textContent.trim());
  if (button.value === 'LIT' && ticked.length > 0) {
    say('Nothing is kept yet: you ticked what is not so. Press "Damaged or missing", or take the ticks away.');
    return;
  }
  const lookedAt = new Date();
  const photo = await made(form.querySelector('#photo').files[0]);
  if (photo && (!['image/jpeg', 'image/png'].includes(photo.type) || photo.size > MOST_BYTES)) {
    say('Nothing is kept yet: the photo must be a JPEG or a PNG of at most 5 MB. Choose another, or leave it out.');
    return;
  }
  const one = {
    id: crypto.randomUUID(),
    place: lookedAt.getTime(),
    person: look.person,
    look: look.id,
    question: look.question,
    answer: button.value,
    label: button.textContent,
    note: form.querySelector('#note').value.trim().slice(0, 500),
    no: ticked,
    photo,
    lookedAt: lookedAt.toISOString(),
    state: 'waiting',
  };
  try {
    await inStore('answers', 'readwrite', (store) => store.put(one));
  } catch (full) {
    say('This phone could not keep it. Nothing is recorded: call whoever is on duty.');
    return;
  }
  const isUrgent = one.answer === 'OUT' || one.answer === 'DAMAGED';
  say(`Kept on this phone at ${clock(lookedAt)}, not yet sent: ${one.label}.${isUrgent ? ' Nobody is told before it is sent: call whoever is on duty.' : ''}`
    + ' If that was tapped wrong, tap what is right; both are kept.');
  if (one.answer === 'OUT' && look.out) {
    showCautions(look.out);
  }
  await showAnswers();
  await send(one.id);
  if (isRefused && form.method === 'post') {
    // The link is still good for whoever has it, whatever became of the phone.
    await inStore('answers', 'readwrite', (store) => store.delete(one.id));
    leaveItToThePage(form, button);
  }
}

function leaveItToThePage(form, button) {
  form.dataset.say = 'by itself';
  form.requestSubmit(button);
}

async function takeForms() {
  const form = document.querySelector('form[data-say]');
  form?.addEventListener('submit', async (event) => {
    if (form.dataset.say === 'by itself') {
      return;
    }
    event.preventDefault();
    const link = ofLink();
    const look = shown || (await all('looks')).find((it) => link && it.id === link.look && it.person === link.person);
    if (look) {
      await sayIt(form, event.submitter, look);
    } else {
      // Not one that this phone was asked for: as on any other.
      leaveItToThePage(form, event.submitter);
    }
  });
}

/** A phone that is not enrolled keeps nothing: without this its browser would leave the page, and what was typed, for its own words. */
function stayWithoutSignal() {
  document.querySelector('form[data-say]')?.addEventListener('submit', (event) => {
    if (!navigator.onLine) {
      event.preventDefault();
      say('There is no signal, and nothing is recorded. Leave this page open, and tap again where there is a signal. If the lamp is out, call whoever is on duty.');
    }
  });
}

async function toServer(address, body) {
  const answer = await fetch(address, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
    signal: within(PATIENCE_MS),
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const told = await answer.json();
  return answer.ok ? told.words : `It was not changed. ${told.detail || ''}`;
}

async function subscribed(key) {
  const registration = await navigator.serviceWorker.ready;
  const { endpoint, keys } = (await registration.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key })).toJSON();
  return toServer('/phone/push', { endpoint, keys: { p256dh: keys.p256dh, auth: keys.auth } });
}

/** Messages are to come to this phone, and its browser has lost what they come by: nobody would notice before an alarm. */
async function renewMessages(place) {
  if (!place.querySelector('[data-push-end]') || Notification.permission !== 'granted') {
    return;
  }
  try {
    if (!(await (await navigator.serviceWorker.ready).pushManager.getSubscription())) {
      say(await subscribed(place.dataset.push));
    }
  } catch (failed) {
    say(`Messages on this phone could not be started again: ${failed.message || failed.name}.`);
  }
}

/** Messages on this phone: its browser is asked only when somebody presses the button. */
function offerMessages() {
  const place = document.querySelector('[data-push]');
  if (!place || !('PushManager' in window) || !('Notification' in window)) {
    return;
  }
  place.hidden = false;
  renewMessages(place);
  place.querySelector('[data-push-start]')?.addEventListener('click', async () => {
    try {
      if ((await Notification.requestPermission()) !== 'granted') {
        say('This phone was not allowed to show messages: allow it in the settings of the browser, for this page, and press the button again.');
        return;
      }
      // One that is tied to another key of the server's is of no use any more.
      await (await (await navigator.serviceWorker.ready).pushManager.getSubscription())?.unsubscribe();
      say(await subscribed(place.dataset.push));
    } catch (failed) {
      say(`Messages on this phone could not be started: ${failed.message || failed.name}.`);
    }
  });
  place.querySelector('[data-push-end]')?.addEventListener('click', async () => {
    try {
      say(await toServer('/phone/push/end'));
      await (await (await navigator.serviceWorker.ready).pushManager.getSubscription())?.unsubscribe();
    } catch (failed) {
      say(`It was not changed: ${failed.message || failed.name}.`);
    }
  });
}

async function start() {
  const isPhonePage = Boolean(document.querySelector('[data-phone]'));
  if (isPhonePage && navigator.serviceWorker) {
    await navigator.serviceWorker.register('/worker.js');
    localStorage.setItem(ENROLLED, localStorage.getItem(ENROLLED) || 'yes');
  }
  const isEnrolled = Boolean(localStorage.getItem(ENROLLED));
  if (document.querySelector('[data-looks]')) {
    await showKept();
  }
  if (!isEnrolled) {
    stayWithoutSignal();
    return;
  }
  offerMessages();
  await takeForms();
  await showAnswers();
  document.documentElement.dataset.taking = 'yes';
  if (sessionStorage.getItem(SAID)) {
    say(sessionStorage.getItem(SAID));
    sessionStorage.removeItem(SAID);
  }
  news?.addEventListener('message', async ({ data }) => {
    say(data);
    await showAnswers();
  });
  addEventListener('online', () => send());
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && send());
  setInterval(async () => {
    if (!isRefused && (await answers()).some((it) => it.state !== 'refused')) {
      await send();
    }
  }, AGAIN_AFTER_MS);
  await send();
  if (navigator.serviceWorker && (await fetchAhead())) {
    await keepShell();
    await navigator.serviceWorker.ready;
    document.querySelector('[data-without-signal]')?.removeAttribute('hidden');
    document.documentElement.dataset.ready = 'yes';
  }
}

await start();
