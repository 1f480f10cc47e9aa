// Lets whoever types a password look at it: a button beside each, which without scripts is not there.
for (const field of document.querySelectorAll('input[type=password]')) {
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'button quiet reveal';
  button.setAttribute('aria-controls', field.id);
  const label = () => {
    button.textContent = field.type === 'password' ? 'Show it' : 'Hide it';
  };
  button.addEventListener('click', () => {
    field.type = field.type === 'password' ? 'text' : 'password';
    label();
    field.focus();
  });
  // Sent while shown, a browser would offer the password as a suggestion later.
  field.form.addEventListener('submit', () => {
    field.type = 'password';
  });
  label();
  field.after(button);
}
