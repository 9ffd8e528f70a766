import { SIGNAL_IDS, type SignalBatch, type SignalId } from '@syncline/drivelog';
import type { SignalFile, SignalWindow, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { LogService } from './logs.js';

/** What of a drive is asked for; times in seconds of the log, the whole drive when left out. */
export interface SignalQuery {
  readonly signals: readonly string[];
  readonly from?: number;
  readonly to?: number;
}

/** Raw samples are read and sent in runs of this many. */
const CHUNK_SAMPLES = 8192;

export type SignalService = ReturnType<typeof createSignalService>;

/** Decoded signals of a log: reduced for a plot, or sample by sample. */
export function createSignalService(store: Store, logs: LogService) {
  async function open(actor: Actor, logId: string, query: SignalQuery) {
    const log = logs.outline(actor, logId);
    if (log.signalFile === null) throw problem('log.notReady', { detail: `Its state is '${log.state}'.` });
    const signalIds = chooseSignals(query.signals, log.signalIds);
    return { log, signalIds, file: await store.signals.open(log.signalFile) };
  }

  return {
    /** At most `points` points, none of which hides a peak. */
    async window(actor: Actor, logId: string, query: SignalQuery & { readonly points: number }) {
      const { signalIds, file } = await open(actor, logId, query);
      try {
        const { fromS, toS } = rangeOf(file, query);
        const window: SignalWindow = await file.window({ signalIds, fromS, toS, points: query.points });
        return { fromS, toS, window };
      } finally {
        await file.close();
      }
    },

    /** Every sample, in runs. The file stays open until the last run was taken or the reader gave up. */
    async raw(actor: Actor, logId: string, query: SignalQuery) {
      const { log, signalIds, file } = await open(actor, logId, query);
      return { log, signalIds, batches: readRuns(file, signalIds, query) };
    },
  };
}

async function* readRuns(
  file: SignalFile,
  signalIds: readonly SignalId[],
  query: SignalQuery,
): AsyncGenerator<SignalBatch> {
  try {
    const { fromS, toS } = rangeOf(file, query);
    const range = await file.indexRange(fromS, toS);
    for (let startIndex = range.startIndex; startIndex < range.endIndex; startIndex += CHUNK_SAMPLES) {
      yield file.raw({ signalIds, startIndex, endIndex: Math.min(startIndex + CHUNK_SAMPLES, range.endIndex) });
    }
  } finally {
    await file.close();
  }
}

function rangeOf(file: SignalFile, { from, to }: SignalQuery): { readonly fromS: number; readonly toS: number } {
  return { fromS: from ?? file.startS ?? 0, toS: to ?? file.endS ?? 0 };
}

/** The signals asked for that the log has, in the order asked; a name that is no signal is refused. */
function chooseSignals(asked: readonly string[], present: readonly string[]): SignalId[] {
  const known: readonly string[] = SIGNAL_IDS;
  const unknown = asked.filter((name) => !known.includes(name));
  if (unknown.length > 0) {
    throw problem('request.invalid', {
      detail: `There is no signal '${unknown.join("', '")}'.`,
      fields: [{ path: 'querystring.signals', message: `expected of: ${SIGNAL_IDS.join(', ')}` }],
    });
  }
  return [...new Set(asked)].filter((name): name is SignalId => present.includes(name));
}
