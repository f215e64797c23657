// @ts-check
// Keeps a column in view while the page scrolls: one taller than the screen stops at its lower end.

const GAP = 8;

/** @param {...HTMLElement} columns */
export function stick(...columns) {
  const place = () => {
    for (const column of columns) {
      column.style.top = `${Math.min(GAP, innerHeight - column.offsetHeight - GAP)}px`;
    }
  };
  const observer = new ResizeObserver(place);
  for (const column of columns) observer.observe(column);
  addEventListener("resize", place);
}
