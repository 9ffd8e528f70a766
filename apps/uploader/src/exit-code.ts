/** How a run ended, as the README lists it. */
export const EXIT = {
  /** Every file is on the server. */
  allSent: 0,
  someRefused: 1,
  usage: 2,
  unreachable: 3,
  notAllowed: 4,
  /** Stopped by a signal with a file half-way (128 + SIGINT). */
  stopped: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** Ends the run at once. */
export class FatalError extends Error {
  readonly exitCode: ExitCode;

  constructor(exitCode: ExitCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'FatalError';
    this.exitCode = exitCode;
  }
}
