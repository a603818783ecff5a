// Passes what has changed to the pictures, forms and texts on the page, and sends what is entered and dragged. What was
// passed is kept by key, for elements that are mounted anew before the whole page runs.

const live = (window.pondkitLive ??= { receivers: new Map(), latest: new Map(), entries: {}, tell: null, owner: null });

// Texts that are in the page as markup.
function put(name, { markup, sent }) {
  const node = document.querySelector(`[data-live="${name}"]`);
  if (!node || Number(node.dataset.sent) > sent || node.innerHTML === markup) return;
  node.innerHTML = markup;
}

export default function ({ data, parentElement, setStateValue }) {
  live.tell = setStateValue;
  live.owner = parentElement;
  const { run, changes } = JSON.parse(new TextDecoder().decode(data));
  if (run !== live.run) {
    live.run = run;
    for (const [key, change] of Object.entries(changes)) {
      live.latest.set(key, change);
      if (key.startsWith("text ")) put(key.slice(5), change);
      else live.receivers.get(key)?.(change);
    }
  }
  markPartialRun(run);
  return () => {
    if (live.owner === parentElement) live.tell = live.owner = null;
  };
}
