const WIDTH = 32;
/** Without a terminal a line is printed each time so much more is done. */
const PLAIN_STEP = 0.1;

/** Shows how far something is, 0 to 1, and what is being done. */
export type ShowProgress = (share: number, what: string) => void;

/** A bar that is drawn over itself in a terminal, and plain lines elsewhere. */
export function createProgressBar(out: NodeJS.WriteStream): ShowProgress {
  let shown = Number.NEGATIVE_INFINITY;
  return (share, what) => {
    const percent = `${Math.floor(100 * share)}`.padStart(3);
    if (out.isTTY) {
      const done = Math.round(WIDTH * share);
      out.write(
        `\r\u001b[2K${'█'.repeat(done)}${'░'.repeat(WIDTH - done)} ${percent} %  ${what}${share >= 1 ? '\n' : ''}`,
      );
    } else if (share >= shown + PLAIN_STEP || share >= 1) {
      shown = share;
      out.write(`${percent} %  ${what}\n`);
    }
  };
}
