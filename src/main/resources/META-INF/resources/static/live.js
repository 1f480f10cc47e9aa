// Keeps the supply page true: takes over what the server sends, counts ages on, and says so when it hears nothing any more.
// The server's clock decides; this device's clock only measures how long ago the server was heard.

// Ours: three missed heartbeats of 4 s.
const OLD_AFTER_MS = 12_000;
const AGAIN_AFTER_MS = 3_000;

const holder = document.querySelector('[data-live-from]');
const banner = document.querySelector('[data-stale]');
let heardAt = Date.now();
let serverNow = Date.parse(part().dataset.now);
let serverClock = part().dataset.clockNow;
let source = null;
let again = 0;

function part() {
  return holder.querySelector('[data-live-part]');
}

// As the server writes it: cut off, not rounded.
function ago(milliseconds) {
  const seconds = Math.max(0, Math.floor(milliseconds / 1000));
  const minutes = Math.floor(seconds / 60);
  const hours = Math.floor(minutes / 60);
  const days = Math.floor(hours / 24);
  const more = (value, unit) => (value === 0 ? '' : ` ${value} ${unit}`);
  if (seconds < 60) return `${seconds} s`;
  if (minutes < 60) return `${minutes} min`;
  if (hours < 24) return `${hours} h${more(minutes % 60, 'min')}`;
  return `${days} d${more(hours % 24, 'h')}`;
}

function heard(now, clock) {
  heardAt = Date.now();
  serverNow = Date.parse(now);
  serverClock = clock;
  const shown = document.querySelector('[data-clock]');
  if (shown) {
    shown.textContent = clock;
    shown.dateTime = now;
  }
  tick();
}

function tick() {
  const passed = Date.now() - heardAt;
  const isOld = passed > OLD_AFTER_MS;
  document.body.classList.toggle('is-old', isOld);
  if (isOld && banner.hidden) {
    const since = serverClock.replace(/ at the sites$/, '');
    banner.textContent = `This page has not heard from Lampkeeper since ${since}: what it shows is old.`;
  }
  banner.hidden = !isOld;
  for (const time of holder.querySelectorAll('time[data-ago]')) {
    const text = ago(serverNow + passed - Date.parse(time.dateTime));
    if (time.textContent !== text) time.textContent = text;
  }
}

function isKept(child) {
  return 'kept' in child.dataset;
}

// Replaces only what differs, so that reading position, focus and open parts stay.
function takeOver(html) {
  const fresh = new DOMParser().parseFromString(html, 'text/html').querySelector('[data-live-part]');
  const old = part();
  const kept = new Map([...old.children].map((child) => [child.id, child]));
  // Sites that stayed as they were are named only; whoever does not have one of them asks for everything again.
  if ([...fresh.children].some((child) => isKept(child) && !kept.has(child.id))) {
    listen();
    return;
  }
  const looks = new Map([...old.querySelectorAll('[data-look]')].map((line) => [line.id, line.dataset.look]));
  const focused = document.activeElement?.id;
  const headline = old.querySelector('h1');
  const freshHeadline = fresh.querySelector('h1');
  if (headline.textContent !== freshHeadline.textContent) headline.textContent = freshHeadline.textContent;
  headline.className = freshHeadline.className;
  old.className = fresh.className;
  Object.assign(old.dataset, fresh.dataset);

  const wanted = [...fresh.children].map((child) => {
    const before = kept.get(child.id);
    return before && (child.id === 'headline' || isKept(child) || before.isEqualNode(child)) ? before : child;
  });
  old.replaceChildren(...wanted);
  for (const line of old.querySelectorAll('[data-look]')) {
    if (looks.has(line.id) && looks.get(line.id) !== line.dataset.look) line.classList.add('just-changed');
  }
  if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus({ preventScroll: true });

  document.title = `${fresh.dataset.title} – Lampkeeper`;
  const count = document.querySelector('[data-alarm-count]');
  if (count) count.firstChild.textContent = fresh.dataset.alarms;
  old.dispatchEvent(new CustomEvent('lampkeeper:renewed', { bubbles: true }));
  heard(fresh.dataset.now, fresh.dataset.clockNow);
}

function listen() {
  clearTimeout(again);
  source?.close();
  source = new EventSource(holder.dataset.liveFrom);
  source.addEventListener('supply', (event) => takeOver(event.data));
  source.addEventListener('heartbeat', (event) => {
    const space = event.data.indexOf(' ');
    heard(event.data.slice(0, space), event.data.slice(space + 1));
  });
  source.addEventListener('error', () => {
    // A browser gives up for good after an answer that is not a stream; we do not.
    if (source.readyState === EventSource.CLOSED) again = setTimeout(listen, AGAIN_AFTER_MS);
  });
}

function filterByTyping() {
  const form = document.querySelector('[data-filter]');
  let wait = 0;
  form?.addEventListener('input', () => {
    clearTimeout(wait);
    wait = setTimeout(() => {
      const typed = form.elements.q.value.trim();
      const query = typed ? `?q=${encodeURIComponent(typed)}` : '';
      history.replaceState(null, '', `/${query}`);
      holder.dataset.liveFrom = `/supply/live${query}`;
      listen();
    }, 250);
  });
}

setInterval(tick, 1000);
document.addEventListener('visibilitychange', tick);
filterByTyping();
listen();
