// Names the zone of a site only where it is not the reader's own.
const mine = Intl.DateTimeFormat().resolvedOptions().timeZone;

export function hideKnownZones(root) {
  for (const zone of root.querySelectorAll('[data-zone]')) {
    zone.hidden = zone.dataset.zone === mine;
  }
}

hideKnownZones(document);
document.addEventListener('lampkeeper:renewed', (event) => hideKnownZones(event.target));
