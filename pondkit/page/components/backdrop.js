// Receives the image that lies under plans, once, and keeps it under its name.

const backdrops = (window.pondkitBackdrops ??= new Map());

export default function ({ data, setStateValue }) {
  const { name, letters } = data;
  if (letters !== null && !backdrops.has(name)) {
    backdrops.clear(); // one at a time: after an undo the earlier image is sent again
    backdrops.set(name, `data:image/jpeg;base64,${letters}`);
    window.dispatchEvent(new Event("pondkit:backdrop"));
  }
  setStateValue("held", backdrops.has(name) ? name : "");
}
