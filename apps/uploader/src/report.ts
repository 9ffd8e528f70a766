/** Time between two looks of the progress line (ms). */
const REDRAW_MS = 200;

export interface Output {
  write(text: string): unknown;
  readonly isTTY?: boolean;
}

/** What the program says: a line for each event, and on a terminal one that moves while a file is sent. */
export class Report {
  private readonly output: Output;
  private drawnAtMs = Number.NEGATIVE_INFINITY;
  private isDrawn = false;

  constructor(output: Output) {
    this.output = output;
  }

  line(text: string): void {
    this.wipe();
    this.output.write(`${text}\n`);
  }

  /** Shown on a terminal only; elsewhere it would fill a log file. */
  progress(text: () => string): void {
    const nowMs = performance.now();
    if (!this.output.isTTY || nowMs - this.drawnAtMs < REDRAW_MS) return;
    this.wipe();
    this.output.write(text());
    this.isDrawn = true;
    this.drawnAtMs = nowMs;
  }

  /** Takes the moving line away. */
  wipe(): void {
    if (!this.isDrawn) return;
    // Back to the first column, then erase to the end of the line (ECMA-48, CR and EL).
    this.output.write('\r\u001b[K');
    this.isDrawn = false;
  }
}

/** Size with three digits; 1 MB is 10⁶ bytes. */
export function formatBytes(bytes: number): string {
  const power = bytes < 1000 ? 0 : Math.min(3, Math.floor(Math.log10(bytes) / 3));
  const value = bytes / 1000 ** power;
  return `${value.toFixed(power === 0 || value >= 100 ? 0 : 1)} ${['B', 'kB', 'MB', 'GB'][power]}`;
}
