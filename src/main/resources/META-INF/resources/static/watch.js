// Looks again by itself at what is waited for; the page can be looked at again by hand, too.

// Ours: soon enough for somebody who stands at the board, and quiet for the server.
const EVERY_MS = 2_000;

async function lookAgain() {
  const watched = document.querySelector('[data-watched]');
  if (!document.hidden) {
    try {
      const answer = await fetch(location.href, { headers: { Accept: 'text/html' }, redirect: 'manual' });
      if (answer.ok) {
        const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector('[data-watched]');
        if (fresh) takeOver(watched, fresh);
        stale(false);
      }
    } catch {
      stale(true);
    }
  }
  setTimeout(lookAgain, EVERY_MS);
}

// Part by part, so that a screen reader says what is new, and the focus stays.
function takeOver(watched, fresh) {
  const parts = (root) => [...root.querySelectorAll('[data-part]')];
  const old = new Map(parts(watched).map((part) => [part.dataset.part, part]));
  if (parts(fresh).length !== old.size || parts(fresh).some((part) => !old.has(part.dataset.part))) {
    watched.replaceChildren(...fresh.childNodes);
    return;
  }
  for (const part of parts(fresh)) {
    const before = old.get(part.dataset.part);
    if (before.innerHTML !== part.innerHTML) before.replaceChildren(...part.childNodes);
  }
}

function stale(is) {
  const banner = document.querySelector('[data-stale]');
  banner.textContent = is ? 'There is no signal: what this page shows is old.' : '';
  banner.hidden = !is;
}

setTimeout(lookAgain, EVERY_MS);
