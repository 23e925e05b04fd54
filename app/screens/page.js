// What the page does in the browser beside Streamlit's own script; begun once for each page.
(() => {
  if (window.pageWatched) return;
  const TEXT = '[data-testid="stTextInput"] input, [data-testid="stTextArea"] textarea';

  // A phone shows its number pad only where the field asks for it.
  const pads = () => document
    .querySelectorAll('[class*="st-key-row-pad-"] input:not([inputmode])')
    .forEach(field => field.setAttribute("inputmode",
      field.closest('[class*="row-pad-whole"]') ? "numeric" : "decimal"));

  // A box that has a name and takes focus is a group, not presentation.
  const drops = () => document
    .querySelectorAll('[data-testid="stFileUploaderDropzone"][role="presentation"]')
    .forEach(box => box.setAttribute("role", "group"));

  // A second tap this soon is the same tap: it would hit what came under the finger meanwhile.
  const SOON_MS = 350;
  let last = {};
  document.addEventListener("click", tap => {
    const button = tap.target.closest("button");
    const again = button && button === last.button && tap.timeStamp - last.at < SOON_MS;
    last = {button, at: tap.timeStamp};
    if (again) {
      tap.stopImmediatePropagation();
      tap.preventDefault();
    }
  }, true);

  // An answer that comes while somebody types may make his field anew: what he typed goes on there.
  let half = null;
  const handedIn = ({target, key}) => setTimeout(() => {
    const left = key || document.activeElement !== target;  // one that is only moved has it again
    if (half && half.field === target && target.isConnected && left) half = null;
  });
  document.addEventListener("input", ({target}) => {
    if (target.matches(TEXT)) half = {field: target, text: target.value};
  }, true);
  document.addEventListener("focusout", handedIn, true);
  document.addEventListener("keydown", press => press.key === "Enter" && handedIn(press), true);
  const goOn = () => {
    if (!half || half.field.isConnected) return;
    const name = half.field.getAttribute("aria-label");
    const [anew, other] = [...document.querySelectorAll(TEXT)]
      .filter(field => field.getAttribute("aria-label") === name);
    if (!anew || other) return;
    const {text} = half;
    half = null;
    Object.getOwnPropertyDescriptor(Object.getPrototypeOf(anew), "value").set.call(anew, text);
    anew.dispatchEvent(new Event("input", {bubbles: true}));
    anew.focus();
  };

  const every = () => { pads(); drops(); goOn(); };
  window.pageWatched = new MutationObserver(every);
  window.pageWatched.observe(document.body, {childList: true, subtree: true});
  every();
})();
