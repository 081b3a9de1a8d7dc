// The table of contents follows: it marks what is in view; a link opens what it leads to. The light and the dark hand.
{
  const nav = document.querySelector("nav.contents");
  const fold = nav.querySelector("details");
  const now = nav.querySelector(".now");
  const beside = window.matchMedia("(min-width: 1000px)");
  const entries = [...nav.querySelectorAll("a")].map((link) => ({ link, place: document.getElementById(link.hash.slice(1)) }));
  const reveal = (place) => {
    for (let one = place; one; one = one.parentElement) if (one.tagName === "DETAILS") one.open = true;
  };
  const mark = () => {
    // What begins in the upper third of the window, else what began above it; at the page's end its last place.
    const [first, last] = [(parseFloat(getComputedStyle(document.documentElement).scrollPaddingTop) || 0) - 5, window.innerHeight / 3];
    const shown = entries.filter(({ place }) => place.getClientRects().length);
    const bottom = window.scrollY > 0 && window.innerHeight + window.scrollY >= document.documentElement.scrollHeight - 2;
    const tops = shown.map((entry) => ({ entry, top: entry.place.getBoundingClientRect().top }));
    const begun = tops.find(({ top }) => top >= first && top <= last) ?? tops.filter(({ top }) => top < first).at(-1);
    const current = bottom ? shown.at(-1) : begun ? begun.entry : shown[0];
    for (const entry of entries) {
      if (entry === current) entry.link.setAttribute("aria-current", "location");
      else entry.link.removeAttribute("aria-current");
    }
    for (const item of nav.querySelectorAll("li")) item.classList.toggle("within", Boolean(current) && item.contains(current.link));
    now.textContent = current ? current.link.textContent : "";
    if (beside.matches && current) {
      const [box, one] = [fold.getBoundingClientRect(), current.link.getBoundingClientRect()];
      if (one.top < box.top || one.bottom > box.bottom) fold.scrollTop += one.top - box.top - box.height / 2;
    }
  };
  let asked = false;
  const later = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => { asked = false; mark(); });
  };
  const go = () => {
    const place = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!place) return;
    reveal(place);
    place.scrollIntoView();
  };
  for (const { link, place } of entries) {
    link.addEventListener("click", () => { reveal(place); if (!beside.matches) fold.open = false; });
  }
  nav.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && fold.open && !beside.matches) { fold.open = false; fold.querySelector("summary").focus(); }
  });
  const fit = () => { fold.open = beside.matches; };
  beside.addEventListener("change", fit);
  window.addEventListener("hashchange", go);
  window.addEventListener("scroll", later, { passive: true });
  window.addEventListener("resize", later);
  document.addEventListener("toggle", later, true);

  // The hand is the device's until the reader chooses. What draws by itself listens to "hand" and asks page.dark().
  const button = nav.querySelector("button.hand");
  const told = () => {
    button.setAttribute("aria-pressed", String(page.dark()));
    document.dispatchEvent(new Event("hand"));
  };
  button.addEventListener("click", () => {
    document.documentElement.dataset.hand = page.dark() ? "light" : "dark";
    told();
  });
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", told);

  // On paper nothing is folded but whole vehicles of a comparison that the reader has not opened.
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details.fold:not([open])")];
    for (const one of opened) one.open = true;
  });
  window.addEventListener("afterprint", () => { for (const one of opened) one.open = false; });

  nav.classList.add("ready");
  fit();
  told();
  go();
  mark();
}
