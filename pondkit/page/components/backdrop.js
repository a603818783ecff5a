// Takes the picture that lies under plans, once, and keeps it by its name.

const kept = (window.pondkitBackdrops ??= new Map());

export default function ({ data, setStateValue }) {
  const { name, letters } = data;
  if (letters !== null && !kept.has(name)) {
    kept.clear(); // one at a time: an undone picture is sent again
    kept.set(name, `data:image/jpeg;base64,${letters}`);
    window.dispatchEvent(new Event("pondkit:backdrop"));
  }
  setStateValue("held", kept.has(name) ? name : "");
}
