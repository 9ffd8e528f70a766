export type Rgb = readonly [red: number, green: number, blue: number];

/**
 * Ten stops of cividis, low to high: even in lightness and alike for people with and without a colour deficiency.
 * Source: Nuñez, Anderton, Renslow 2018, PLoS ONE 13(7): e0199239, as tabulated by the viridisLite package.
 */
const CIVIDIS = [
  '#00204d',
  '#00336f',
  '#39486b',
  '#575c6d',
  '#707173',
  '#8a8779',
  '#a69d75',
  '#c4b56c',
  '#e4cf5b',
  '#ffea46',
].map(toRgb);

/** Blue (less) over a neutral centre to orange (more); the centre is the paper of the theme. */
const DIVERGING = {
  light: ['#14477d', '#2f72b3', '#78a8d3', '#bfd5e8', '#f1eee8', '#f6d2ae', '#ea9f5c', '#c8691d', '#8a3d00'].map(toRgb),
  dark: ['#9ccbf3', '#5f9fd8', '#3a74ad', '#2b4f74', '#35322e', '#6e472a', '#a8622a', '#dd8a3e', '#ffc083'].map(toRgb),
};

/** Paper of each theme, as in tokens.css: what a faded colour fades into. */
const PAPER: Record<ColourScheme, Rgb> = { light: toRgb('#fcfbf8'), dark: toRgb('#232220') };

export type ColourScheme = 'light' | 'dark';

/** Colour of the sequential ramp; `share` from 0 (lowest) to 1 (highest), clamped. */
export function sequentialColour(share: number): Rgb {
  return alongRamp(CIVIDIS, share);
}

/** Colour of the difference ramp; `share` from −1 (less) over 0 (equal) to 1 (more), clamped. */
export function divergingColour(share: number, scheme: ColourScheme): Rgb {
  return alongRamp(DIVERGING[scheme], (share + 1) / 2);
}

/** Fades a colour into the paper; `certainty` 1 leaves it, 0 is paper. The result is solid, so that ink on it can be chosen. */
export function faded(colour: Rgb, certainty: number, scheme: ColourScheme): Rgb {
  return mix(PAPER[scheme], colour, clampShare(certainty));
}

/** Ink that reads on a colour: black or white, whichever contrasts more. One of them always reaches 4.5 : 1 (WCAG 2.2). */
export function inkOn(colour: Rgb): string {
  return contrast(colour, [0, 0, 0]) >= contrast(colour, [255, 255, 255]) ? '#000000' : '#ffffff';
}

export function cssColour([red, green, blue]: Rgb): string {
  return `rgb(${Math.round(red)} ${Math.round(green)} ${Math.round(blue)})`;
}

/** Contrast ratio of two colours, 1 to 21. Source: WCAG 2.2, definition of contrast ratio. */
export function contrast(one: Rgb, other: Rgb): number {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

function luminance([red, green, blue]: Rgb): number {
  return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
}

function linear(channel: number): number {
  const share = channel / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
}

function alongRamp(stops: readonly Rgb[], share: number): Rgb {
  const position = clampShare(share) * (stops.length - 1);
  const below = Math.min(Math.floor(position), stops.length - 2);
  return mix(stops[below] as Rgb, stops[below + 1] as Rgb, position - below);
}

function mix(from: Rgb, to: Rgb, share: number): Rgb {
  return [0, 1, 2].map((channel) => from[channel]! + (to[channel]! - from[channel]!) * share) as unknown as Rgb;
}

function clampShare(value: number): number {
  return Math.min(1, Math.max(0, value));
}

function toRgb(hex: string): Rgb {
  return [1, 3, 5].map((start) => Number.parseInt(hex.slice(start, start + 2), 16)) as unknown as Rgb;
}
