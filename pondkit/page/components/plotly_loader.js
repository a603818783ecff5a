// Puts plotly's script into the page once; the pictures wait for the event.
export default function ({ data, setStateValue }) {
  if (!window.Plotly) {
    if (!data) return;
    const script = document.createElement("script");
    script.textContent = new TextDecoder().decode(data);
    document.head.append(script);
    script.remove();
    window.dispatchEvent(new CustomEvent("pondkit:plotly"));
  }
  if (data) setStateValue("loaded", true); // from the next run on nothing is sent
}
