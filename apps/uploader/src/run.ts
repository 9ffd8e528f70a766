import { basename } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { EXIT, type ExitCode, FatalError } from './exit-code.js';
import { type FoundFile, findFiles } from './find-files.js';
import type { Options } from './options.js';
import { formatBytes, type Report } from './report.js';
import { retry } from './retry.js';
import { type SentResult, sendFile } from './send-file.js';
import { Refusal, ServerApi, Unreachable } from './server-api.js';
import { StableFiles } from './stable-files.js';
import { StateFile } from './state-file.js';

interface Tally {
  sent: number;
  known: number;
  refused: number;
}

/** Sends what is new, once or for ever, until `signal` says to stop. Throws FatalError. */
export async function run(options: Options, report: Report, signal: AbortSignal): Promise<ExitCode> {
  const sender = new Sender(options, report, signal);
  for (const warning of options.warnings) report.line(`note      ${warning}`);
  let isHalfWay = false;
  try {
    await sender.connect();
    if (options.isWatching) {
      report.line(`watching  ${options.paths.join(', ')} for ${options.patterns.join(' ')}; Ctrl-C stops`);
      await watch(options, sender, signal);
    } else {
      await sendOnce(options, sender);
    }
  } catch (error) {
    if (!signal.aborted) throw error;
    isHalfWay = sender.isSending || !options.isWatching;
  } finally {
    report.wipe();
  }
  const { sent, known, refused } = sender.tally;
  report.line(`${sent} sent, ${known} there already, ${refused} refused${isHalfWay ? ', stopped half-way' : ''}`);
  if (isHalfWay) return EXIT.stopped;
  return refused > 0 ? EXIT.someRefused : EXIT.allSent;
}

async function sendOnce({ paths, patterns }: Options, sender: Sender): Promise<void> {
  for (const file of findFiles(paths, patterns)) await sender.bring(file);
}

async function watch(
  { paths, patterns, stableMs, everyMs }: Options,
  sender: Sender,
  signal: AbortSignal,
): Promise<void> {
  const stable = new StableFiles(stableMs);
  // What was sent or refused is not looked at again until the file changes.
  const settled = new Set<string>();
  for (;;) {
    for (const file of stable.pick(findFiles(paths, patterns), performance.now())) {
      const version = `${file.path} ${file.sizeBytes} ${file.modifiedMs}`;
      if (settled.has(version)) continue;
      await sender.bring(file);
      settled.add(version);
    }
    await sleep(everyMs, undefined, { signal });
  }
}

class Sender {
  readonly tally: Tally = { sent: 0, known: 0, refused: 0 };
  isSending = false;
  private readonly options: Options;
  private readonly report: Report;
  private readonly signal: AbortSignal;
  private readonly api: ServerApi;
  private car: { readonly vehicleId: string; readonly state: StateFile } | undefined;
  private saidWaiting = false;

  constructor(options: Options, report: Report, signal: AbortSignal) {
    this.options = options;
    this.report = report;
    this.signal = signal;
    this.api = new ServerApi(options.server, options.token);
  }

  /** Finds the server and the car; nothing is read before that. */
  async connect(): Promise<void> {
    const { server, statePath, vehicle } = this.options;
    const cars = await this.patiently(() => this.api.listCars());
    const vehicleId = chooseCar(cars, vehicle);
    this.car = { vehicleId, state: new StateFile(statePath, { server, vehicleId }) };
  }

  /** Sends a file or says why it was refused. One that was sent before costs nothing. */
  async bring(file: FoundFile): Promise<void> {
    this.signal.throwIfAborted();
    if (!this.car) throw new Error('nothing is sent before the car is known');
    const { state, vehicleId } = this.car;
    if (state.isSent(file.path, file)) {
      this.tally.known += 1;
      return;
    }
    this.isSending = true;
    try {
      const result = await this.patiently(() =>
        sendFile(file, {
          api: this.api,
          state,
          vehicleId,
          giveUpMs: this.options.giveUpMs,
          signal: this.signal,
          onSent: (bytes) => this.showProgress(file, bytes),
          onLost: () => this.sayWaiting('The connection is lost.'),
        }),
      );
      this.sayArrived(file, result);
    } catch (error) {
      if (!isAboutFile(error)) throw error;
      this.tally.refused += 1;
      this.report.line(`refused   ${basename(file.path)}: ${error.message}`);
    } finally {
      // A stop in the middle leaves it true: something is half-way.
      this.isSending = this.signal.aborted;
    }
  }

  private async patiently<T>(work: () => Promise<T>): Promise<T> {
    try {
      const result = await retry(work, {
        giveUpMs: this.options.giveUpMs,
        signal: this.signal,
        onWait: (error) => this.sayWaiting(error.message),
      });
      this.saidWaiting = false;
      return result;
    } catch (error) {
      if (error instanceof Unreachable) throw new FatalError(EXIT.unreachable, error.message, { cause: error });
      throw error;
    }
  }

  private showProgress({ path, sizeBytes }: FoundFile, bytes: number): void {
    this.saidWaiting = false;
    this.report.progress(() => {
      const percent = Math.floor((100 * bytes) / Math.max(1, sizeBytes));
      return `sending   ${basename(path)}  ${percent} %  ${formatBytes(bytes)} of ${formatBytes(sizeBytes)}`;
    });
  }

  /** Once for each time of silence, however many tries it takes. */
  private sayWaiting(reason: string): void {
    if (this.saidWaiting) return;
    this.saidWaiting = true;
    this.report.line(`waiting   ${reason} Trying again.`);
  }

  private sayArrived({ path, sizeBytes }: FoundFile, { logId, isDuplicate, twin }: SentResult): void {
    this.tally[isDuplicate ? 'known' : 'sent'] += 1;
    const what = isDuplicate ? 'known   ' : 'sent    ';
    this.report.line(`${what}  ${basename(path)}  ${formatBytes(sizeBytes)}  log ${logId}`);
    if (twin !== null) this.report.line(`note      ${twin} holds the same recording, packed otherwise; both count.`);
  }
}

function chooseCar(cars: readonly { readonly id: string; readonly title: string }[], wanted: string): string {
  const fits = cars.filter(({ id, title }) => id === wanted || title.toLowerCase() === wanted.toLowerCase());
  const exact = fits.find(({ id }) => id === wanted) ?? (fits.length === 1 ? fits[0] : undefined);
  if (exact) return exact.id;
  const reason = fits.length > 1 ? 'Several cars are called' : 'There is no car';
  const list = cars.map(({ id, title }) => `\n  ${id}  ${title}`).join('');
  throw new FatalError(EXIT.usage, `--vehicle: ${reason} '${wanted}'. The token sees:${list || ' none'}`);
}

/** What concerns one file and leaves the others: the server will not take it, or it cannot be read. */
function isAboutFile(error: unknown): error is Error {
  if (error instanceof Refusal) return true;
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  return code === 'ENOENT' || code === 'EACCES' || code === 'EPERM' || code === 'EIO' || code === 'EISDIR';
}
