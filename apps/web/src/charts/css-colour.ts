/** Value of a colour of tokens.css in the theme that is shown now, for drawing on a canvas. */
export function cssColour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}
