import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import type { DriveRecorder, RecorderTask, Recording } from './drive-recorder.js';
import type { RecorderReply, RecorderRequest } from './recorder-messages.js';

const THREAD_FILE = fileURLToPath(new URL('../../../dist/workers/recorder/recorder-thread.js', import.meta.url));
/** Batches on their way at once. Some take longer to record, others to search: with two, one thread often waits for the other. */
const ROOMS = 4;
/** Arrays are large and live long: a thread without this limit keeps thrice the memory for short-lived objects (MiB). */
const YOUNG_GENERATION_MIB = 4;

/**
 * Like `createRecorder`, in a thread of its own: worth it for a log that takes longer than a thread to start. An error comes
 * with a later call. Memory: four batches beside what the recorder itself holds.
 */
export function startRecorder(task: RecorderTask): DriveRecorder {
  const thread = new RecorderThread(task);
  const rooms = Array.from({ length: ROOMS }, () => Promise.resolve(new ArrayBuffer(0)));
  return {
    async append(batch) {
      const room = roomFor(await (rooms.shift() as Promise<ArrayBuffer>), batch);
      const present = task.signalIds.filter((id) => batch.signals[id] !== undefined);
      fill(room, batch, present);
      const { startIndex, timeS } = batch;
      const request: RecorderRequest = { kind: 'append', room, startIndex, count: timeS.length, present };
      rooms.push(handled(thread.ask(request, [room]).then((reply) => (reply as { room: ArrayBuffer }).room)));
    },

    async close() {
      await Promise.all(rooms);
      const reply = await thread.ask({ kind: 'close' });
      await thread.end();
      return (reply as { recording: Recording }).recording;
    },

    async abort() {
      // What failed before has been told to whoever asked for it.
      await thread.ask({ kind: 'abort' }).catch(() => undefined);
      await thread.end();
    },
  };
}

/** The room when it is large enough, else a larger one. */
function roomFor(room: ArrayBuffer, { timeS, signals }: SignalBatch): ArrayBuffer {
  const bytes = 8 * timeS.length * (1 + Object.keys(signals).length);
  return room.byteLength >= bytes ? room : new ArrayBuffer(bytes);
}

function fill(room: ArrayBuffer, { timeS, signals }: SignalBatch, present: readonly SignalId[]): void {
  const all = new Float64Array(room);
  all.set(timeS);
  for (const [i, id] of present.entries()) {
    const values = signals[id];
    if (values) all.set(values, (i + 1) * timeS.length);
  }
}

/** Nobody may be waiting when it fails: who asks for the room later is told. */
function handled<T>(promise: Promise<T>): Promise<T> {
  promise.catch(() => undefined);
  return promise;
}

interface Waiting {
  readonly resolve: (reply: RecorderReply) => void;
  readonly reject: (error: Error) => void;
}

/** The thread as something that answers. */
class RecorderThread {
  private readonly worker: Worker;
  private readonly ended: Promise<unknown>;
  private readonly waiting: Waiting[] = [];
  private fault: Error | undefined;

  constructor(task: RecorderTask) {
    this.worker = new Worker(THREAD_FILE, {
      workerData: task,
      resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MIB },
    });
    this.worker.on('message', (reply: RecorderReply) => this.take(reply));
    this.worker.on('error', (error) => this.fail(error));
    this.ended = once(this.worker, 'exit').then(() => this.fail(new Error('The thread that records a drive ended.')));
  }

  ask(request: RecorderRequest, lent: ArrayBuffer[] = []): Promise<RecorderReply> {
    return new Promise((resolve, reject) => {
      if (this.fault) return reject(this.fault);
      this.waiting.push({ resolve, reject });
      this.worker.postMessage(request, lent);
    });
  }

  async end(): Promise<void> {
    await this.ended;
  }

  private take(reply: RecorderReply): void {
    const asked = this.waiting.shift();
    if (reply.kind === 'failed') asked?.reject(Object.assign(new Error(reply.message), { code: reply.code }));
    else asked?.resolve(reply);
  }

  private fail(error: Error): void {
    this.fault ??= error;
    for (const { reject } of this.waiting.splice(0)) reject(this.fault);
  }
}
