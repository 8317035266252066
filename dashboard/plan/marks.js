// Hands what is chosen and filtered to the plan's canvas, without sending the piles again.
export default function ({ data, parentElement }) {
  window.pilewrightMarks = data;
  window.dispatchEvent(new CustomEvent("pilewright-marks", { detail: data }));
  const host = parentElement.host ?? parentElement;
  host.style.display = "none";
}
