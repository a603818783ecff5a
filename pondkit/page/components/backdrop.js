// Receives the image that lies under plans, once, and keeps it under its name.

const kept = (window.pondkitBackdrops ??= new Map());

export default function ({ data, setStateValue }) {
  const { name, letters } = data;
  if (letters !== null && !kept.has(name)) {
    kept.clear(); // one at a time: after an undo the earlier image is sent again
    kept.set(name, `data:image/jpeg;base64,${letters}`);
    window.dispatchEvent(new Event("pondkit:backdrop"));
  }
  setStateValue("held", kept.has(name) ? name : "");
}
