// How many ruled cells stand in a row, so that every row is as full as the others.

/** A cell as its text needs it, in pixels: all on one line, and broken between words. */
export interface Need {
  line: number;
  broken: number;
}

/**
 * How many columns of equal cells hold so many texts within a width; `null` where all of them stand in one row, each
 * as wide as its text. No row is left with one cell alone, which would look like something else to press.
 */
export function columnsFor(needs: readonly Need[], width: number): number | null {
  if (needs.reduce((sum, { line }) => sum + line, 0) <= width) return null;
  const widest = Math.max(...needs.map(({ line, broken }) => Math.max(broken, line / 2)));
  for (let rows = 1; rows < needs.length; rows++) {
    const columns = Math.ceil(needs.length / rows);
    if (columns > 1 && columns * widest <= width && needs.length % columns !== 1) return columns;
  }
  return 1;
}
