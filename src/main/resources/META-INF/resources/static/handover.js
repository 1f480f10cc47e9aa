// Saves a hand-over record as it is typed. What could not be sent yet is kept in this browser and sent later; the server decides what holds, and
// keeps what two tablets typed side by side. Without this script each section has its own button.

// Ours: a pause in typing, and how soon it is tried again without signal.
const PAUSE_MS = 700;
const AGAIN_MS = 10_000;
// As the server keeps it: more is only a longer wait on a poor connection.
const LONGEST_SIDE = 1600;

const root = document.querySelector('[data-handover]');
const status = root.querySelector('[data-kept]');
const place = `lampkeeper-handover-${root.dataset.handover}`;
const forms = [...root.querySelectorAll('form[data-section]')];
const seen = new Map();
let waiting = 0;
let sending = false;

function fields() {
  return forms.flatMap((form) => [...form.elements].filter((it) => it.name && it.type !== 'hidden' && it.type !== 'checkbox' && it.type !== 'submit'));
}

function kept() {
  try {
    return JSON.parse(localStorage.getItem(place)) ?? {};
  } catch {
    return {};
  }
}

function keep(values) {
  try {
    if (Object.keys(values).length === 0) localStorage.removeItem(place);
    else localStorage.setItem(place, JSON.stringify(values));
  } catch (failed) {
    say(`This browser keeps nothing (${failed.name}): use the button of each section.`);
  }
}

function say(text) {
  status.textContent = text;
  status.hidden = text === '';
}

function tellKept(why) {
  const count = Object.keys(kept()).length;
  say(count === 0 ? '' : `${count === 1 ? 'One value is' : `${count} values are`} kept on this tablet and not sent yet: ${why}`);
}

function typedIn(field) {
  const values = kept();
  values[field.name] = { typed: field.value, seen: values[field.name]?.seen ?? seen.get(field.name) };
  keep(values);
  clearTimeout(waiting);
  waiting = setTimeout(send, PAUSE_MS);
}

function tell(box, problem, words) {
  if (problem.parentNode !== box) box.append(problem);
  // Said once, however often the rest is saved.
  if (problem.dataset.said === words) return;
  problem.dataset.said = words;
  const mark = document.createElement('span');
  mark.className = 'error-mark';
  mark.setAttribute('aria-hidden', 'true');
  mark.textContent = '!';
  problem.replaceChildren(...(words ? [mark, ` ${words}`] : []));
  problem.hidden = words === '';
}

// What is wrong, or not sent yet, is never hidden among what is seldom needed.
function unfold(field) {
  const folded = field.closest('details');
  if (folded) folded.open = true;
}

function takeOver(answer, sent) {
  document.querySelector('[data-headline]').textContent = answer.headline;
  for (const it of root.querySelectorAll('[data-standing]')) it.textContent = answer.sections[it.dataset.standing] ?? '';
  const values = kept();
  for (const [name, it] of Object.entries(sent)) {
    // Typed on meanwhile: that is a further value, which has seen this one.
    if (values[name]?.typed === it.typed) delete values[name];
    else if (values[name] && answer.fields[name]) values[name].seen = answer.fields[name].revision;
  }
  keep(values);
  if (Object.keys(values).length === 0) {
    for (const form of forms) form.elements.version.value = answer.revision;
  }
  for (const field of fields()) {
    const now = answer.fields[field.name];
    const holder = field.closest('[data-field]');
    const problem = holder.querySelector('[data-problem]');
    const refused = answer.refused[field.name];
    const words = [];
    if (refused) words.push(`Not stored: ${refused}.`);
    if (now) {
      if (!(field.name in values)) {
        seen.set(field.name, now.revision);
        if (!refused && document.activeElement !== field && field.value !== now.typed) field.value = now.typed;
      }
      if (now.problem) words.push(`${now.problem}.`);
      // What the server wrote there, with its tick, stays as long as it is undecided.
      const written = holder.querySelectorAll('.stored, .tick');
      for (const it of written) it.hidden = now.beside.length === 0;
      if (now.beside.length > 0 && written.length === 0) {
        words.push(`Typed meanwhile by ${now.beside.join('; ')}. Stored is “${now.typed}”. Load the page again and decide.`);
      }
    }
    for (const old of holder.querySelectorAll('.error:not([data-problem])')) old.hidden = true;
    // The one that the server may have marked, so that nothing stays marked that was put right.
    const box = holder.querySelector('.field');
    tell(box, problem, words.join(' '));
    box.classList.toggle('is-wrong', words.length > 0);
    if (words.length > 0) field.setAttribute('aria-invalid', 'true');
    else field.removeAttribute('aria-invalid');
    // "(may be left empty)" follows what else was typed, and so does whether a choice can be emptied.
    const isOptional = answer.optional.includes(field.name);
    for (const mark of holder.querySelectorAll('label[for] > .soft')) mark.hidden = !isOptional;
    if (isOptional && field.tagName === 'SELECT' && !field.querySelector('option[value=""]')) field.prepend(new Option('– choose –', ''));
    if (words.length > 0) unfold(field);
  }
}

async function send() {
  const values = kept();
  if (sending || Object.keys(values).length === 0) return;
  sending = true;
  try {
    const answer = await fetch(`/handovers/${root.dataset.handover}/fields`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
      redirect: 'manual',
      body: JSON.stringify({ values: Object.entries(values).map(([field, it]) => ({ field, typed: it.typed, seen: it.seen ?? 0, decides: false })) }),
    });
    if (answer.ok) {
      const now = await answer.json();
      takeOver(now, values);
      if (!now.isOpen) tellKept(`${now.closed}.`);
      else tellKept('they are sent in a moment.');
    } else {
      tellKept(answer.type === 'opaqueredirect' || answer.status === 401 ? 'sign in again, then they are sent.' : `it was refused (${answer.status}).`);
    }
  } catch {
    tellKept('there is no signal. They are sent when there is.');
  } finally {
    sending = false;
  }
  if (Object.keys(kept()).length > 0) {
    clearTimeout(waiting);
    waiting = setTimeout(send, AGAIN_MS);
  }
}

for (const field of fields()) {
  seen.set(field.name, Number(root.dataset.revision));
  field.addEventListener('input', () => typedIn(field));
}
// Typed before, and not sent: it stands in the field again, as it was typed.
for (const [name, it] of Object.entries(kept())) {
  const field = fields().find((each) => each.name === name);
  if (field) {
    field.value = it.typed;
    unfold(field);
  }
}
for (const form of forms) {
  form.addEventListener('submit', (event) => {
    if (form.querySelector('input[type=checkbox]:checked')) return;
    event.preventDefault();
    send().then(() => {
      if (Object.keys(kept()).length === 0) say('Everything that was typed is stored.');
    });
  });
}
// A camera’s file is often larger than what is taken in: it is made smaller here, and sent as it is where the browser cannot.
async function makeSmaller(input) {
  const [file] = input.files;
  if (!file) return;
  const button = input.form.querySelector('button[type=submit]:not([name])');
  button.disabled = true;
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = LONGEST_SIDE / Math.max(picture.width, picture.height);
    if (scale < 1) {
      const canvas = document.createElement('canvas');
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
      const small = await new Promise((resolve) => { canvas.toBlob(resolve, 'image/jpeg', 0.82); });
      const files = new DataTransfer();
      files.items.add(new File([small], 'photo.jpg', { type: 'image/jpeg' }));
      if (input.files[0] === file) input.files = files.files;
    }
    picture.close();
  } catch {
    // No picture that can be drawn here: the server says what is wrong with it.
  } finally {
    button.disabled = false;
  }
}
for (const input of root.querySelectorAll('input[type=file]')) {
  input.addEventListener('change', () => makeSmaller(input));
}
window.addEventListener('online', send);
send();
